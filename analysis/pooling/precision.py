"""Repeatability and reproducibility of a method from several benches with repeated runs (ISO 5725-2)."""

from __future__ import annotations

import math
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.pooling.outliers import (
    OutlierTest,
    cochran_test,
    grubbs_pair_test,
    grubbs_test,
    mandel_h_critical,
    mandel_k_critical,
)

Floats = NDArray[np.float64]


@dataclass
class BenchMoments:
    """Number, mean and sum of squared deviations of one bench's results, taken in one by one (B. P. Welford, 1962)."""

    count: int = 0
    mean: float = 0.0
    squares: float = 0.0

    def add(self, value: float) -> None:
        self.count += 1
        step = value - self.mean
        self.mean += step / self.count
        self.squares += step * (value - self.mean)

    def add_all(self, values: Floats) -> None:
        """Take many in at once (T. F. Chan, G. H. Golub and R. J. LeVeque, 1979)."""
        if not len(values):
            return
        mean, before = float(values.mean()), self.count
        self.count += len(values)
        step = mean - self.mean
        self.mean += step * len(values) / self.count
        self.squares += float(((values - mean) ** 2).sum()) + step * step * before * len(values) / self.count

    @property
    def deviation(self) -> float:
        """Standard deviation, NaN for a single result."""
        return math.sqrt(self.squares / (self.count - 1)) if self.count > 1 else math.nan


#: Results of each bench: all of them, or what is left of them in a stream.
Results = Mapping[Hashable, Sequence[float] | BenchMoments]


@dataclass(frozen=True)
class Precision:
    """What ISO 5725-2 reports for one level.

    `u_mean` is the standard uncertainty of `mean` from the scatter between benches alone; nothing the benches have
    in common can show in it.
    """

    benches: tuple[Hashable, ...]
    counts: tuple[int, ...]
    mean: float
    repeatability: float  # s_r
    between: float  # s_L, zero when the estimate of its square is negative
    reproducibility: float  # s_R
    u_mean: float
    dof_within: int

    @property
    def repeatability_limit(self) -> float:
        """r = 2.8 s_r: two runs of one bench differ by more in 1 of 20 cases.  (ISO 5725-6, 4.1.4)"""
        return 2.8 * self.repeatability

    @property
    def reproducibility_limit(self) -> float:
        """R = 2.8 s_R: runs of two benches differ by more in 1 of 20 cases.  (ISO 5725-6, 4.1.4)"""
        return 2.8 * self.reproducibility


@dataclass(frozen=True)
class Consistency:
    """Mandel's h (bench means) and k (bench scatters) with their indicator lines, and the outlier tests."""

    benches: tuple[Hashable, ...]
    h: Floats
    k: Floats  # NaN where a bench has one run
    h_lines: tuple[float, float]  # 5 %, 1 %
    k_lines: tuple[float, float]  # at the most frequent number of runs; NaN where no bench has two
    tests: tuple[OutlierTest, ...]


def _moments(values: Results) -> tuple[list[Hashable], list[BenchMoments]]:
    names, found = [], []
    for name, data in values.items():
        moments = data if isinstance(data, BenchMoments) else BenchMoments()
        if not isinstance(data, BenchMoments):
            for value in data:
                moments.add(float(value))
        if moments.count:
            names.append(name)
            found.append(moments)
    return names, found


def precision(values: Results) -> Precision:
    r"""Mean, repeatability and reproducibility standard deviations.

    .. math::
        s_r^2 = \frac{\sum (n_i-1) s_i^2}{\sum (n_i-1)}, \quad
        s_L^2 = \frac{s_d^2 - s_r^2}{\bar{\bar n}}, \quad s_R^2 = s_r^2 + s_L^2

    Parameters
    ----------
    values : mapping of bench to its results
        Any unit.

    Raises
    ------
    ValueError
        Fewer than two benches, or no bench with two runs.

    References
    ----------
    .. [1] ISO 5725-2:1994, 7.4.4 and 7.4.5.
    """
    names, groups = _moments(values)
    counts = np.array([group.count for group in groups], float)
    benches, total = len(groups), float(counts.sum())
    dof_within = int(total) - benches
    if not (benches >= 2 and dof_within >= 1):
        raise ValueError(
            f"repeatability needs at least two benches and one bench with two runs; got {benches} benches and "
            f"{int(total)} runs"
        )
    means = np.array([group.mean for group in groups])
    within = math.fsum(group.squares for group in groups) / dof_within
    mean = float(np.sum(counts * means) / total)
    spread = float(np.sum(counts * (means - mean) ** 2)) / (benches - 1)
    effective = (total - float(np.sum(counts**2)) / total) / (benches - 1)
    between = max(0.0, (spread - within) / effective)
    u_mean = math.sqrt(between * float(np.sum(counts**2)) / total**2 + within / total)
    return Precision(
        benches=tuple(names),
        counts=tuple(int(count) for count in counts),
        mean=mean,
        repeatability=math.sqrt(within),
        between=math.sqrt(between),
        reproducibility=math.sqrt(within + between),
        u_mean=u_mean,
        dof_within=dof_within,
    )


def consistency(values: Results) -> Consistency:
    """Mandel's h and k, Cochran's and Grubbs' tests over the benches.  (ISO 5725-2:1994, 7.3)

    Raises
    ------
    ValueError
        Fewer than three benches.
    """
    names, groups = _moments(values)
    benches = len(groups)
    if not benches >= 3:
        raise ValueError(f"a comparison of benches needs at least three of them; got {benches}")
    means = np.array([group.mean for group in groups])
    spread = float(np.std(means, ddof=1))
    h = (means - means.mean()) / spread if spread > 0 else np.zeros(benches)
    repeated = [i for i, group in enumerate(groups) if group.count >= 2]
    deviations = np.array([groups[i].deviation for i in repeated])
    k = np.full(benches, math.nan)
    k_lines = (math.nan, math.nan)
    tests: list[OutlierTest] = []
    if len(repeated) >= 2:
        dof = np.array([groups[i].count - 1 for i in repeated], float)
        pooled = math.sqrt(float(np.sum(dof * deviations**2) / dof.sum()))
        k[repeated] = deviations / pooled if pooled > 0 else 0.0
        numbers = [groups[i].count for i in repeated]
        usual = max(set(numbers), key=lambda n: (numbers.count(n), n))
        k_lines = (
            mandel_k_critical(len(repeated), usual, 0.05),
            mandel_k_critical(len(repeated), usual, 0.01),
        )
        cochran = cochran_test(deviations, usual)
        tests.append(
            OutlierTest(
                cochran.name,
                cochran.statistic,
                cochran.critical_5,
                cochran.critical_1,
                tuple(repeated[i] for i in cochran.suspects),
            )
        )
    tests += [grubbs_test(means, largest=True), grubbs_test(means, largest=False)]
    if benches >= 5:
        tests += [grubbs_pair_test(means, largest=True), grubbs_pair_test(means, largest=False)]
    return Consistency(
        benches=tuple(names),
        h=h,
        k=k,
        h_lines=(mandel_h_critical(benches, 0.05), mandel_h_critical(benches, 0.01)),
        k_lines=k_lines,
        tests=tuple(tests),
    )
