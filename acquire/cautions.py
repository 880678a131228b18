"""Which cautions hold at one block: what was measured against the limits; blocks nothing and knows no screen."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from acquire.plan import RunPlan
from acquire.stages import CHARGE, SHUT, VENT

REPEAT_AFTER = 60.0  # [s] a caution is journalled at most this often
NEAR_TEMPERATURE = 2.0  # [K] before the limit; guessed: two minutes of a slow warm-up
NEAR_PRESSURE = 0.8  # share of the over-pressure limit; guessed
BOILING_MARGIN = 5.0  # [K] below the normal boiling point a shut cell nears one atmosphere of vapour alone
SUDDEN_DROP = 3e3  # [Pa] within two seconds; a stopper that lifts loses more than that (guessed)
TIMES_EVAPORATED = 3.0  # a charge of less than so many times what evaporates is small (guessed)
UNDER_PRESSURE = 5e3  # [Pa] below the room: thin glass and sucking back


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution that holds now; words are made by whoever shows it.  Data in SI."""

    code: str
    severity: str  # "caution" | "warning"
    data: dict[str, float] = field(default_factory=dict)


TEXTS = {
    "over temperature": "The bath is above its limit. Stop heating. Your local rules come first.",
    "near temperature limit": "The bath is close to its limit: warmer, the stopper may lift.",
    "over pressure": "The cell is above its pressure limit. Step back and let the bath cool.",
    "near pressure limit": "The cell is close to its pressure limit: the stopper may lift.",
    "target over pressure": "At the next target the cell is forecast to be above its pressure limit.",
    "sudden drop": "The pressure fell suddenly: the stopper may have lifted. Look before you go on.",
    "small charge": "The charge of the plan is little more than what evaporates: the warmest points may lack liquid.",
    "boiling near": "The bath is close to the boiling point of the liquid.",
    "under pressure": "The closed cell is below room pressure: mind thin glass and sucking back.",
}


def cautions_now(
    plan: RunPlan,
    stage: str,
    temperature: float,
    pressure: float,
    *,
    pressure_before: float = math.nan,
    room_pressure: float = math.nan,
    boiling_point: float = math.nan,
    target: float | None = None,
    target_pressure: float = math.nan,
    limit_reached: Callable[[], float] = lambda: math.nan,
    evaporates: float = math.nan,
) -> list[Caution]:
    """Cautions that hold for this block; NaN readings raise none.

    Parameters
    ----------
    temperature, pressure : float
        Of the block.  [K, Pa]
    pressure_before : float
        Pressure two blocks earlier.  [Pa]
    room_pressure : float
        Room baseline.  [Pa]
    boiling_point : float
        Normal boiling point of the liquid.  [K]
    target, target_pressure : float
        Next bath temperature of the plan and the total pressure forecast for it.  [K, Pa]
    limit_reached : callable
        Asked where the target goes too far: the bath temperature at which the limit of pressure is reached.  [K]
    evaporates : float
        Volume of the liquid that will be vapour at the warmest target.  [m3]
    """
    limits = plan.limits
    found: list[Caution] = []
    margin = limits.temperature - temperature
    if margin < 0:
        found.append(Caution("over temperature", "warning", {"temperature": temperature, "limit": limits.temperature}))
    elif margin < NEAR_TEMPERATURE:
        found.append(Caution("near temperature limit", "caution", {"margin": margin, "limit": limits.temperature}))
    if boiling_point - temperature < BOILING_MARGIN:
        found.append(Caution("boiling near", "warning", {"temperature": temperature, "boiling_point": boiling_point}))
    if stage == CHARGE and plan.cell.charge < TIMES_EVAPORATED * evaporates:
        found.append(Caution("small charge", "caution", {"charge": plan.cell.charge, "evaporates": evaporates}))
    if stage not in SHUT or math.isnan(room_pressure):
        return found
    over = pressure - room_pressure
    if over > limits.over_pressure:
        found.append(Caution("over pressure", "warning", {"over_pressure": over, "limit": limits.over_pressure}))
    elif over > NEAR_PRESSURE * limits.over_pressure:
        found.append(Caution("near pressure limit", "caution", {"over_pressure": over, "limit": limits.over_pressure}))
    if over < -UNDER_PRESSURE:
        found.append(Caution("under pressure", "caution", {"over_pressure": over}))
    if pressure_before - pressure > SUDDEN_DROP and stage != VENT:
        found.append(Caution("sudden drop", "warning", {"drop": pressure_before - pressure}))
    if target is not None and target_pressure - room_pressure > limits.over_pressure:
        data = {"target": target, "over_pressure": target_pressure - room_pressure, "limit": limits.over_pressure}
        if math.isfinite(reached := limit_reached()):
            data["reached"] = reached
        found.append(Caution("target over pressure", "caution", data))
    return found


class CautionLog:
    """Which cautions are in force, since when, and which are due to be journalled."""

    def __init__(self) -> None:
        self._since: dict[str, float] = {}
        self._journalled: dict[str, float] = {}
        self.active: tuple[Caution, ...] = ()

    def update(self, time: float, cautions: Iterable[Caution]) -> list[Caution]:
        """Take what holds at this time [s]; the cautions to put in the journal now."""
        self.active = tuple(cautions)
        codes = {caution.code for caution in self.active}
        self._since = {code: since for code, since in self._since.items() if code in codes}
        due = []
        for caution in self.active:
            self._since.setdefault(caution.code, time)
            if time - self._journalled.get(caution.code, -math.inf) >= REPEAT_AFTER:
                self._journalled[caution.code] = time
                due.append(caution)
        return due

    def since(self, code: str) -> float:
        """When this caution began to hold.  [s]"""
        return self._since[code]
