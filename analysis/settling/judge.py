"""The settling judge: one block in, one judgement out."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import fields
from typing import Any

import numpy as np

from analysis.settling.bath_side import BathSide
from analysis.settling.cell import Known
from analysis.settling.cell_side import CellSide
from analysis.settling.gates import pressure_gates, sensor_gates, temperature_gates
from analysis.settling.pair_test import channel_state, time_to_level
from analysis.settling.records import (
    PRESSURE,
    TEMPERATURE,
    Block,
    ChannelState,
    Gate,
    Judgement,
    LagCourse,
    SettlingInputError,
    State,
)
from analysis.settling.settings import SettlingSettings
from analysis.settling.trail import T_GOOD, Trail
from analysis.settling.views import PressureView, Tolerance, tolerance_in_force
from analysis.settling.watch import is_wild

#: Seconds between two thorough judgements: when a plateau may be near, when it is not, and while one lasts.
#: Every event (a step, a knock, a call, a reading that stays away) is judged at once.
PACE_NEAR, PACE_FAR, PACE_READY = 3.0, 8.0, 8.0
#: With one of these a plateau is not near, however little is to come.
FAR_GATES = {"too_short", "bath_moving", "bath_uneven", "too_coarse", "leak"}
#: ... of the shortest time that the forecast leaves, this share.
SOONER = 0.25
#: Near means that no more than this is to come.  [tolerances]
NEAR = 3.0
#: After a gap longer than this the lag model starts afresh.  [s]
LONGEST_GAP = 300
#: What a judgement keeps while it is told again.
_KEPT = tuple(f.name for f in fields(Judgement))[2:]


class Judge:
    """Judges the settling of temperature and pressure block by block.

    A block is used one block later, because a lone wild reading shows only by the next one.

    Guarantees
    ----------
    - Pure: the same blocks and calls give the same judgements; no clock, no randomness.
    - Constant work and bounded memory per block.
    - Every reading counts; what follows from them is worked out every few seconds and told again in between.
    - A block that is not newer than the last one raises `SettlingInputError` and changes nothing.

    Parameters
    ----------
    settings : SettlingSettings
    beta : callable, optional
        dp/dT of the total pressure as a function of temperature, [K] -> [Pa/K]; None: estimated.
    air_slope : float, optional
        The part of beta that comes from the trapped air, p_air/T.  [Pa/K]
    cooling : callable, optional
        By how much the charge cools when its vapour grows by a pascal, [K] -> [K/Pa]; None: not at all.
    """

    def __init__(
        self,
        settings: SettlingSettings | None = None,
        *,
        beta: Callable[[float], float] | None = None,
        air_slope: float | None = None,
        cooling: Callable[[float], float] | None = None,
    ) -> None:
        self.settings = settings or SettlingSettings()
        self._trail = Trail()
        self._bath = BathSide(self._trail)
        self._cell = CellSide(self._trail, self._bath, self.settings, Known(beta, air_slope, cooling))
        self._pending: Block | None = None
        self._before = (math.nan, math.nan)
        self._good_since = math.nan
        self._told: Judgement | None = None
        self._kept: tuple[Any, ...] = ()
        self._due = -math.inf
        self._status: tuple[object, ...] = ()
        self._latest: dict[str, float] = {}
        self._changes = {TEMPERATURE: 0, PRESSURE: 0}

    def set_beta(
        self,
        beta: Callable[[float], float] | None,
        air_slope: float | None = None,
        cooling: Callable[[float], float] | None = None,
    ) -> None:
        """Replace dp/dT; the lag model of the present charge is made again from the remembered blocks."""
        self._cell.set_known(Known(beta, air_slope, cooling))
        self._due = -math.inf

    def valve_opened(self, time: float) -> None:
        """The cell is open to the room from `time` on."""
        self._enter("open", time)

    def cell_closed(self, time: float) -> None:
        """The cell is closed and dry from `time` on."""
        self._enter("dry", time)

    def charged(self, time: float) -> None:
        """The liquid went in at `time`."""
        self._enter("charged", time)

    def step(self, time: float, told: bool = True) -> None:
        """Hint: the bath was changed (water added or taken) at `time`; not `told` where nobody said so."""
        self._bath.begin_step(time, told)
        self._cell.begin_step(time)
        self._start_again()

    def disturbed(self, time: float) -> None:
        """Hint: the cell was moved or knocked at `time`."""
        self._cell.knocked()
        self._start_again()

    def _start_again(self) -> None:
        self._good_since, self._due = math.nan, -math.inf

    def update(self, block: Block) -> Judgement:
        """Judge after one more block.

        Raises
        ------
        SettlingInputError
            The block is not newer than the last one.
        """
        pending = self._pending
        if pending is not None:
            if not (block.time > pending.time and block.index > pending.index):
                raise SettlingInputError(
                    f"a block of {block.time:.1f} s came after one of {pending.time:.1f} s; expected time to advance"
                )
            self._take(self._tamed(pending, block))
            missing = block.index - pending.index - 1
            for k in range(1, min(missing, LONGEST_GAP) + 1):
                self._take(Block(pending.index + k, pending.time + k, math.nan, math.nan, 0, 0))
            if missing > LONGEST_GAP:
                self._cell.restart(block.time)
        self._pending = block
        self._notice(block)
        told = self._told
        silent = math.isnan(block.temperature), math.isnan(block.pressure)
        status = self._bath.watch.state, self._cell.masked, self._cell.follower is None, *silent
        if told is None or block.time >= self._due or status != self._status:
            if pending is not None:
                self._bath.fit(pending)
            self._told = told = self._judge(block)
            self._kept = tuple(getattr(told, name) for name in _KEPT)
            self._status = status
            self._due = block.time + self._pace(told)
            return told
        return Judgement(block.time, _counted_down(told.channels, block.time - told.time), *self._kept)

    def _pace(self, judgement: Judgement) -> float:
        """Seconds until the next thorough judgement."""
        codes = {gate.code for gate in judgement.gates}
        if codes == {"hold"}:
            return min(max(self._good_since + self.settings.hold - judgement.time, 1.0), PACE_NEAR)
        if not codes:
            return PACE_READY
        if codes & FAR_GATES:
            return PACE_FAR
        near = all(
            not math.isfinite(c.still_to_come)
            or abs(c.still_to_come) < NEAR * judgement.tolerance * (1.0 if name == TEMPERATURE else judgement.beta)
            for name, c in judgement.channels.items()
        )
        if not near:
            return PACE_FAR
        forecast = judgement.channels[PRESSURE].level_in
        return min(max(SOONER * forecast[0], PACE_NEAR), PACE_FAR) if forecast else PACE_NEAR

    def _notice(self, block: Block) -> None:
        for name, value in ((TEMPERATURE, block.temperature), (PRESSURE, block.pressure)):
            if math.isfinite(value):
                self._changes[name] += value != self._latest.setdefault(name, value)
                self._latest[name] = value

    def _tamed(self, block: Block, after: Block) -> Block:
        """The block without a lone wild value."""
        t, p = block.temperature, block.pressure
        sd_t, sd_p = self._bath.noise.sd, self._cell.noise.sd
        if math.isfinite(sd_t):
            limit = max(sd_t, block.quantum_temperature, 0.003)
            if is_wild(self._before[0], t, after.temperature, limit):
                t = math.nan
        if math.isfinite(sd_p):
            limit = max(sd_p, block.quantum_pressure, 1e-5 * abs(p))
            if is_wild(self._before[1], p, after.pressure, limit):
                p = math.nan
        self._before = (
            t if math.isfinite(t) else self._before[0],
            p if math.isfinite(p) else self._before[1],
        )
        if t is block.temperature and p is block.pressure:
            return block
        return Block(
            block.index,
            block.time,
            t,
            p,
            block.n_temperature,
            block.n_pressure,
            block.quantum_temperature,
            block.quantum_pressure,
        )

    def _take(self, block: Block) -> None:
        bath, cell = self._bath, self._cell
        stepped = bath.look(block)
        if stepped:
            cell.begin_step(bath.step)
            self._start_again()
        self._trail.append(
            block.time,
            block.temperature,
            block.pressure,
            math.nan if bath.bridging else block.temperature,
            block.pressure,
        )
        bath.after(block)
        cell.follow(block)

    def _enter(self, phase: str, time: float) -> None:
        self._cell.enter(phase, time)
        self._bath.enter(time)
        self._start_again()

    def _judge(self, block: Block) -> Judgement:
        settings, bath, cell = self.settings, self._bath, self._cell
        cell.catch_up()
        beta = cell.beta()
        tolerance = tolerance_in_force(settings.tolerance, beta, bath.noise, cell.noise, settings.channels)
        since = cell.since(block.time)
        drift = bath.drift
        view = cell.view(block.time, tolerance.value)
        if view is not None:
            beta = view.beta
        temperature = ChannelState(State.UNKNOWN)
        if drift is not None:
            forecast = time_to_level(drift.remaining, drift.u_remaining, tolerance.value, drift.time_constant)
            temperature = channel_state(
                drift.remaining, drift.u_remaining, forecast, tolerance=tolerance.value, scale=1.0
            )
        leak = cell.leak()
        gates = self._gates(temperature, view, tolerance, since, leak)
        if gates:
            self._good_since = math.nan
        elif math.isnan(self._good_since):
            self._good_since = block.time
        ready = not gates and block.time - self._good_since >= settings.hold
        if not gates and not ready:
            gates.append(Gate("hold", f"level; watching for {settings.hold:.0f} s that it stays so"))
        end = self._trail.last(1)[0, 0] if len(self._trail) else block.time
        pressure = self._pressure_state(view, tolerance.value)
        return Judgement(
            time=block.time,
            channels={TEMPERATURE: temperature, PRESSURE: pressure},
            ready=ready,
            window=(float(end) - (view.width if view else 60) + 1.0, float(end)) if ready else None,
            gates=tuple(gates),
            lag=view.lag if view else math.nan,
            u_lag=view.u_lag if view else math.nan,
            drift=drift.slope if drift else math.nan,
            u_drift=drift.u_slope if drift else math.nan,
            lag_time=view.lag_time if view else math.nan,
            u_lag_time=view.u_lag_time if view else math.nan,
            beta=beta,
            tolerance=tolerance.value,
            tolerance_reason=tolerance.reason,
            noise_temperature=bath.noise.sd,
            noise_pressure=cell.noise.sd,
            correlation_temperature=bath.noise.correlation,
            correlation_pressure=cell.noise.correlation,
            step_time=bath.step,
            slow_tail=cell.slow_tail(),
            leak=leak[1] * beta,
            u_leak=leak[2] * beta,
            method=view.method if view else "none",
            channels_used=settings.channels,
            course=LagCourse(float(end), *view.course) if view and view.course else None,
        )

    def _pressure_state(self, view: PressureView | None, tolerance: float) -> ChannelState:
        if view is None:
            return ChannelState(State.UNKNOWN)
        return channel_state(view.remaining, view.u_remaining, view.level_in, tolerance=tolerance, scale=view.beta)

    def _gates(
        self,
        temperature: ChannelState,
        view: PressureView | None,
        tolerance: Tolerance,
        since: int,
        leak: tuple[float, float, float],
    ) -> list[Gate]:
        settings, bath, cell = self.settings, self._bath, self._cell
        if len(self._trail) < 10:
            return [Gate("too_short", "too few readings to say")]
        noises = {TEMPERATURE: bath.noise, PRESSURE: cell.noise}
        gates = sensor_gates(self._trail.last(61), settings.channels, noises, self._changes)
        if TEMPERATURE in settings.channels:
            if bath.disturbed:
                gates.append(Gate("temperature_disturbed", "temperature jumped: waiting to see whether it stays"))
            length = int(min(max(since - 20, 0), settings.straight_window))
            window = self._trail.last(length)[T_GOOD] if length else np.empty(0)
            easing = settings.mode == "corrected" and not (view is not None and view.level)
            gates += temperature_gates(
                bath.drift, window, since, tolerance.value, temperature, bath.noise, settings, easing, bath.told
            )
        if PRESSURE in settings.channels:
            gates += pressure_gates(view, tolerance, cell.off_course(), leak, settings, cell.masked)
        return gates


def _counted_down(channels: Mapping[str, ChannelState], passed: float) -> Mapping[str, ChannelState]:
    """The same a little later."""
    found = {}
    for name, state in channels.items():
        if state.level_in is not None and state.level_in[2] > 0.0:
            low, middle, high = state.level_in
            left = max(low - passed, 0.0), max(middle - passed, 0.0), max(high - passed, 0.0)
            state = ChannelState(state.state, state.still_to_come, state.u_still_to_come, left)
        found[name] = state
    return found
