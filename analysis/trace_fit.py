"""All readings after the charge at once: lags, leak and a second look at the line.  A cross-check, never the headline.

The liquid follows the probe's bath through one lag; the vapour follows the liquid through another, a shorter one while
it condenses, and creeps into the tubing; the air follows the liquid's temperature through a third and leaks with the
over-pressure.  What the lags of a real cell do beyond that leaves correlated
residuals, which are whitened; even so an interval from so many readings is too sure of itself, and is not given.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.evaporation_heat import liquid_capacity
from analysis.fit_input import SensorPriors
from analysis.liquids import GAS_CONSTANT, Liquid
from analysis.reading_model import LEAK_PRIOR, vapour_prior
from analysis.refusal import FitRefused
from analysis.trace_lags import BLOCK, Lagged, Rows, block_means, follow, on_a_drift, once_each
from analysis.trapped_air import (
    SOLUTION_TIME,
    CellSetup,
    SealedBaseline,
    air_inputs,
    air_pressure,
    undissolved_air,
)

Array = NDArray[np.float64]
AFTER_CHARGE = 90.0  # [s] left out: splashing, chill of evaporation
LEAST_BLOCKS, LEAST_SPAN = 40, 3.0  # [1], [K]
#: Standard deviations: a search that moves by less has arrived; one that only goes to and fro by less has found what
#: there is.
ARRIVED, NEARLY = 0.005, 0.2
STEPS, JUDGED_FROM, SETTLING = 60, 4, 12  # in all; from the one to the other the noise is judged anew, then kept
LESS_NOISE = 0.7  # noise that falls below this share once a leak is let in was the leak
LEAK, HELD = 4, 1e4  # place of the leak among the parameters; weight of its prior at first
#: Priors of the lags of liquid behind bath, of vapour and of air behind liquid: median [s] and standard deviation of
#: the logarithm (wide; guessed from stirred flasks).
LIQUID_LAG, VAPOUR_LAG, AIR_LAG = (25.0, 0.6), (30.0, 0.7), (30.0, 0.7)
#: The same of the lag of condensing vapour over that of evaporating liquid: every wall takes up vapour, only the
#: liquid's surface gives it off.
CONDENSING = (0.7, 0.4)  # guessed
LEAST_NOISE = 3.0  # [Pa] below this it is not noise but rounding
#: Shares that a model of two lags may be wrong by, of what is left of a step (real cells have more lags, and condense
#: faster than they evaporate) and of what a steady drift holds the reading back (there all lags act as their sum).
DISCREPANCY, STEADY_DISCREPANCY = 0.05, 0.03  # guessed; the study of whole runs judges them
QUIET_SHARE = 0.4  # of the blocks: those in which the lags matter least tell the noise
#: Leak rate that what is missing in this model can feign, whatever the number of readings: tight simulated cells with a
#: way back show this much.
LEAK_MODEL = 5e-7  # [1/s] standard deviation; 0.0018 of the over-pressure an hour
MOST_CORRELATED = 0.9  # nearer to one the differences of neighbours lose the level
#: Time in which vapour creeps into the tubing: median [s] and standard deviation of the logarithm.  4 L^2/(pi^2 D) of a
#: tube of 0.1 to 0.2 m with D near 1e-5 m2/s.
TUBE_TIME = (900.0, 0.7)
FIRST_GAP = 0.3  # share of its pressure by which the vapour may fall short of saturation when the fit begins


@dataclass(frozen=True, slots=True)
class TraceFit:
    """What the whole trace says.

    Parameters
    ----------
    liquid_lag, vapour_lag : float
        Time constants; `u_...` their standard uncertainties.  [s]
    lag, u_lag : float
        Their sum, how far the vapour is behind the probe.  [s]
    leak_rate, u_leak_rate : float
        Share of the over-pressure lost per second; not below zero for a real leak.  [1/s]
    enthalpy_vap, u_enthalpy_vap : float
        At `temperature`, by the trace alone; the uncertainty is too small, see above.  [J/mol]
    apparent_enthalpy, pressure_vapour : float
        Slope and vapour pressure there.  [J/mol], [Pa]
    residual_sd, correlation : float
        Of blocks of ten seconds: standard deviation [Pa] and correlation of neighbours.
    blocks : int
        How many were used.
    """

    liquid_lag: float
    u_liquid_lag: float
    vapour_lag: float
    u_vapour_lag: float
    lag: float
    u_lag: float
    leak_rate: float
    u_leak_rate: float
    enthalpy_vap: float
    u_enthalpy_vap: float
    temperature: float
    apparent_enthalpy: float
    pressure_vapour: float
    residual_sd: float
    correlation: float
    blocks: int


def fit_trace(
    time: ArrayLike,
    temperature: ArrayLike,
    pressure: ArrayLike,
    *,
    baseline: SealedBaseline,
    setup: CellSetup,
    liquid: Liquid | None,
    charged: float,
    sensors: SensorPriors | None = None,
) -> TraceFit:
    """Fit two lags, a leak, the amount of air, the sensor's zero and the line to a whole trace.

    Parameters
    ----------
    time, temperature, pressure : array_like
        Readings or block means on one time axis, shape (n,); NaN where there is none.  [s], [K], [Pa]
    baseline, setup, liquid, sensors
        As for the fit of points.
    charged : float
        When the liquid went in.  [s]

    Raises
    ------
    FitRefused
        Too short a trace, or one that never changes temperature.
    """
    t, x, p = block_means(time, temperature, pressure, charged + AFTER_CHARGE)
    span = float(np.ptp(x)) if len(x) else 0.0
    if len(t) < LEAST_BLOCKS or span < LEAST_SPAN:
        lasts, least = len(t) * BLOCK, LEAST_BLOCKS * BLOCK
        raise FitRefused("trace-too-short", time=lasts, span=span, least_time=least, least_span=LEAST_SPAN)
    try:
        return _Trace(t, x, p, baseline, setup, liquid, sensors or SensorPriors(), charged).fit()
    except np.linalg.LinAlgError as error:
        raise FitRefused("trace-not-followed") from error


class _Trace:
    """Parameters: ln p_m, s/(R Tm), ln liquid lag, ln vapour lag; in prior sd leak, air, zero, first gap, bend; ln
    of the condensing vapour's lag over the other, of the tubing's time over its median, and of the air's lag; in prior
    sd the air that is still to dissolve, and ln of the time that takes over its median."""

    STEP = np.array([1e-4, 1e-4, 1e-3, 1e-3, 1e-3, 1e-3, 1e-3, 1e-3, 1e-2, 1e-3, 1e-2, 1e-3, 1e-2, 1e-2])
    PRIOR_SD = np.array(
        [
            np.inf, np.inf, LIQUID_LAG[1], VAPOUR_LAG[1], 1.0, 1.0, 1.0, 1.0, 1.0, CONDENSING[1], TUBE_TIME[1],
            AIR_LAG[1], 1.0, SOLUTION_TIME[1],
        ]
    )  # fmt: skip

    def __init__(
        self, t: Array, x: Array, p: Array, baseline: SealedBaseline, setup: CellSetup, liquid: Liquid | None,
        sensors: SensorPriors, charged: float,
    ) -> None:  # fmt: skip
        self.x, self.p, self.good = x, p, np.isfinite(p)
        self.liquid = liquid
        self.tm = float(1 / np.mean(1 / x))
        self.room = setup.room_pressure or baseline.pressure
        filled = np.interp(t, t[self.good], p[self.good])
        air = air_pressure(x, baseline, setup, liquid, filled)
        # Air along the trace as a straight line in temperature: it is that to a few parts in a thousand.
        self.air_line = np.polyfit(x - self.tm, air.value, 1)
        self.u_air = float(np.mean(air.u_common / air.value))
        self.u_zero = sensors.u_offset_pressure * abs(1 - self.tm / baseline.temperature) + 5.0
        self.since, self.since_charge, self.in_tube = t - t[0], t - charged, setup.tubing_vapour
        self.exposure = np.cumsum((filled - self.room) / filled) * BLOCK
        vapour = np.maximum(filled - air.value, 0.02 * filled)
        line = np.polyfit(1 / x - 1 / self.tm, np.log(vapour), 1)
        self.start = np.array(
            [
                line[1], max(-line[0] / self.tm, 2.0), math.log(LIQUID_LAG[0]), math.log(VAPOUR_LAG[0]),
                *([0.0] * 5), math.log(CONDENSING[0]), 0.0, math.log(AIR_LAG[0]), 0.0, 0.0,
            ]
        )  # fmt: skip
        self.prior = self.start.copy()
        self.first_gap = FIRST_GAP * float(vapour[0])
        self.to_dissolve, self.u_to_dissolve = self._to_dissolve(baseline, setup, float(air.value[0]), line)
        self.burden = self._burden(setup, line)
        self.tube = self._tube(setup, np.exp(np.polyval(line, 1 / x - 1 / self.tm)), line)

    def _burden(self, setup: CellSetup, line: Array) -> Array:
        """How the heat of evaporation lengthens the vapour's lag along the trace, over its mean, shape (n,).

        A liquid that warms by a kelvin evaporates by V beta/(R T) and needs the heat for that beside its own: the
        more, the more volatile it is and the warmer.  Of the two lags in a row it is the longer one that grows.
        """
        x, s = self.x, -GAS_CONSTANT * float(line[0])
        vapour = np.exp(np.polyval(line, 1 / x - 1 / self.tm))
        taken = s * (setup.cell_volume - setup.charge_volume) * vapour * s / (GAS_CONSTANT * x) ** 2 / x
        own = liquid_capacity(self.liquid, setup.charge_volume)
        slowed = 1 + taken / own if own > 0 else np.ones_like(x)
        return np.asarray(slowed / slowed.mean(), dtype=np.float64)

    def _tube(self, setup: CellSetup, vapour: Array, line: Array) -> Array:
        """What vapour that fills the tubing wholly would add to the pressure, along the trace, shape (n,).  [Pa]"""
        at_room = math.exp(float(np.polyval(line, 1 / setup.room_temperature - 1 / self.tm)))
        gas = (setup.cell_volume - setup.charge_volume) / self.x
        tube = setup.tubing_volume / setup.room_temperature
        return np.asarray(np.minimum(vapour, at_room) * tube / (gas + tube), dtype=np.float64)

    def _to_dissolve(
        self, baseline: SealedBaseline, setup: CellSetup, pressure_air: float, line: Array
    ) -> tuple[float, float]:
        """Fall of the pressure while the liquid takes up air until both are in balance, and its uncertainty.  [Pa]"""
        listed = air_inputs(baseline, setup, self.liquid)
        value = {i.key: i.value for i in listed}
        there, slope = np.array([setup.room_temperature]), -GAS_CONSTANT * float(line[0])
        vapour = np.exp(np.polyval(line, 1 / there - 1 / self.tm))

        def fall(**changed: float) -> float:
            return float(undissolved_air(there, vapour, np.array([pressure_air]), {**value, **changed}, slope)[0])

        unsure = [fall(**{i.key: i.value + i.u}) - fall() for i in listed if i.key in ("ostwald", "dissolved")]
        return fall(), math.hypot(*unsure)

    def predict(self, q: Array, lagged: Lagged | None = None) -> Array:
        """Readings for each row of parameters, shape (m, n); `lagged` says how a lag acts on a series.  [Pa]"""
        lagged = lagged or follow
        slope = float(q[0, 1]) * GAS_CONSTANT * self.tm
        prior = vapour_prior(self.liquid, self.tm, math.exp(float(q[0, 0])), slope)
        lag = np.exp(q[:, 2:4])
        gas, tubing, solution = (
            np.exp(q[:, 11:12]),
            TUBE_TIME[0] * np.exp(q[:, 10:11]),
            SOLUTION_TIME[0] * np.exp(q[:, 13:14]),
        )

        def liquid_of(rows: Rows) -> Array:
            return lagged(self.x, lag[rows, :1], lag[rows, :1])

        def vapour_of(rows: Rows) -> Array:
            s, at = q[rows, 1:2] * GAS_CONSTANT * self.tm, liquid[rows]
            capacity = prior.heat_capacity + prior.u_heat_capacity * q[rows, 8:9]
            bend = capacity / prior.dz - s * prior.dz_slope / prior.dz
            return np.exp(
                q[rows, 0:1]
                - s / GAS_CONSTANT * (1 / at - 1 / self.tm)
                + bend / GAS_CONSTANT * (self.tm / at - 1 + np.log(at / self.tm))
            )

        def late_vapour_of(rows: Rows) -> Array:
            falling = np.exp(q[rows, 3:4] + q[rows, 9:10])
            return lagged(vapour[rows], lag[rows, 1:] * self.burden, falling * self.burden)

        def gap_of(rows: Rows) -> Array:
            return self.first_gap * q[rows, 7:8] * np.exp(-self.since / lag[rows, 1:])

        def air_of(rows: Rows) -> Array:
            per_kelvin, level = self.air_line
            return level + per_kelvin * (lagged(liquid[rows], gas[rows], gas[rows]) - self.tm)

        def tube_of(rows: Rows) -> Array:
            return self.tube * (-np.expm1(-self.since_charge / tubing[rows]) - self.in_tube)

        def dissolving_of(rows: Rows) -> Array:
            to_dissolve = self.to_dissolve + self.u_to_dissolve * q[rows, 12:13]
            return to_dissolve * np.exp(-self.since_charge / solution[rows])

        liquid = once_each(q, (2,), liquid_of)
        vapour = once_each(q, (0, 1, 2, 8), vapour_of)
        vapour = once_each(q, (0, 1, 2, 3, 8, 9), late_vapour_of) - once_each(q, (3, 7), gap_of)
        air = once_each(q, (2, 11), air_of)
        air = air * (1 + self.u_air * q[:, 5:6] - LEAK_PRIOR * q[:, 4:5] * self.exposure)
        apart = once_each(q, (10,), tube_of) + once_each(q, (12, 13), dissolving_of)
        return air + vapour + apart + self.u_zero * q[:, 6:7]

    def _linear(self, q: Array) -> tuple[Array, Array]:
        k = len(q)
        cases = np.tile(q, (1 + 2 * k, 1))
        for i in range(k):
            cases[1 + 2 * i, i] += self.STEP[i]
            cases[2 + 2 * i, i] -= self.STEP[i]
        out = self.predict(cases)
        return self.p - out[0], ((out[1::2] - out[2::2]) / (2 * self.STEP[:, None])).T

    def _unsure(self, q: Array) -> Array:
        """How far off the lags of the model may be, shape (n,).  [Pa]"""
        at_once = q.copy()
        at_once[[2, 3, 11]] = math.log(0.01)  # no lag to speak of
        at_once[7] = 0.0
        out = self.predict(np.stack([q, at_once]))
        drifting = q.copy()
        drifting[7] = 0.0
        left = out[0] - self.predict(drifting[None, :], on_a_drift)[0]
        return np.hypot(DISCREPANCY * left, STEADY_DISCREPANCY * (out[0] - out[1]))

    def fit(self) -> TraceFit:
        q, phi, sd = self.start.copy(), 0.0, 30.0
        weights = np.where(np.isinf(self.PRIOR_SD), 0.0, 1 / self.PRIOR_SD**2)
        pairs = self.good[1:] & self.good[:-1]
        released = False
        for step in range(STEPS):
            r, j = self._linear(q)
            # Lags first: while they are far off a leak would be bent to make up for them, and stay so.
            weights[LEAK] = HELD if step < SETTLING else 1.0
            if step < SETTLING:
                unsure = self._unsure(q)
                if step >= JUDGED_FROM:
                    phi, sd = self._noise(r, unsure, sd, pairs)
                size = np.hypot(sd, unsure)
            # Neighbours are correlated: e_k - phi e_(k-1) of the scaled residuals e are independent.
            scale = math.sqrt(1 - phi**2)
            e, ej = r / size, j / size[:, None]
            white_r = (e[1:] - phi * e[:-1])[pairs] / scale
            white_j = (ej[1:] - phi * ej[:-1])[pairs] / scale
            information = white_j.T @ white_j + np.diag(weights)
            move = np.linalg.solve(information, white_j.T @ white_r - weights * (q - self.prior))
            # Shorter steps later on: a search that overshoots to and fro comes to rest.
            q = q + np.clip(move, -0.5, 0.5) * (1.0 if step < SETTLING else 0.8 if step < 2 * SETTLING else 0.3)
            moved = float(np.max(np.abs(move) / np.sqrt(np.diag(np.linalg.inv(information)))))
            # Where rising turns to falling the model has a kink; a search that ends on one goes to and fro for ever.
            if step > SETTLING and moved < (ARRIVED if step < 2 * SETTLING else NEARLY):
                # While it was held back a strong leak passed for noise; it would hide behind it for ever.
                again = self._noise(r, unsure, sd, pairs)
                if released or again[1] > LESS_NOISE * sd:
                    break
                released, (phi, sd) = True, again
                size = np.hypot(sd, unsure)
        if not moved < NEARLY:
            raise FitRefused("trace-not-settled")
        return self._result(q, np.linalg.inv(information), sd, phi)

    @staticmethod
    def _noise(r: Array, unsure: Array, sd: float, pairs: NDArray[np.bool_]) -> tuple[float, float]:
        """Correlation of neighbours and standard deviation where nothing moves."""
        size = np.hypot(sd, unsure)
        e = r / size
        a, b = e[1:][pairs], e[:-1][pairs]
        quiet = unsure[1:][pairs] <= np.quantile(unsure[1:][pairs], QUIET_SHARE)
        inside = r[1:][pairs][quiet]
        if len(inside) > 10:
            sd = max(1.4826 * float(np.median(np.abs(inside))), LEAST_NOISE)
        return float(np.clip(np.mean(a * b) / np.mean(a * a), 0.0, MOST_CORRELATED)), sd

    def _result(self, q: Array, covariance: Array, sd: float, phi: float) -> TraceFit:
        u = np.sqrt(np.diag(covariance))
        first, second = math.exp(q[2]), math.exp(q[3])
        u_lag = math.sqrt((first * u[2]) ** 2 + (second * u[3]) ** 2 + 2 * first * second * float(covariance[2, 3]))
        s = float(q[1]) * GAS_CONSTANT * self.tm
        dz = vapour_prior(self.liquid, self.tm, math.exp(float(q[0])), s).dz
        return TraceFit(
            liquid_lag=first, u_liquid_lag=first * float(u[2]), vapour_lag=second, u_vapour_lag=second * float(u[3]),
            lag=first + second, u_lag=u_lag, leak_rate=LEAK_PRIOR * float(q[4]),
            u_leak_rate=math.hypot(LEAK_PRIOR * float(u[4]), LEAK_MODEL),
            enthalpy_vap=s * dz, u_enthalpy_vap=float(u[1]) * GAS_CONSTANT * self.tm * dz, temperature=self.tm,
            apparent_enthalpy=s, pressure_vapour=math.exp(float(q[0])),
            residual_sd=sd, correlation=phi, blocks=int(self.good.sum()),
        )  # fmt: skip
