"""Many run files together: reading, analysing again, pooling, and the page that shows it.

One file is read at a time, in workers; what comes back of it is a `RunSummary` of a few kilobytes, kept on disk.
Nothing here grows in memory with the number of runs.
"""
