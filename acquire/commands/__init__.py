"""The command line: one file per command; the entry imports only the standard library."""
