"""Everything a consensus needs of many runs, as sums of fixed size: runs stream through and are forgotten.

The covariance of the values is D + C C' + tau_bench**2 Z Z' with D = diag(u_own**2 + tau_run**2), C the shared parts
and Z the bench of each run.  By the matrix inversion lemma only X' D^-1 X with X = [y, 1, C, Z] and log|D| are needed.
They are summed at fixed Chebyshev nodes of tau_run and interpolated between them: as functions of
s = tau/(tau + scale) they are analytic around [0, 1], so 33 nodes give 1e-9 relative for own uncertainties within a
factor of three of the scale.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from analysis.pooling.runs import RunResult, Share

Floats = NDArray[np.float64]

NODES = 33
_CHUNK = 16384  # runs turned into one sparse matrix; bounds the memory of `add`


def _nodes() -> tuple[Floats, Floats]:
    """Chebyshev points of the second kind on [0, 1) in s, and their barycentric weights.

    The last point would be an infinite tau; the interval therefore ends at s = 0.995.
    """
    index = np.arange(NODES)
    weights = np.where(index % 2 == 0, 1.0, -1.0)
    weights[[0, -1]] *= 0.5
    return 0.4975 * (1 - np.cos(np.pi * index / (NODES - 1))), weights


class ConsensusSums:
    """Mergeable sums over runs.

    Parameters
    ----------
    benches, shares : sequence
        All benches and shared things that will occur; a run with another one is refused.
    centre, scale : float
        A rough value and own uncertainty of the runs [unit of value]; they set the working point, not the answer.
    """

    def __init__(self, benches: Sequence[str], shares: Sequence[Share], *, centre: float, scale: float) -> None:
        if not scale > 0:
            raise ValueError(f"the scale of the sums is {scale:g}; it must be above zero")
        self.benches, self.shares = tuple(benches), tuple(shares)
        self.centre, self.scale = float(centre), float(scale)
        self._bench_column = {name: 2 + len(self.shares) + i for i, name in enumerate(self.benches)}
        self._share_column = {share: 2 + i for i, share in enumerate(self.shares)}
        self.width = 2 + len(self.shares) + len(self.benches)
        self.node_s, self._weights = _nodes()
        self.node_tau = self.scale * self.node_s / (1 - self.node_s)
        self.products = np.zeros((NODES, self.width, self.width))
        self.log_determinant = np.zeros(NODES)
        self.count = 0

    def add(self, runs: Iterable[RunResult]) -> None:
        """Take runs in; nothing of a single run is kept."""
        chunk: list[RunResult] = []
        for run in runs:
            chunk.append(run)
            if len(chunk) == _CHUNK:
                self._add_chunk(chunk)
                chunk = []
        if chunk:
            self._add_chunk(chunk)

    def _add_chunk(self, runs: list[RunResult]) -> None:
        rows: list[int] = []
        columns: list[int] = []
        entries: list[float] = []
        for row, run in enumerate(runs):
            if run.bench not in self._bench_column:
                raise ValueError(f"run {run.run!r} is from bench {run.bench!r}, which these sums do not know")
            pairs = [(0, run.value - self.centre), (1, 1.0), (self._bench_column[run.bench], 1.0)]
            for share, part in run.shared.items():
                if share not in self._share_column:
                    raise ValueError(f"run {run.run!r} shares {share!r}, which these sums do not know")
                pairs.append((self._share_column[share], part))
            rows += [row] * len(pairs)
            columns += [column for column, _ in pairs]
            entries += [entry for _, entry in pairs]
        self.add_sparse(np.array(rows), np.array(columns), np.array(entries), np.array([run.u_own for run in runs]))

    def add_sparse(self, rows: NDArray[np.int_], columns: NDArray[np.int_], entries: Floats, u_own: Floats) -> None:
        """Take in runs given as entries of X: `columns` 0 value minus centre, 1 one, then shares, then benches."""
        from scipy.sparse import csr_matrix

        order = np.lexsort((columns, rows))
        rows, columns, entries = rows[order], columns[order], entries[order]
        first, second = _pairs(np.bincount(rows, minlength=len(u_own)))
        codes = columns[first] * self.width + columns[second]
        places, where = np.unique(codes, return_inverse=True)
        spread = csr_matrix((entries[first] * entries[second], (where, rows[first])), shape=(len(places), len(u_own)))
        variances = u_own[:, None] ** 2 + self.node_tau[None, :] ** 2
        self.log_determinant += np.log(variances).sum(axis=0)
        totals = (spread @ (1.0 / variances)).T
        i, j = places // self.width, places % self.width
        self.products[:, i, j] += totals
        apart = i != j
        self.products[:, j[apart], i[apart]] += totals[:, apart]
        self.count += len(u_own)

    def merge(self, other: ConsensusSums) -> None:
        """Add the sums of other runs, made with the same benches, shares, centre and scale."""
        mine = (self.benches, self.shares, self.centre, self.scale)
        if mine != (other.benches, other.shares, other.centre, other.scale):
            raise ValueError("these sums were made for other benches, shares or working point; they cannot be merged")
        self.products += other.products
        self.log_determinant += other.log_determinant
        self.count += other.count

    def at(self, tau: Floats) -> tuple[Floats, Floats]:
        """(products, log determinants) at these run-to-run deviations, shapes (g, m, m) and (g,)."""
        s = np.atleast_1d(tau) / (np.atleast_1d(tau) + self.scale)
        if np.any(s > self.node_s[-1]):
            raise ValueError(
                f"a run-to-run deviation of {np.max(tau):g} is beyond what these sums cover "
                f"({self.node_tau[-1]:g}); give a larger scale"
            )
        distance = s[:, None] - self.node_s[None, :]
        exact = distance == 0
        with np.errstate(divide="ignore", invalid="ignore"):
            basis = self._weights / distance
            basis /= basis.sum(axis=1, keepdims=True)
        hit = exact.any(axis=1)
        basis[hit] = exact[hit].astype(float)
        # sums fall like 1/tau**2: what is interpolated is the bounded D^-1 (u**2 + tau**2) form
        bounded = self.products * (self.scale**2 + self.node_tau**2)[:, None, None]
        level = self.log_determinant - self.count * np.log(self.scale**2 + self.node_tau**2)
        tau2 = self.scale**2 + np.atleast_1d(tau) ** 2
        return (
            np.tensordot(basis, bounded, axes=1) / tau2[:, None, None],
            basis @ level + self.count * np.log(tau2),
        )


def _pairs(sizes: NDArray[np.int_]) -> tuple[NDArray[np.int_], NDArray[np.int_]]:
    """Positions of all pairs (first <= second) within consecutive groups of these sizes."""
    starts = np.concatenate([[0], np.cumsum(sizes)[:-1]])
    first, second = [], []
    for size in np.unique(sizes):
        a, b = np.triu_indices(int(size))
        at = starts[sizes == size]
        first.append((at[:, None] + a[None, :]).ravel())
        second.append((at[:, None] + b[None, :]).ravel())
    return np.concatenate(first), np.concatenate(second)
