"""Everything a consensus needs of many runs, as sums of fixed size: runs stream through and are forgotten.

Within a bench runs count by D^-1 with D = diag(u_own**2 + tau_run**2), whatever they share: of each bench only the sums
of weights, of weighted values and of weighted shared parts are kept, and over all benches the sum of weighted squares
and log|D|.  Benches are weighed against each other afterwards (`weights`).  The sums are made at fixed Chebyshev nodes
of tau_run and interpolated between them: as functions of s = tau/(tau + scale) they are analytic around [0, 1], so 33
nodes give 1e-9 relative for own uncertainties within a factor of three of the scale.
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
    squares : array, shape (NODES,)
        Weighted squares of y, the value less `centre`.
    crosses : array, shape (NODES, benches, 2 + shares)
        Weighted sums of y, of 1 and of the parts of each bench's runs.
    members, parts : array, shape (benches, shares)
        How many runs of a bench share a thing, and the sum of their parts.
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
        self.squares = np.zeros(NODES)
        self.crosses = np.zeros((NODES, len(self.benches), self.width))
        self.log_determinant = np.zeros(NODES)
        self.members = np.zeros((len(self.benches), len(self.shares)))
        self.parts = np.zeros((len(self.benches), len(self.shares)))
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
        rows, columns, part = parts.run[~alone], column[~alone], parts.part[~alone]
        np.add.at(self.members, (bench[rows], columns - 2), 1.0)
        np.add.at(self.parts, (bench[rows], columns - 2), part)
        rows = np.concatenate([every, every, rows])
        columns = np.concatenate([np.zeros_like(every), np.ones_like(every), columns])
        entries = np.concatenate([value - self.centre, np.ones(len(value)), part])
        self._add_weighted(rows, columns, entries, bench, u_own)

    def _add_weighted(self, rows: Ints, columns: Ints, entries: Floats, bench: Ints, u_own: Floats) -> None:
        from scipy.sparse import csr_matrix

        count = len(u_own)
        weights = 1.0 / (u_own[:, None] ** 2 + self.node_tau[None, :] ** 2)
        self.log_determinant -= np.log(weights).sum(axis=0)
        self.squares += entries[:count] ** 2 @ weights  # the values come first
        np.add.at(self.runs, bench, 1.0)
        self.count += count
        # all entries of a bench and column, summed into their place for all nodes at once
        codes = bench[rows] * self.width + columns
        places, where = np.unique(codes, return_inverse=True)
        spread = csr_matrix((entries, (where, rows)), shape=(len(places), count))
        self.crosses[:, places // self.width, places % self.width] += (spread @ weights).T

    def merge(self, other: ConsensusSums) -> None:
        """Add the sums of other runs, made with the same benches, shares, centre and scale."""
        mine = (self.benches, self.shares, self.exclusive, self.centre, self.scale)
        if mine != (other.benches, other.shares, other.exclusive, other.centre, other.scale):
            raise ValueError("these sums were made for other benches, shares or working point; they cannot be merged")
        for name in ("squares", "crosses", "log_determinant", "members", "parts", "own_squares", "runs"):
            getattr(self, name)[...] += getattr(other, name)
        self.count += other.count

    def at(self, tau: Floats) -> tuple[Floats, Floats, Floats]:
        """(squares, crosses, log determinants) at these run-to-run deviations, shape (g, ...)."""
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
            bounded @ self.squares,
            np.tensordot(bounded, self.crosses, axes=1),
            basis @ (self.log_determinant - self.count * np.log(level)) + self.count * np.log(tau2),
        )
