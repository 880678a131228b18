"""Readings into a run: decisions, points, run file, report and commands."""
