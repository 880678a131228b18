"""Traces and points into numbers with uncertainties, SI only; no ports, clocks, threads, Qt or hidden randomness."""
