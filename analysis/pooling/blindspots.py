"""What no single run can see: an amount of air that is off by a constant share.

In one run such an error looks like another enthalpy.  Beside a curve known from elsewhere (the other benches, or a
reference) it shows as residuals that grow with the share of air in the total pressure.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.liquids import GAS_CONSTANT, Liquid
from analysis.pooling.curve import Curve, PooledRun
from analysis.reading_model import ReadingModel, vapour_prior

Floats = NDArray[np.float64]

STEPS = 200  # of the share of air from 0 to 1; the points of one liquid lie within a few hundredths
FEWEST_IN_STEP = 5  # points; the mean of fewer says little


@dataclass(frozen=True)
class RunResiduals:
    """One run's points about a curve: arrays of shape (n,).

    `share` is air over total pressure, `residual` (reading less expectation) over total pressure, both relative.
    """

    run: str
    bench: str
    temperature: Floats
    share: Floats
    residual: Floats


@dataclass(frozen=True)
class ShareStep:
    """Points with a similar share of air: mean share, mean relative residual and its standard error, how many."""

    share: float
    residual: float
    u_residual: float
    points: int


@dataclass(frozen=True)
class AirShare:
    """Do the residuals follow the share of air?

    `slope` is the relative error of the amount of air that would explain them, with its 95 % interval from the
    scatter of the benches (each bench one vote: points of one bench share their errors) and from what the curve itself
    may be off.  `correlation` is that of residual and share over all points; `steps` are means over points with a
    similar share.
    """

    slope: float
    u_slope: float
    interval_95: tuple[float, float]
    p_value: float
    correlation: float
    benches: int
    by_bench: dict[str, float]
    steps: tuple[ShareStep, ...] = ()

    @property
    def significant(self) -> bool:
        return self.p_value < 0.01


def residuals_about(run: PooledRun, liquid: Liquid | None, curve: Curve) -> RunResiduals:
    """The run's points about a curve, all common errors at their stated values."""
    model = ReadingModel(run.points, run.baseline, run.setup, run.sensors, liquid, run.air, leak=False)
    tm = model.mean_temperature
    dz = curve.dz + curve.dz_slope * (tm - curve.temperature)
    slope = float(curve.enthalpy_at(tm)) / dz
    theta = np.array([[float(curve.ln_pressure_at(tm)), slope / (GAS_CONSTANT * tm)]])
    vapour = vapour_prior(liquid, tm, math.exp(theta[0, 0]), slope)
    readings, foreign = model.predict(theta, np.zeros((1, len(model.errors))), vapour, slope)
    # where the two parametrisations differ (dZ, heat capacity), the curve's own line counts
    line = np.exp(curve.ln_pressure_at(model.temperature)) - model.line(model.temperature, theta, vapour)[0]
    expected = readings[0] + line
    return RunResiduals(
        run.run, run.bench, model.temperature, foreign[0] / model.pressure, (model.pressure - expected) / model.pressure
    )


class AirShareSums:
    """Residuals taken in run by run; of fixed size per bench."""

    def __init__(self) -> None:
        self._benches: dict[str, list[float]] = {}
        self._all = np.zeros(6)  # n, x, y, xx, yy, xy of share and residual
        self._steps = np.zeros((STEPS, 4))  # n, x, y, yy of the points of each step of the share

    def add(self, one: RunResiduals) -> None:
        sums = self._benches.setdefault(one.bench, [0.0, 0.0])
        sums[0] += float(one.share @ one.residual)
        sums[1] += float(one.share @ one.share)
        x, y = one.share, one.residual
        self._all += [len(x), x.sum(), y.sum(), x @ x, y @ y, x @ y]
        step = np.clip((x * STEPS).astype(int), 0, STEPS - 1)
        for column, values in enumerate((np.ones_like(x), x, y, y * y)):
            self._steps[:, column] += np.bincount(step, weights=values, minlength=STEPS)

    def _means(self) -> tuple[ShareStep, ...]:
        found = []
        for n, x, y, yy in self._steps.tolist():
            if n >= FEWEST_IN_STEP:
                variance = max(yy - y * y / n, 0.0) / (n - 1)
                found.append(ShareStep(x / n, y / n, math.sqrt(variance / n), int(n)))
        return tuple(found)

    def result(self, u_curve: float = 0.0) -> AirShare:
        """The error of the amount of air, each bench one vote.

        Parameters
        ----------
        u_curve
            Relative standard uncertainty of the curve's vapour pressure; however many benches there are, an error of
            it looks like one of their air.  The degrees of freedom are those of Welch and Satterthwaite.

        Raises
        ------
        ValueError
            Fewer than three benches.
        """
        from scipy.stats import t

        slopes = {bench: a / b for bench, (a, b) in self._benches.items() if b > 0}
        if not len(slopes) >= 3:
            raise ValueError(
                f"the error of the air needs at least three benches with air in the cell; got {len(slopes)}"
            )
        values = np.array(list(slopes.values()))
        count = len(values)
        n, x, y, xx, yy, xy = self._all
        mean, scatter = float(values.mean()), float(np.std(values, ddof=1)) / math.sqrt(count)
        # a curve that is too high by a share of the vapour's pressure lowers each residual by (1 - share) of it
        u = math.hypot(scatter, u_curve * (x - xx) / xx)
        freedom = (count - 1) * (u / scatter) ** 4 if scatter > 0 else math.inf
        half = float(t.isf(0.025, freedom)) * u
        p_value = 2 * float(t.sf(abs(mean) / u, freedom)) if u > 0 else float(mean == 0)
        spread = math.sqrt(max((xx - x * x / n) * (yy - y * y / n), 0.0))
        correlation = (xy - x * y / n) / spread if spread > 0 else 0.0
        return AirShare(mean, u, (mean - half, mean + half), p_value, correlation, count, slopes, self._means())


def air_share(residuals: Iterable[RunResiduals], u_curve: float = 0.0) -> AirShare:
    """Error of the amount of air from the residuals about a curve that is known from elsewhere.

    Within each bench the slope of residual over share is fitted with no intercept, since an error in the air vanishes
    where there is no air; the benches' slopes are averaged with equal weight.

    Raises
    ------
    ValueError
        Fewer than three benches.

    Notes
    -----
    A curve fitted to the same runs has already taken up what all of them have in common: about it the mean slope says
    nothing, and only the benches' differences do.  For the common error give a reference curve.
    """
    sums = AirShareSums()
    for one in residuals:
        sums.add(one)
    return sums.result(u_curve)
