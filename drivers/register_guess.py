"""Which registers of an unknown Modbus device hold a temperature or a pressure, and how. Looks only at numbers read."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from drivers.column_guess import PLAUSIBLE_SPREADS, ROOM
from drivers.modbus import REGISTER_COUNT, registers_to_number
from drivers.units import difference_from_si, difference_to_si, to_si

#: A register: its table and its address, counted from 0.
Place = tuple[str, int]

#: How usual each form is; common practice, no source: only the order of the guesses hangs on it.
TYPES = {"f32": 1.0, "i16": 0.6, "u16": 0.6, "i32": 0.4, "u32": 0.4}
ORDERS = {"ABCD": 1.0, "CDAB": 0.8, "DCBA": 0.4, "BADC": 0.3}
SCALES = {1.0: 0.4, 0.1: 1.0, 0.01: 1.0, 0.001: 0.2}
CONSTANT = 0.3  # a sensor shows some noise; a number that never moves may be a setting
SAME_FORM = 1.5  # a device that sends two numbers sends them alike
#: Noise of a sensor that is left alone, above which a guess loses belief: half of a number may be another's.
ROUGH = {"temperature": 0.3, "pressure": 200.0}  # [K], [Pa]
#: Coarsest step and least span of a sensor that this is for.  [K], [Pa]
COARSEST = {"temperature": 1.0, "pressure": 1e3}
REACHED = {"temperature": 333.15, "pressure": 110e3}
BELIEVED = 0.02
RUNNERS_UP = 3
RUNNER_UP = 0.2  # of the score of the chosen ones


@dataclass(frozen=True)
class RegisterGuess:
    """One register, or two, taken as one number. `median` is in `unit`; `order` says nothing for one register."""

    role: str
    table: str
    address: int
    type: str
    order: str
    scale: float
    unit: str
    median: float
    score: float
    reason: str

    @property
    def places(self) -> set[Place]:
        """The registers that hold it."""
        return {(self.table, self.address + n) for n in range(REGISTER_COUNT[self.type])}

    @property
    def form(self) -> str:
        """For people: `f32 ABCD`, `i16 x 0.01`."""
        order = f" {self.order}" if REGISTER_COUNT[self.type] == 2 else ""
        return f"{self.type}{order}" + (f" x {self.scale:g}" if self.scale != 1 else "")


def guess_registers(rounds: Mapping[Place, Sequence[int]]) -> tuple[list[RegisterGuess], list[RegisterGuess]]:
    """The temperature and the pressure that fit a room best, and what else would fit.

    Parameters
    ----------
    rounds
        For each register the words that it held, oldest first, all read equally often.
    """
    rounds = _once(rounds)
    found = sorted(_guesses(rounds), key=lambda one: -one.score)
    roles = {role: [one for one in found if one.role == role] for role in ROUGH}
    pairs = (
        (one.score * two.score * _alike(one, two), one, two)
        for one, two in itertools.product(roles["temperature"][:30], roles["pressure"][:30])
        if not one.places & two.places
    )
    best = max(pairs, key=lambda item: item[0], default=None)
    chosen = [best[1], best[2]] if best else found[:1]
    taken = set().union(*(one.places for one in chosen)) if chosen else set()
    least = RUNNER_UP * min((one.score for one in chosen), default=0.0)
    others = [one for one in found if not one.places & taken and one.score >= least]
    return chosen, others[:RUNNERS_UP]


def _alike(one: RegisterGuess, two: RegisterGuess) -> float:
    form = SAME_FORM if (one.type, one.order) == (two.type, two.order) else 1.0
    return form * (SAME_FORM if one.table == two.table else 1.0)


def _once(rounds: Mapping[Place, Sequence[int]]) -> Mapping[Place, Sequence[int]]:
    """Many devices show the same registers in both tables: then one of them is enough, the one that is only read."""
    tables = {name: {at: rounds[key, at] for key, at in rounds if key == name} for name in ("input", "holding")}
    one, two = tables["input"], tables["holding"]
    still = [at for at in one if at in two and len({*one[at]}) == len({*two[at]}) == 1]
    if one.keys() != two.keys() or not still or any(one[at][0] != two[at][0] for at in still):
        return rounds
    return {("input", at): words for at, words in one.items()}


def _guesses(rounds: Mapping[Place, Sequence[int]]) -> Iterator[RegisterGuess]:
    for place, kind, order, scale in _readings_of(rounds):
        words = [rounds[place[0], place[1] + n] for n in range(REGISTER_COUNT[kind])]
        values = [scale * registers_to_number(list(one), kind, order) for one in zip(*words, strict=True)]
        for role in ROUGH:
            guess = _as_role(role, place, kind, order, scale, np.array(values))
            if guess is not None and guess.score > BELIEVED:
                yield guess


def _readings_of(rounds: Mapping[Place, Sequence[int]]) -> Iterator[tuple[Place, str, str, float]]:
    for table, address in rounds:
        for kind in ("i16", "u16"):
            yield from (((table, address), kind, "ABCD", scale) for scale in SCALES)
        if (table, address + 1) in rounds:
            for order in ORDERS:
                yield (table, address), "f32", order, 1.0
                for kind in ("i32", "u32"):
                    yield from (((table, address), kind, order, scale) for scale in SCALES)


def _as_role(role: str, place: Place, kind: str, order: str, scale: float, values: np.ndarray) -> RegisterGuess | None:
    if not np.all(np.isfinite(values)):
        return None
    if kind[0] == ("u" if role == "temperature" else "i"):
        return None  # below its largest number both are the same; temperatures have signs, pressures have none
    median = float(np.median(values))
    prior = TYPES[kind] * (ORDERS[order] if REGISTER_COUNT[kind] == 2 else 1.0)
    prior *= 1.0 if kind == "f32" else SCALES[scale]
    best: RegisterGuess | None = None
    for channel, unit, centre, spread, usual in ROOM:
        away = abs(median - centre) / spread
        if channel != role or away > PLAUSIBLE_SPREADS or not _serves(role, kind, scale, unit):
            continue
        noise = difference_to_si(float(np.sqrt(np.mean(np.diff(values) ** 2) / 2)) if len(values) > 1 else 0.0, unit)
        life = math.exp(-noise / ROUGH[role]) if noise else CONSTANT
        score = prior * life * usual * math.exp(-(away**2) / 2)
        if best is None or score > best.score:
            moves = f"moves by {difference_from_si(noise, unit):.2g} {unit}" if noise else "did not move"
            reason = f"{median:.6g} is what a room has in {unit}; it {moves}"
            best = RegisterGuess(role, *place, kind, order, scale, unit, median, score, reason)
    return best


def _serves(role: str, kind: str, scale: float, unit: str) -> bool:
    """Whether whole numbers of this scale are fine enough and go far enough."""
    if kind == "f32":
        return True
    largest = {"i16": 2**15, "u16": 2**16, "i32": 2**31, "u32": 2**32}[kind] - 1
    return difference_to_si(scale, unit) <= COARSEST[role] and to_si(scale * largest, unit) >= REACHED[role]


def in_every_order(guess: RegisterGuess, rounds: Mapping[Place, Sequence[int]]) -> dict[str, float]:
    """What the two registers of a guess say in each of the four orders; empty for one register."""
    if REGISTER_COUNT[guess.type] == 1:
        return {}
    words = [rounds[guess.table, guess.address + n][-1] for n in range(2)]
    return {order: guess.scale * registers_to_number(words, guess.type, order) for order in ORDERS}
