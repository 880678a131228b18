"""Many runs together: consensus, precision of the method, outlying benches, pooled curve.  No files, no clocks.

`runs` says what a run brings; `weights`, `moments`, `likelihood`, `sums` make a consensus of it; `precision`,
`outliers`, `robust` and `control` judge the benches by their results; `curve`, `benches`, `blindspots` by their points.
"""
