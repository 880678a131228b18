"""Which column of an unknown device is a temperature, which a pressure, which a clock, and in which unit."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

#: What a room shows, by unit: (channel, unit, centre, spread, how usual the unit is). The air pressure covers places
#: from the sea to 1500 m. Common practice, no source: only the order of the guesses hangs on it.
ROOM = (
    ("temperature", "degC", 21.0, 6.0, 1.0),
    ("temperature", "K", 294.0, 6.0, 0.9),
    ("temperature", "degF", 70.0, 10.0, 0.5),
    ("pressure", "kPa", 98.0, 6.0, 1.0),
    ("pressure", "hPa", 980.0, 60.0, 0.9),
    ("pressure", "Pa", 98e3, 6e3, 0.9),
    ("pressure", "bar", 0.98, 0.06, 0.6),
    ("pressure", "mmHg", 735.0, 45.0, 0.5),
    ("pressure", "psi", 14.2, 0.9, 0.5),
    ("pressure", "inHg", 29.0, 1.8, 0.3),
)
#: Half as many spreads again is still called plausible (10 to 34 degC for the first).
PLAUSIBLE_SPREADS = 2.5
LIKELY_NAMES = {
    "temperature": re.compile(r"^(t|temp.*|.*temperature.*|t_?c|t_?k|degc|celsius)$", re.IGNORECASE),
    "pressure": re.compile(r"^(p|press.*|.*pressure.*|p_?(k|h)?pa|kpa|hpa|mbar)$", re.IGNORECASE),
    "clock": re.compile(r"^(ms|us|millis|micros|t_?ms|t_?us|time.*|uptime.*|clock)$", re.IGNORECASE),
}
NAME_BONUS = 3.0
FEWEST_LINES = 4
SHORTEST_SPAN = 0.1  # [s] below, a rate says nothing about the unit of a clock


@dataclass(frozen=True)
class ColumnGuess:
    """What one column probably is. `role`: temperature, pressure, clock, counter, constant or unknown."""

    field: int | str
    role: str
    unit: str
    reason: str
    median: float


def guess_columns(columns: Mapping[int | str, Sequence[float]], seconds: float) -> list[ColumnGuess]:
    """What each column probably is, at most one temperature, one pressure and one clock.

    Parameters
    ----------
    columns
        Numbers of each column, oldest first.
    seconds
        How long the stream was listened to; tells the unit of a clock.  [s]
    """
    usable = {field: _usable(values) for field, values in columns.items()}
    found = {field: _counting(field, values, seconds) for field, values in usable.items()}
    rooms = _best_assignment({field: usable[field] for field, guess in found.items() if guess is None})
    return [found[field] or rooms.get(field) or _unknown(field, values) for field, values in usable.items()]


def _usable(values: Sequence[float]) -> np.ndarray:
    """Numbers that can be counted with; NaN for the others, which no sensor means as a value."""
    numbers = np.asarray(values, dtype=np.float64)
    return np.where(np.abs(numbers) < 1e30, numbers, np.nan)


def _counting(field: int | str, values: np.ndarray, seconds: float) -> ColumnGuess | None:
    """A counter or a clock: whole or even steps that only go up."""
    if len(values) < FEWEST_LINES or not np.all(np.isfinite(values)):
        return None
    steps = np.diff(values)
    if np.all(steps == 1):
        return ColumnGuess(field, "counter", "", "goes up by one each time", float(np.median(values)))
    if not np.all(steps > 0) or np.max(steps) > 20 * np.median(steps):
        return None
    rate = (values[-1] - values[0]) / seconds if seconds > SHORTEST_SPAN else 0.0
    for unit, per_second in (("us", 1e6), ("ms", 1e3), ("s", 1.0)):
        if 0.7 < rate / per_second < 1.4:
            reason = f"goes up by {rate:.4g} a second, as a clock in {unit} does"
            return ColumnGuess(field, "clock", unit, reason, float(np.median(values)))
    return None


def _best_assignment(columns: Mapping[int | str, np.ndarray]) -> dict[int | str, ColumnGuess]:
    """The pair of columns that fits a room best as temperature and pressure, else the best single one."""
    scored = {
        (field, role): _best_unit(field, role, values)
        for field, values in columns.items()
        for role in ("temperature", "pressure")
    }
    pairs = list(itertools.permutations(columns, 2))
    best: dict[int | str, ColumnGuess] = {}
    best_score = 0.0
    for first, second in pairs:
        one, two = scored[first, "temperature"], scored[second, "pressure"]
        if one and two and one[0] * two[0] > best_score:
            best_score = one[0] * two[0]
            best = {first: one[1], second: two[1]}
    if best:
        return best
    singles = [(score[0], field, score[1]) for (field, _), score in scored.items() if score]
    if not singles:
        return {}
    _, field, guess = max(singles, key=lambda item: item[0])
    return {field: guess}


def _best_unit(field: int | str, role: str, values: np.ndarray) -> tuple[float, ColumnGuess] | None:
    values = values[np.isfinite(values)]
    named = isinstance(field, str) and bool(LIKELY_NAMES[role].match(field.rsplit(".", 1)[-1]))
    if len(values) < FEWEST_LINES or (np.ptp(values) == 0 and float(values[0]).is_integer() and not named):
        return None
    median = float(np.median(values))
    best: tuple[float, ColumnGuess] | None = None
    for channel, unit, centre, spread, usual in ROOM:
        away = abs(median - centre) / spread
        if channel != role or away > PLAUSIBLE_SPREADS:
            continue
        score = usual * math.exp(-(away**2) / 2) * (NAME_BONUS if named else 1.0)
        if best is None or score > best[0]:
            reason = f"{median:.5g} is what a room has in {unit}" + (f", and it is called {field!r}" if named else "")
            best = (score, ColumnGuess(field, role, unit, reason, median))
    return best


def _unknown(field: int | str, values: np.ndarray) -> ColumnGuess:
    values = values[np.isfinite(values)]
    median = float(np.median(values)) if len(values) else math.nan
    if len(values) and np.ptp(values) == 0:
        return ColumnGuess(field, "constant", "", f"always {median:g}", median)
    return ColumnGuess(field, "unknown", "", f"{median:.5g} fits no temperature or pressure of a room", median)
