"""Ties the lag model to a cell: reference point, scale of the pressure, saturation curve, bridging of bath readings."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from analysis.settling.drift import Drift
from analysis.settling.hypotheses import Grid, make_grid
from analysis.settling.lag_answers import LagAnswers, answers
from analysis.settling.lag_filters import MOST_SECONDS, Curve
from analysis.settling.lag_model import LagModel
from analysis.settling.lag_prior import LagPrior
from analysis.settling.trail import Array

#: The saturation curve is tabulated this far below and above the reference, this finely.  [K]
BELOW, ABOVE, KNOT = 40.0, 80.0, 0.25
#: Heats of evaporation over R T of liquids, within which they are believed.
HEATS = (10.0, 25.0)
#: Seconds between forecasts, at least.
FORECAST_EVERY = 6
#: The heat of evaporation is followed in steps of this share of the liquid's own: lags are worked out anew for each.
COOLING_STEP = 0.02


def cell_curves(beta: Callable[[float], float], air_slope: float, reference: float) -> tuple[Curve, Curve]:
    """What evaporation and what warm gas add to the pressure, in units of beta at the reference, by the trapezium rule.

    Air and vapour that are there expand with the gas's own temperature, by p/T a kelvin; what is left of beta is vapour
    that has to evaporate.  The vapour's pressure follows from its slope, p = beta R T^2/L, and L/(R T) from how
    the slope grows with temperature, d ln(beta)/d ln(T) = L/(R T) - 2 where L changes little.

    Where the vapour part comes out below 2 % of beta (a beta that is too small, far below the reference) it is
    held there, so that the curve stays increasing.
    """
    knots = np.arange(-BELOW, ABOVE + KNOT / 2, KNOT)
    total = np.array([float(beta(reference + x)) for x in knots])
    scale = float(beta(reference))
    vapour = np.maximum((total - air_slope) / scale, 0.02)
    growth = np.gradient(np.log(vapour), np.log(reference + knots))
    share = 1.0 / np.clip(growth + 2.0, *HEATS)
    return _integrated(knots, vapour * (1.0 - share)), _integrated(knots, air_slope / scale + vapour * share)


def _integrated(knots: Array, slopes: Array) -> Curve:
    values = np.concatenate([[0.0], np.cumsum(0.5 * KNOT * (slopes[1:] + slopes[:-1]))])
    return knots, values - float(np.interp(0.0, knots, values)), slopes


@dataclass(frozen=True, slots=True)
class CellCurve:
    """What the follower needs to know of a cell.

    beta [K] -> [Pa/K], its air part [Pa/K], how sure beta is, and by how much the charge cools when its vapour grows by
    a pascal [K] -> [K/Pa].
    """

    beta: Callable[[float], float]
    air_slope: float
    u_gain: float = 0.2
    cooling: Callable[[float], float] | None = None


class Follower:
    """The lag model of one charge of one cell.

    Parameters
    ----------
    cell : CellCurve
    temperature, pressure : float
        Reference point, where the cell is taken to be at rest.  [K, Pa]
    missing : float
        Vapour that a fresh charge has still to build up, roughly, in kelvin-equivalents.  [K]
    """

    def __init__(
        self,
        cell: CellCurve,
        temperature: float,
        pressure: float,
        *,
        missing: float = 0.0,
        grid: Grid | None = None,
        prior: LagPrior | None = None,
    ) -> None:
        self.reference, self.pressure0 = temperature, pressure
        self.scale = float(cell.beta(temperature))
        self._curve, gas_curve = cell_curves(cell.beta, cell.air_slope, temperature)
        self.model = LagModel(grid or make_grid(), prior or LagPrior(gain=cell.u_gain))
        self.model.set_cell(self._curve, gas_curve)
        self.model.start(0.0, 0.0, missing)
        self._cooling = cell.cooling
        self._follow_cooling(0.0)
        self._expected = math.nan  # pressure that comes next  [K-equivalents above the reference], and its change
        self._rise = 0.0
        self._forecast: tuple[float, float, float] | None = None
        self._forecast_at = 0
        self._saved: tuple[Array, ...] | None = None

    def advance(self, temperatures: Array, pressures: Array, noise: Array) -> tuple[Array, Array, Array]:
        """Some seconds on, `MOST_SECONDS` at most.

        Parameters
        ----------
        temperatures, pressures : array, shape (n,)
            Of the bath [K], and of the cell [Pa], NaN where there is no reading.
        noise : array, shape (n,)
            Noise variance of the pressures.  [Pa^2]

        Returns
        -------
        What each pressure is off its prediction and the sd of that [K-equivalents], and how much of the transient was
        left [K]; shape (n,) each.
        """
        self._follow_cooling(float(temperatures[0]) - self.reference)
        mean, variance, transient = self.model.advance(temperatures - self.reference)
        miss = (pressures - self.pressure0) / self.scale - mean
        self._rise = float(mean[-1] - mean[0]) / (len(mean) - 1) if len(mean) > 1 else 0.0
        self._expected = float(mean[-1])
        return miss, np.sqrt(variance + noise / self.scale**2), transient

    def _follow_cooling(self, level: float) -> None:
        """The steeper the saturation curve, the more vapour a kelvin calls for and the more heat that takes."""
        if self._cooling is None:
            return
        slope = self.scale * float(np.interp(level, self._curve[0], self._curve[2]))
        now = slope * float(self._cooling(self.reference + level))
        if abs(now - self.model.filters.cooling) > 0.75 * COOLING_STEP:  # not to and fro with every reading
            self.model.set_cooling(COOLING_STEP * round(now / COOLING_STEP))

    def off(self, pressure: float, ahead: int) -> float:
        """Roughly how far this pressure [Pa] is off its course, so many seconds after the last.  [K-equivalents]"""
        return abs((pressure - self.pressure0) / self.scale - self._expected - ahead * self._rise)

    def learn(self, pressures: Array, noise: Array) -> None:
        """Learn from the pressures [Pa] of the seconds just advanced with their variances [Pa^2]; inf: left out."""
        self.model.learn((pressures - self.pressure0) / self.scale, noise / self.scale**2)

    def save(self) -> None:
        """Remember the bath side, in case the readings that follow turn out to be a lifted probe."""
        self._saved = self.model.filters.copy_state()

    def rewrite(self, temperatures: list[float]) -> None:
        """Go back to `save` and follow these temperatures [K] instead, one per second."""
        if self._saved is None:
            return
        filters = self.model.filters
        filters.restore(self._saved)
        levels = np.array(temperatures) - self.reference
        for k in range(0, len(levels), MOST_SECONDS):
            filters.advance(levels[k : k + MOST_SECONDS], self._curve)
        self._saved = None

    def vapour_slope(self, temperature: float) -> float:
        """Slope of the saturation curve, in reference units."""
        return float(np.interp(temperature - self.reference, self._curve[0], self._curve[2]))

    def ask(self, temperature: float, bath: Drift, tolerance: float) -> LagAnswers | None:
        """See `lag_answers.answers`; temperature in K.

        The forecast is made every few seconds and counted down.
        """
        due = self._forecast is None or self.model.count - self._forecast_at >= FORECAST_EVERY
        found = answers(
            self.model, self.vapour_slope(temperature), bath, temperature - bath.value, tolerance, forecasting=due
        )
        if found is not None and due:
            self._forecast, self._forecast_at = found.level_in, self.model.count
        return found if found is None or due else replace(found, level_in=self._counted_down())

    def _counted_down(self) -> tuple[float, float, float] | None:
        if self._forecast is None:
            return None
        passed = float(self.model.count - self._forecast_at)
        low, middle, high = (max(x - passed, 0.0) for x in self._forecast)
        return low, middle, high
