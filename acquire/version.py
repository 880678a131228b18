"""The version of the program, the one place that says it."""

VERSION = "0.6.0"
