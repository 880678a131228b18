"""Everything a consensus needs of many runs, as sums of fixed size: runs stream through and are forgotten.

The covariance of the values is D + C C' + Z diag(tau_bench**2 + own_b**2) Z' with D = diag(u_own**2 + tau_run**2), C
the parts that runs of several benches share, Z the bench of each run, and own_b what only the runs of bench b share.
By the matrix inversion lemma only X' D^-1 X with X = [y, 1, C, Z] and log|D| are needed, and the part of Z is
diagonal.  They are summed at fixed Chebyshev nodes of tau_run and interpolated between them: as functions of
s = tau/(tau + scale) they are analytic around [0, 1], so 33 nodes give 1e-9 relative for own uncertainties within a
factor of three of the scale.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from analysis.pooling.runs import Parts, RunResult, Share

Floats = NDArray[np.float64]
Ints = NDArray[np.int_]

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
    benches
        All benches that will occur.
    shares
        Things that runs of several benches share.
    exclusive
        Things that only runs of one bench share: their parts are taken to be the same in all runs of that bench.
        A run with a bench or thing that is in none of the three is refused.
    centre, scale : float
        A rough value and own uncertainty of the runs [unit of value]; they set the working point, not the answer.

    Attributes
    ----------
    products : array, shape (NODES, m, m)
        Over [y, 1, shares]: y the value less `centre`.
    crosses : array, shape (NODES, benches, m)
        Of each bench's column with the same; that with 1 is also the bench's own square.
    """

    def __init__(
        self,
        benches: Sequence[str],
        shares: Sequence[Share],
        exclusive: Collection[Share] = (),
        *,
        centre: float,
        scale: float,
    ) -> None:
        if not scale > 0:
            raise ValueError(f"the scale of the sums is {scale:g}; it must be above zero")
        self.benches, self.shares, self.exclusive = tuple(benches), tuple(shares), frozenset(exclusive)
        self.centre, self.scale = float(centre), float(scale)
        self._bench = {name: i for i, name in enumerate(self.benches)}
        self._share = {share: 2 + i for i, share in enumerate(self.shares)}
        self.width = 2 + len(self.shares)
        self.node_s, self._weights = _nodes()
        self.node_tau = self.scale * self.node_s / (1 - self.node_s)
        self.products = np.zeros((NODES, self.width, self.width))
        self.crosses = np.zeros((NODES, len(self.benches), self.width))
        self.log_determinant = np.zeros(NODES)
        self.own_squares = np.zeros(len(self.benches))
        self.runs = np.zeros(len(self.benches))
        self.count = 0

    @property
    def own2(self) -> Floats:
        """Variance of what only the runs of a bench share, shape (benches,)."""
        return self.own_squares / np.maximum(self.runs, 1)

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
        self.add_columns(
            [run.run for run in runs],
            [run.bench for run in runs],
            np.array([run.value for run in runs]),
            np.array([run.u_own for run in runs]),
            Parts.of(run.shared.items() for run in runs),
        )

    def add_columns(
        self, names: Sequence[str], benches: Sequence[str], value: Floats, u_own: Floats, parts: Parts
    ) -> None:
        """Take in runs whose names, benches, values, own and shared uncertainties stand side by side.

        Raises
        ------
        ValueError
            A value or uncertainty that cannot be, a bench or thing that these sums do not know.
        """
        for row in np.flatnonzero(~(np.isfinite(value) & np.isfinite(u_own) & (u_own > 0))).tolist():
            RunResult(names[row], benches[row], float(value[row]), float(u_own[row]))  # says what is wrong with it
        places = [self._bench.get(name, -1) for name in benches]
        if -1 in places:
            row = places.index(-1)
            raise ValueError(f"run {names[row]!r} is from bench {benches[row]!r}, which these sums do not know")
        bench = np.array(places, int)
        # column of each thing; 0 stands for what only the runs of one bench share
        known = np.array([self._share.get(thing, 0 if thing in self.exclusive else -1) for thing in parts.things], int)
        column = known[parts.thing]
        if (column < 0).any():
            at = int(np.flatnonzero(column < 0)[0])
            raise ValueError(
                f"run {names[parts.run[at]]!r} shares {parts.things[parts.thing[at]]!r}, which these sums do not know"
            )
        alone, every = column == 0, np.arange(len(value))
        own = np.bincount(parts.run[alone], parts.part[alone] ** 2, len(value))
        np.add.at(self.own_squares, bench, own)
        rows = np.concatenate([every, every, parts.run[~alone]])
        columns = np.concatenate([np.zeros_like(every), np.ones_like(every), column[~alone]])
        entries = np.concatenate([value - self.centre, np.ones(len(value)), parts.part[~alone]])
        order = np.argsort(rows, kind="stable")
        self._add_sparse(rows[order], columns[order], entries[order], bench, u_own)

    def _add_sparse(self, rows: Ints, columns: Ints, entries: Floats, bench: Ints, u_own: Floats) -> None:
        from scipy.sparse import csr_matrix

        count = len(u_own)
        weights = 1.0 / (u_own[:, None] ** 2 + self.node_tau[None, :] ** 2)
        self.log_determinant -= np.log(weights).sum(axis=0)
        np.add.at(self.runs, bench, 1.0)
        self.count += count
        # products of all pairs of entries of a run, summed into their places for all nodes at once
        first, second = _pairs(np.bincount(rows, minlength=count))
        codes = columns[first] * self.width + columns[second]
        places, where = np.unique(codes, return_inverse=True)
        spread = csr_matrix((entries[first] * entries[second], (where, rows[first])), shape=(len(places), count))
        totals = (spread @ weights).T
        i, j = places // self.width, places % self.width
        self.products[:, i, j] += totals
        apart = i != j
        self.products[:, j[apart], i[apart]] += totals[:, apart]
        codes = bench[rows] * self.width + columns
        places, where = np.unique(codes, return_inverse=True)
        spread = csr_matrix((entries, (where, rows)), shape=(len(places), count))
        self.crosses[:, places // self.width, places % self.width] += (spread @ weights).T

    def merge(self, other: ConsensusSums) -> None:
        """Add the sums of other runs, made with the same benches, shares, centre and scale."""
        mine = (self.benches, self.shares, self.exclusive, self.centre, self.scale)
        if mine != (other.benches, other.shares, other.exclusive, other.centre, other.scale):
            raise ValueError("these sums were made for other benches, shares or working point; they cannot be merged")
        for name in ("products", "crosses", "log_determinant", "own_squares", "runs"):
            getattr(self, name)[...] += getattr(other, name)
        self.count += other.count

    def at(self, tau: Floats) -> tuple[Floats, Floats, Floats]:
        """(products, crosses, log determinants) at these run-to-run deviations, shape (g, ...)."""
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
        # sums fall like 1/tau**2: what is interpolated is the bounded D^-1 (scale**2 + tau**2) form
        level = self.scale**2 + self.node_tau**2
        tau2 = self.scale**2 + np.atleast_1d(tau) ** 2
        bounded = basis * level[None, :] / tau2[:, None]
        return (
            np.tensordot(bounded, self.products, axes=1),
            np.tensordot(bounded, self.crosses, axes=1),
            basis @ (self.log_determinant - self.count * np.log(level)) + self.count * np.log(tau2),
        )


def _pairs(sizes: Ints) -> tuple[Ints, Ints]:
    """Positions of all pairs (first <= second) within consecutive groups of these sizes."""
    starts = np.concatenate([[0], np.cumsum(sizes)[:-1]])
    first, second = [], []
    for size in np.unique(sizes):
        a, b = np.triu_indices(int(size))
        at = starts[sizes == size]
        first.append((at[:, None] + a[None, :]).ravel())
        second.append((at[:, None] + b[None, :]).ravel())
    return np.concatenate(first), np.concatenate(second)
