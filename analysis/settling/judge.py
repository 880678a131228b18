"""The settling judge: one block in, one judgement out."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from analysis.lag import slow_drift_lag
from analysis.settling.cell import Cell
from analysis.settling.drift import Drift, fit_drift
from analysis.settling.pair_test import PairVerdict, channel_state, pair_test, time_to_level
from analysis.settling.records import (
    PRESSURE,
    TEMPERATURE,
    Block,
    ChannelState,
    Gate,
    Judgement,
    SettlingInputError,
    State,
)
from analysis.settling.settings import SettlingSettings
from analysis.settling.trail import P_GOOD, T_GOOD, TIME, Trail, fit_line, quantisation_error

#: Fewer seconds than this since the last change of phase, and nothing is said.
LEAST = 30
#: Value windows that are tried, longest first.  [s]
WINDOWS = (60, 40, 20)


class Judge:
    """Judges the settling of temperature and pressure block by block.

    Guarantees
    ----------
    - Pure: the same blocks and calls give the same judgements; no clock, no randomness.
    - Constant work and bounded memory per block.
    - A block that is not newer than the last one raises `SettlingInputError` and changes nothing.

    Parameters
    ----------
    settings : SettlingSettings
    beta : callable, optional
        dp/dT of the total pressure as a function of temperature, [K] -> [Pa/K]; None: estimated.
    air_slope : float, optional
        The part of beta that comes from the trapped air, p_air/T.  [Pa/K]
    """

    def __init__(
        self,
        settings: SettlingSettings | None = None,
        *,
        beta: Callable[[float], float] | None = None,
        air_slope: float | None = None,
    ) -> None:
        self.settings = settings or SettlingSettings()
        self._cell = Cell(beta, air_slope)
        self._trail = Trail()
        self._last = -math.inf
        self._step = math.nan
        self._good_for = 0.0

    def set_beta(self, beta: Callable[[float], float] | None, air_slope: float | None = None) -> None:
        """Replace dp/dT; nothing else is forgotten."""
        self._cell.set_beta(beta, air_slope)

    def valve_opened(self, time: float) -> None:
        """The cell is open to the room from `time` on."""
        self._enter("open", time)

    def cell_closed(self, time: float) -> None:
        """The cell is closed and dry from `time` on."""
        self._enter("dry", time)

    def charged(self, time: float) -> None:
        """The liquid went in at `time`."""
        self._cell.remember_air(*self._recent_means())
        self._enter("charged", time)

    def step(self, time: float) -> None:
        """Hint: the bath was changed (water added or taken) at `time`."""
        self._step = time
        self._good_for = 0.0

    def disturbed(self, time: float) -> None:
        """Hint: the cell was moved or knocked at `time`."""
        self._good_for = 0.0

    def update(self, block: Block) -> Judgement:
        """Judge after one more block.

        Raises
        ------
        SettlingInputError
            The block is not newer than the last one.
        """
        if not block.time > self._last:
            raise SettlingInputError(
                f"a block of {block.time:.1f} s came after one of {self._last:.1f} s; expected time to advance"
            )
        if self._last > -math.inf:
            missing = round(block.time - self._last) - 1
            for k in range(min(missing, 1200)):
                self._trail.append(self._last + 1.0 + k, *[math.nan] * 4)
        self._last = block.time
        self._trail.append(block.time, block.temperature, block.pressure, block.temperature, block.pressure)
        return self._judge(block)

    def _enter(self, phase: str, time: float) -> None:
        self._cell.enter(phase, time)
        self._good_for = 0.0

    def _recent_means(self) -> tuple[float, float]:
        recent = self._trail.last(20)
        with np.errstate(all="ignore"):
            return tuple(  # type: ignore[return-value]
                float(row[np.isfinite(row)].mean()) if np.isfinite(row).any() else math.nan
                for row in (recent[T_GOOD], recent[P_GOOD])
            )

    def _since(self, block: Block) -> int:
        """Seconds of one undisturbed phase that the tests may look back on."""
        start = max(self._cell.since, self._step if math.isfinite(self._step) else -math.inf)
        return len(self._trail) if start == -math.inf else max(round(block.time - start), 0)

    def _judge(self, block: Block) -> Judgement:
        settings = self.settings
        n = min(self._since(block), len(self._trail))
        recent_t, recent_p = self._recent_means()
        beta = self._cell.beta(recent_t, recent_p)
        gates: list[Gate] = []
        drift = self._drift(n, block)
        tolerance, reason, noise_p, correlation_p = self._tolerance(n, beta, drift, block)
        verdict = self._pair(n, beta, tolerance, block)
        channels = {
            TEMPERATURE: self._temperature_state(drift, tolerance),
            PRESSURE: self._pressure_state(verdict, tolerance, beta),
        }
        if TEMPERATURE in settings.channels:
            gates += self._temperature_gates(n, drift, tolerance, channels[TEMPERATURE], block)
        if PRESSURE in settings.channels:
            gates += self._pressure_gates(verdict, channels[PRESSURE], block)
        self._good_for = self._good_for + 1.0 if not gates else 0.0
        ready = not gates and self._good_for > settings.hold
        if not gates and not ready:
            gates.append(Gate("hold", f"level; watching for {settings.hold:.0f} s that it stays so"))
        dry = self._cell.phase != "charged"
        lag_time = settings.assumed_gas_lag if dry else settings.assumed_lag
        u_lag_time = settings.u_assumed_gas_lag if dry else settings.u_assumed_lag
        slope, u_slope = (drift.slope, drift.u_slope) if drift else (math.nan, math.nan)
        lag = slow_drift_lag(slope, u_slope, lag_time, u_lag_time) if drift else None
        if self._cell.phase == "open":  # the pressure is that of the room, whatever the temperature does
            lag = slow_drift_lag(0.0, 0.0, 0.0, 0.0)
        width = next((w for w in WINDOWS if w <= n), 20)
        return Judgement(
            time=block.time,
            channels=channels,
            ready=ready,
            window=(block.time - width + 1.0, block.time) if ready else None,
            gates=tuple(gates),
            lag=lag.lag if lag else math.nan,
            u_lag=lag.u_lag if lag else math.nan,
            drift=slope,
            u_drift=u_slope,
            lag_time=lag_time,
            u_lag_time=u_lag_time,
            beta=beta,
            tolerance=tolerance,
            tolerance_reason=reason,
            noise_temperature=drift.sd if drift else math.nan,
            noise_pressure=noise_p,
            correlation_temperature=drift.correlation if drift else 0.0,
            correlation_pressure=correlation_p,
            step_time=self._step,
            method="pair test" if len(settings.channels) == 2 else "one channel",
            channels_used=settings.channels,
        )

    def _drift(self, n: int, block: Block) -> Drift | None:
        if n < LEAST:
            return None
        window = min(n - int(0.4 * n) if math.isfinite(self._step) else n, 120)
        return fit_drift(self._trail.last(window)[T_GOOD], quantum=block.quantum_temperature)

    def _tolerance(self, n: int, beta: float, drift: Drift | None, block: Block) -> tuple[float, str, float, float]:
        """(tolerance in force, why it is wider, pressure noise, its correlation)."""
        asked = self.settings.tolerance
        window = self._trail.last(min(n, 60))
        line = fit_line(window[TIME], window[P_GOOD], quantum=block.quantum_pressure) if n >= 20 else None
        if line is None or not math.isfinite(beta):
            return asked, "", math.nan, 0.0
        factor = (1.0 + line.correlation) / (1.0 - line.correlation)
        u_p = math.hypot(line.sd * math.sqrt(factor / 60.0), quantisation_error(block.quantum_pressure, line.sd))
        u_t = 0.0
        if drift is not None:
            spread = (1.0 + drift.correlation) / (1.0 - drift.correlation)
            u_t = math.hypot(
                drift.sd * math.sqrt(spread / 60.0), quantisation_error(block.quantum_temperature, drift.sd)
            )
        needs = {"pressure": 2.0 * u_p / beta, "temperature": 2.0 * u_t}
        channel = max(needs, key=lambda name: needs[name])
        if needs[channel] <= asked:
            return asked, "", line.sd, line.correlation
        reason = (
            f"the {channel} readings scatter too much for {asked:g} K: a mean of 60 s is known to "
            f"{needs[channel]:.2g} K, so that is the tolerance"
        )
        return needs[channel], reason, line.sd, line.correlation

    def _pair(self, n: int, beta: float, tolerance: float, block: Block) -> PairVerdict | None:
        need = self.settings.pair_window
        if PRESSURE not in self.settings.channels or not math.isfinite(beta) or n < LEAST:
            return None
        window = self._trail.last(int(min(need, n)))
        z = window[P_GOOD] / beta
        quantum = block.quantum_pressure / beta
        if self._cell.phase != "open" and TEMPERATURE in self.settings.channels:
            z = z - window[T_GOOD]
            quantum = math.hypot(quantum, block.quantum_temperature)
        verdict = pair_test(window[TIME], z, tolerance=tolerance, quantum=quantum)
        return verdict

    def _temperature_state(self, drift: Drift | None, tolerance: float) -> ChannelState:
        if drift is None:
            return ChannelState(State.UNKNOWN)
        forecast = time_to_level(drift.remaining, drift.u_remaining, tolerance, drift.time_constant)
        return channel_state(drift.remaining, drift.u_remaining, forecast, tolerance=tolerance, scale=1.0)

    def _pressure_state(self, verdict: PairVerdict | None, tolerance: float, beta: float) -> ChannelState:
        if verdict is None:
            return ChannelState(State.UNKNOWN)
        forecast = time_to_level(verdict.remaining, verdict.u_remaining, tolerance)
        return channel_state(verdict.remaining, verdict.u_remaining, forecast, tolerance=tolerance, scale=beta)

    def _temperature_gates(
        self, n: int, drift: Drift | None, tolerance: float, state: ChannelState, block: Block
    ) -> list[Gate]:
        need = self.settings.pair_window
        if drift is None or n < need:
            return [Gate("too_short", f"only {n} s since the last change; {need:.0f} s are needed")]
        gates = []
        if abs(drift.slope) > self.settings.max_drift:
            word = "heated" if drift.slope > 0 else "cooled"
            gates.append(Gate("bath_moving", f"bath is still being {word}: {drift.slope * 60.0:+.2f} K/min"))
        elif state.state is not State.LEVEL:
            gates.append(Gate("temperature_moving", f"temperature still has {drift.remaining:+.2f} K to come"))
        window = self._trail.last(int(min(n, self.settings.straight_window)))
        line = fit_line(window[TIME], window[T_GOOD], quantum=block.quantum_temperature)
        if line is not None:
            rest = window[T_GOOD] - (line.mean + line.slope * (window[TIME] - window[TIME].mean()))
            groups = [rest[k : k + 20] for k in range(0, len(rest) - 19, 20)]
            leave = max(
                (abs(float(g[np.isfinite(g)].mean())) for g in groups if np.isfinite(g).sum() >= 5), default=0.0
            )
            allowed = 0.35 * tolerance + 2.5 * math.hypot(
                drift.sd * math.sqrt((1.0 + drift.correlation) / (1.0 - drift.correlation) / 20.0),
                quantisation_error(block.quantum_temperature, drift.sd),
            )
            if leave > allowed:
                gates.append(
                    Gate("bath_uneven", f"bath temperature wanders by {leave:.2f} K: is it cycling or being warmed?")
                )
        return gates

    def _pressure_gates(self, verdict: PairVerdict | None, state: ChannelState, block: Block) -> list[Gate]:
        if verdict is None:
            return [Gate("pressure_unknown", "too few pressure readings to say")]
        if not verdict.passed:
            return [
                Gate(
                    "pressure_moving",
                    f"pressure still has {state.still_to_come / 1000.0:+.2f} kPa to come "
                    f"(± {1.96 * state.u_still_to_come / 1000.0:.2f} kPa)",
                )
            ]
        return []
