"""Outlier tests of an interlaboratory experiment: Cochran, Grubbs (one and two values), Mandel's h and k.

Critical values come from the distributions themselves, not from printed tables.  Knows nothing of runs or benches.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

_GRID = 2001  # steps of the angle; the exact recursion is then good to 1e-5 in probability (checked by simulation)


@dataclass(frozen=True)
class OutlierTest:
    """One test with the numbers it was decided on.

    `outlier` follows the 1 % limit and `straggler` the 5 % limit, the two levels of ISO 5725-2, 7.3.3.
    """

    name: str
    statistic: float
    critical_5: float
    critical_1: float
    suspects: tuple[int, ...]  # positions in the data handed in
    large_is_bad: bool = True  # False: small values of the statistic speak against the suspects

    def _beyond(self, limit: float) -> bool:
        return self.statistic > limit if self.large_is_bad else self.statistic < limit

    @property
    def outlier(self) -> bool:
        return self._beyond(self.critical_1)

    @property
    def straggler(self) -> bool:
        return self._beyond(self.critical_5) and not self.outlier


def cochran_critical(laboratories: int, replicates: float, alpha: float) -> float:
    r"""Critical value of Cochran's C, the largest variance over the sum of variances.

    .. math:: C = 1 / [1 + (p-1) / F_{1-\alpha/p}(\nu, (p-1)\nu)], \quad \nu = n - 1

    Parameters
    ----------
    laboratories : int
        Number p of variances.
    replicates : float
        Number n of values behind each variance; for unequal numbers the most frequent one.
    alpha : float
        Probability of exceeding by chance.

    Raises
    ------
    ValueError
        Fewer than two laboratories or replicates.

    References
    ----------
    .. [1] W. G. Cochran, Annals of Eugenics 11 (1941) 47-52.  The bound over the p variances is exact where two of
       them cannot both exceed it (C > 1/2) and conservative by less than alpha**2 / 2 elsewhere.
    """
    from scipy.stats import f as fisher

    if not (laboratories >= 2 and replicates >= 2):
        raise ValueError(f"Cochran's test needs two variances of two values each; got {laboratories} of {replicates}")
    dof = replicates - 1.0
    upper = float(fisher.isf(alpha / laboratories, dof, (laboratories - 1) * dof))
    return 1.0 / (1.0 + (laboratories - 1) / upper)


def cochran_test(deviations: ArrayLike, replicates: float) -> OutlierTest:
    """Is the largest of the within-laboratory standard deviations too large?  (ISO 5725-2, 7.3.3)"""
    variances = np.asarray(deviations, float) ** 2
    total = float(variances.sum())
    worst = int(np.argmax(variances))
    statistic = float(variances[worst] / total) if total > 0 else 0.0
    count = len(variances)
    return OutlierTest(
        "Cochran",
        statistic,
        cochran_critical(count, replicates, 0.05),
        cochran_critical(count, replicates, 0.01),
        (worst,),
    )


@lru_cache(maxsize=128)
def _largest_deviation_table(count: int) -> tuple[Floats, Floats]:
    """(u, P(G <= u)) for G = max(x - mean)/s of `count` normal values, by Grubbs' recursion over the count.

    With t = t_max sin(angle) the density of one deviation is a power of the cosine, smooth up to both ends.
    """
    angle = np.linspace(0.0, math.pi / 2, _GRID)
    largest = (count - 1) / math.sqrt(count)
    deviation = largest * np.sin(angle)
    if count == 3:
        return deviation, np.clip(3.0 / math.pi * (angle - math.pi / 6), 0.0, 1.0)
    below_u, below_p = _largest_deviation_table(count - 1)
    remaining = (count - 1) - count * deviation**2 / (count - 1)
    with np.errstate(divide="ignore", invalid="ignore"):
        others = count / (count - 1) * deviation / np.sqrt(np.maximum(remaining, 0.0) / (count - 2))
    others[-1] = math.inf
    norm = math.exp(math.lgamma((count - 1) / 2) - math.lgamma((count - 2) / 2)) / math.sqrt(math.pi)
    density = count * norm * np.cos(angle) ** (count - 3) * np.interp(others, below_u, below_p, left=0.0, right=1.0)
    steps = (density[1:] + density[:-1]) / 2 * np.diff(angle)
    return deviation, np.concatenate([[0.0], np.cumsum(steps)])


def grubbs_probability(statistic: float, count: int) -> float:
    """P(max(x - mean)/s > statistic) for `count` normal values, exact up to quadrature (about 1e-5).

    References
    ----------
    .. [1] F. E. Grubbs, Annals of Mathematical Statistics 21 (1950) 27-58: recursion over the sample size.
    """
    if not count >= 3:
        raise ValueError(f"Grubbs' test needs at least 3 values; got {count}")
    deviation, probability = _largest_deviation_table(count)
    return float(1.0 - np.interp(statistic, deviation, probability / probability[-1]))


def grubbs_critical(count: int, alpha: float) -> float:
    r"""Critical value of (largest - mean)/s, one side.

    .. math:: G = \frac{n-1}{\sqrt n} \sqrt{\frac{t^2}{n-2+t^2}}, \quad t = t_{1-\alpha/n}(n-2)

    exact wherever two values cannot both exceed G, which holds for the usual levels.  ISO 5725-2 tests both ends,
    so its "5 %" is alpha = 0.025 here.
    """
    from scipy.stats import t as student

    if not count >= 3:
        raise ValueError(f"Grubbs' test needs at least 3 values; got {count}")
    squared = float(student.isf(alpha / count, count - 2)) ** 2
    return (count - 1) / math.sqrt(count) * math.sqrt(squared / (count - 2 + squared))


def grubbs_test(values: ArrayLike, *, largest: bool) -> OutlierTest:
    """Is the largest (or smallest) value an outlier?  (ISO 5725-2, 7.3.4.1)"""
    data = np.asarray(values, float)
    suspect = int(np.argmax(data) if largest else np.argmin(data))
    spread = float(np.std(data, ddof=1))
    statistic = abs(float(data[suspect] - data.mean())) / spread if spread > 0 else 0.0
    name = "Grubbs, largest" if largest else "Grubbs, smallest"
    count = len(data)
    return OutlierTest(name, statistic, grubbs_critical(count, 0.025), grubbs_critical(count, 0.005), (suspect,))


def grubbs_pair_probability(ratio: float, count: int) -> float:
    """P(sum of squares without the two largest, over the whole sum of squares, < ratio) for normal values.

    Given the pair, the ratio is beta distributed and the direction of the two deviations is uniform; what is left
    is the probability that the others stay below the smaller one, which is the one-value distribution of the rest.
    """
    if not count >= 5:
        raise ValueError(f"the test of two values needs at least 5 values; got {count}")
    if ratio <= 0:
        return 0.0
    rest = count - 2
    power = (count - 3) / 2
    top = min(ratio, 1.0) ** power
    # midpoints: the integrand is smooth except for the edge where a value stops being among the two largest
    uniform = (np.arange(400) + 0.5) / 400 * top
    angle = (np.arange(400) + 0.5) / 400 * math.pi
    left = np.maximum(uniform[:, None] ** (1 / power), 1e-12)  # many values: the power underflows
    radius = np.sqrt(np.maximum(1 - left, 0.0))
    smaller = radius * (np.cos(angle) * math.sqrt(count / rest) - np.sin(angle)) / math.sqrt(2)
    scaled = smaller / np.sqrt(left / (rest - 1))
    deviation, probability = _largest_deviation_table(rest)
    inside = np.interp(scaled, deviation, probability / probability[-1], left=0.0, right=1.0)
    return float(math.comb(count, 2) * top * inside.mean())


@lru_cache(maxsize=256)
def grubbs_pair_critical(count: int, alpha: float) -> float:
    """Critical value of the two-value ratio, one side: smaller ratios speak against the pair."""
    from scipy.optimize import brentq

    return float(brentq(lambda c: grubbs_pair_probability(c, count) - alpha, 1e-9, 1.0, xtol=1e-7))


def grubbs_pair_test(values: ArrayLike, *, largest: bool) -> OutlierTest:
    """Are the two largest (or two smallest) values outliers together?  (ISO 5725-2, 7.3.4.2)"""
    data = np.asarray(values, float)
    order = np.argsort(data)
    pair = order[-2:] if largest else order[:2]
    whole = float(np.sum((data - data.mean()) ** 2))
    rest = np.delete(data, pair)
    statistic = float(np.sum((rest - rest.mean()) ** 2)) / whole if whole > 0 else 1.0
    count = len(data)
    return OutlierTest(
        "Grubbs, two largest" if largest else "Grubbs, two smallest",
        statistic,
        grubbs_pair_critical(count, 0.025),
        grubbs_pair_critical(count, 0.005),
        tuple(int(i) for i in pair),
        large_is_bad=False,
    )


def mandel_h_critical(laboratories: int, alpha: float) -> float:
    r"""Indicator line of Mandel's h, two sides: :math:`(p-1) t / \sqrt{p (t^2 + p - 2)}`, t at 1 - alpha/2."""
    from scipy.stats import t as student

    if not laboratories >= 3:
        raise ValueError(f"Mandel's h needs at least 3 laboratories; got {laboratories}")
    quantile = float(student.isf(alpha / 2, laboratories - 2))
    return (laboratories - 1) * quantile / math.sqrt(laboratories * (quantile**2 + laboratories - 2))


def mandel_k_critical(laboratories: int, replicates: float, alpha: float) -> float:
    r"""Indicator line of Mandel's k: :math:`\sqrt{p F / (F + p - 1)}`, F at 1 - alpha for (n-1, (p-1)(n-1))."""
    from scipy.stats import f as fisher

    if not (laboratories >= 2 and replicates >= 2):
        raise ValueError(f"Mandel's k needs two laboratories of two values; got {laboratories} of {replicates}")
    dof = replicates - 1.0
    upper = float(fisher.isf(alpha, dof, (laboratories - 1) * dof))
    return math.sqrt(laboratories * upper / (upper + laboratories - 1))
