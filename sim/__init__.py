"""A scenario into the bytes of a bench that does not exist, and its truth; a stranger to `analysis`."""
