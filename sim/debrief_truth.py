"""What a debrief needs to know of the truth, as plain data: of each point, of each wait, of each mishap.

Everything here is got by playing the same run again (same scenario, seed and acts) with something left out: a bench
is cheap to play and gives the same course every time.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

from sim.device import BenchAct, SimulatedBench
from sim.mishaps import MishapRecord
from sim.scenario import Scenario
from sim.truth import Truth

TOLERANCE = 0.1  # K; a point is early while more than this of the step's transient is left
_AFTER = 900.0  # s by which nothing of a step is left but the drift
_STEPPING = ("charge", "pour", "draw", "lift", "lower", "close_valve", "open_valve")
#: Mishaps that are seen with the first thing the device says after they began.
_AT_ONCE = ("cable_pulled", "device_restarts", "power_cut", "noisy_line", "sensors_swapped", "wrong_unit")
_CLEAR = 3.0  # standard deviations of a ten-second mean that make a difference clear


@dataclass(frozen=True)
class PointTruth:
    """One point against the truth; SI.

    Attributes
    ----------
    time
        Middle of its window.  [s]
    bath, liquid, pressure
        True means over the window.
    equilibrium_pressure
        Of the cell as it was, at the mean bath temperature.
    pair_error
        Distance of the true pair from equilibrium, as temperature.  [K]
    lag_error
        The part of it that stays as long as the bath drifts; waiting does not cure it.  [K]
    left_of_step
        The rest: what the step had still to come.  [K]
    early
        Whether more than the tolerance was left.
    level_at
        When no more than the tolerance was left for good; nan where nothing had stepped.  [s]
    waited
        Time between `level_at` and the window's end; negative for an early point.  [s]
    air_pressure
        Of the dry gas alone, at the mean bath temperature.
    temperature_error, pressure_error
        What was read less what was true, by the sensors.  [K], [Pa]
    """

    time: float
    bath: float
    liquid: float
    pressure: float
    equilibrium_pressure: float
    air_pressure: float
    pair_error: float
    lag_error: float
    left_of_step: float
    early: bool
    level_at: float
    waited: float
    temperature_error: float
    pressure_error: float


@dataclass(frozen=True)
class MishapTruth:
    """One mishap and when it could first be seen.

    Attributes
    ----------
    visible_from
        First moment at which the readings differ clearly from those of the same run without it; None: never.  [s]
    channel
        In which reading: "temperature", "pressure", "line".
    largest
        Largest difference it made, in K or Pa; 0 for faults of the line.
    """

    kind: str
    words: str
    physical: bool
    size: dict[str, Any]
    began: float | None
    ended: float | None
    visible_from: float | None
    channel: str
    largest: float


def replayed(
    scenario: Scenario, truth: Truth, until: float, *, acts_until: float = math.inf, without: int | None = None
) -> Truth:
    """The truth of the same run played again.

    Parameters
    ----------
    until
        How far to play.  [s]
    acts_until
        Acts after this moment are left out.  [s]
    without
        Number of the mishap to leave out.
    """
    mishaps = tuple(m for number, m in enumerate(scenario.mishaps) if number != without)
    slow = scenario.device.model_copy(update={"rate_Hz": 0.1})  # nobody reads the lines
    bench = SimulatedBench(scenario.model_copy(update={"mishaps": mishaps, "device": slow}), truth.seed)
    for time, kind, amount, temperature in truth.acts:
        if time > acts_until or time > until:
            break
        bench.advance(max(time, bench.time))
        bench.act(BenchAct(kind, amount, temperature))
    bench.advance(max(until, bench.time))
    return bench.truth


def point_truth(
    scenario: Scenario,
    truth: Truth,
    window: tuple[float, float],
    temperature: float,
    pressure: float,
    *,
    tolerance: float = TOLERANCE,
) -> PointTruth:
    """One point against the truth.

    Parameters
    ----------
    scenario, truth
        Of the run.
    window
        Its window.  [s]
    temperature, pressure
        As the point has them: means of what was read.  [K], [Pa]
    tolerance
        [K]
    """
    start, end = window
    states = [state for state in truth.states if start <= state.time <= end] or [truth.state_at(end)]
    count = len(states)
    middle = 0.5 * (start + end)
    bath = sum(state.bath for state in states) / count
    liquid = sum(state.liquid for state in states) / count
    true_pressure = sum(state.pressure for state in states) / count
    equilibrium = truth.equilibrium_pressure(middle, bath)
    slope = truth.slope(middle, bath)
    pair = (true_pressure - equilibrium) / slope
    began = max((time for time, kind, *_ in truth.acts if kind in _STEPPING and time <= start), default=None)
    if began is None:
        lag, level_at = pair, math.nan
    else:
        lag_time, level_at = _undisturbed(scenario, truth, began, end, tolerance)
        lag = -lag_time * _drift(states)
    left = pair - lag
    return PointTruth(
        time=middle,
        bath=bath,
        liquid=liquid,
        pressure=true_pressure,
        equilibrium_pressure=equilibrium,
        air_pressure=truth.air_pressure(middle, bath),
        pair_error=pair,
        lag_error=lag,
        left_of_step=left,
        early=abs(left) > tolerance,
        level_at=level_at,
        waited=end - level_at,
        temperature_error=temperature - bath,
        pressure_error=pressure - true_pressure,
    )


def _drift(states: Sequence[Any]) -> float:
    """Drift of the bath over some states.  [K/s]"""
    span = states[-1].time - states[0].time
    return (states[-1].bath - states[0].bath) / span if span else 0.0


def _undisturbed(scenario: Scenario, truth: Truth, began: float, end: float, tolerance: float) -> tuple[float, float]:
    """Lag on the slow course after a step, and when the step's transient is gone for good.  [s], [s]

    The run is played on from the step as if nobody had touched it afterwards; the pair at the end of that is the
    lag times the drift, and what differs from it before is the transient.
    """
    alone = replayed(scenario, truth, max(end, began + _AFTER), acts_until=began)
    states = [state for state in alone.states if state.time >= began]
    late = states[-61:]
    drift = _drift(late)
    final = late[len(late) // 2]
    error = alone.pair_error(final.time, final.bath, final.pressure)
    # A bath that does not drift shows no lag.
    lag = -error / drift if abs(drift) > 1e-5 else 0.0
    level_at = states[0].time
    for before, state in zip(states[:-1:10], states[10::10], strict=False):
        slow = -lag * (state.bath - before.bath) / (state.time - before.time)
        rest = alone.pair_error(state.time, state.bath, state.pressure) - slow
        if abs(rest) > tolerance:
            level_at = state.time
    return lag, level_at


def mishap_truths(scenario: Scenario, truth: Truth) -> list[MishapTruth]:
    """Every mishap of a run with the moment it could first be seen."""
    return [_seen(scenario, truth, number, record) for number, record in enumerate(truth.mishaps)]


def _seen(scenario: Scenario, truth: Truth, number: int, record: MishapRecord) -> MishapTruth:
    kind = record.mishap.name
    visible: float | None = None
    channel, largest = "line", 0.0
    if record.began is None:
        channel = ""
    elif kind in _AT_ONCE:
        visible = record.began
    elif kind in ("stuck_sensor", "coarse_sensor"):
        visible, channel, largest = _seen_in_one(scenario, truth, record)
    else:
        visible, channel, largest = _seen_by_comparison(scenario, truth, number)
    return MishapTruth(
        kind=kind,
        words=record.mishap.words,
        physical=record.mishap.physical,
        size=record.mishap.size(),
        began=record.began,
        ended=record.ended,
        visible_from=visible,
        channel=channel,
        largest=largest,
    )


def clear_difference(scenario: Scenario) -> tuple[float, float]:
    """Smallest difference of temperature and of pressure that ten seconds of readings show clearly.  [K], [Pa]"""
    samples = 10.0 * scenario.device.rate_Hz
    t, p = scenario.temperature, scenario.pressure
    in_temperature = math.hypot(t.noise_K / math.sqrt(samples), t.wander_K, t.resolution_K / math.sqrt(12))
    in_pressure = math.hypot(p.noise_kPa / math.sqrt(samples), p.wander_kPa, p.resolution_kPa / math.sqrt(12)) * 1e3
    return _CLEAR * in_temperature, _CLEAR * in_pressure


def _seen_by_comparison(scenario: Scenario, truth: Truth, number: int) -> tuple[float | None, str, float]:
    """Against the same run without this mishap."""
    other = replayed(scenario, truth, truth.states[-1].time, without=number)
    clear_t, clear_p = clear_difference(scenario)
    visible, channel = None, ""
    most_t = most_p = 0.0
    for state, twin in zip(truth.states, other.states, strict=False):
        off_t = abs(state.shown_temperature - twin.shown_temperature)
        off_p = abs(state.shown_pressure - twin.shown_pressure)
        most_t, most_p = max(most_t, off_t), max(most_p, off_p)
        if visible is None and (off_t > clear_t or off_p > clear_p):
            visible = state.time
            channel = "temperature" if off_t / max(clear_t, 1e-12) >= off_p / max(clear_p, 1e-12) else "pressure"
    return visible, channel, most_t if channel == "temperature" else most_p


def _seen_in_one(scenario: Scenario, truth: Truth, record: MishapRecord) -> tuple[float | None, str, float]:
    """Where the bench is as it should be but one number is not: stuck, or in coarse steps."""
    mishap: Any = record.mishap
    channel: str = mishap.channel
    began = record.began or 0.0
    ended = math.inf if record.ended is None else record.ended
    if record.mishap.name == "coarse_sensor":
        size = mishap.step if channel == "temperature" else mishap.step * 1e3
        return began, channel, 0.5 * size
    clear = clear_difference(scenario)[0 if channel == "temperature" else 1]
    name = "shown_temperature" if channel == "temperature" else "shown_pressure"
    held = getattr(truth.state_at(began), name)
    visible, most = None, 0.0
    for state in truth.states:
        if began <= state.time <= ended:
            off = abs(getattr(state, name) - held)
            most = max(most, off)
            if visible is None and off > clear:
                visible = state.time
    return visible, channel, most


def costs(points: Sequence[PointTruth]) -> dict[str, float] | None:
    """What lag and haste cost: relative change of the enthalpy that a line through the points gives.

    The classic line of ln(p - p_air) over 1/T, once through the equilibrium pressures and once through those
    pressures moved by each error alone; p_air is the true one. None with fewer than two temperatures.
    """
    if len({round(point.bath, 3) for point in points}) < 2:
        return None

    def slope(moves: Sequence[float]) -> float:
        x = [1.0 / point.bath for point in points]
        y = [
            math.log(max(point.equilibrium_pressure + move - point.air_pressure, 1.0))
            for point, move in zip(points, moves, strict=True)
        ]
        mean_x, mean_y = sum(x) / len(x), sum(y) / len(y)
        return sum((a - mean_x) * (b - mean_y) for a, b in zip(x, y, strict=True)) / sum((a - mean_x) ** 2 for a in x)

    def moved(name: str) -> list[float]:
        # Errors are stated in kelvin; the pair's own pressure difference gives the slope back.
        return [
            getattr(point, name) * (point.pressure - point.equilibrium_pressure) / point.pair_error
            if point.pair_error
            else 0.0
            for point in points
        ]

    right = slope([0.0] * len(points))
    return {
        "lag": slope(moved("lag_error")) / right - 1.0,
        "haste": slope(moved("left_of_step")) / right - 1.0,
        "both": slope(moved("pair_error")) / right - 1.0,
    }


def debrief_data(
    scenario: Scenario,
    truth: Truth,
    points: Sequence[tuple[tuple[float, float], float, float]],
    *,
    tolerance: float = TOLERANCE,
) -> dict[str, Any]:
    """Everything a debrief needs as plain data, ready for JSON.

    Parameters
    ----------
    points
        ((start, end), temperature, pressure) of each point taken, by person or program.  [s], [K], [Pa]

    Returns
    -------
    dict
        "truth" (`Truth.as_dict`), "points" (one `PointTruth` each), "mishaps" (one `MishapTruth` each), "waiting"
        (sum of the time waited past level, s), "early" (number of early points), "costs" (see `costs`), "aims".
    """
    judged = [point_truth(scenario, truth, *point, tolerance=tolerance) for point in points]
    return {
        "truth": truth.as_dict(),
        "aims": list(scenario.aims),
        "points": [asdict(point) for point in judged],
        "mishaps": [asdict(mishap) for mishap in mishap_truths(scenario, truth)],
        "waiting": sum(max(point.waited, 0.0) for point in judged if math.isfinite(point.waited)),
        "costs": costs(judged),
        "early": sum(point.early for point in judged),
    }
