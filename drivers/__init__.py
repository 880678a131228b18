"""Bytes of a device into readings in SI units with times and quality; knows no Qt, no HDF5, no analysis."""
