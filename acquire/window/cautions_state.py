"""What a caution says: what was measured, what the program cannot know, what to do first, who decides."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from acquire.window.borrowed import file_text
from acquire.window.language import tr
from acquire.window.quantities import NOTHING, celsius, duration, kilopascal, number, temperature
from acquire.window.readouts_state import STALE_AFTER

if TYPE_CHECKING:  # the records bring numpy, which is loaded only after the window is on screen
    from acquire.snapshot import CautionView, Snapshot


@dataclass(frozen=True)
class CautionCard:
    code: str
    severity: str  # "caution" | "warning"
    sign: str  # told apart without colour
    heading: str
    text: str


def caution_cards(snapshot: Snapshot) -> tuple[CautionCard, ...]:
    """Cards of all cautions in force, warnings first; device and reading trouble is read from the snapshot itself."""
    cards = [_card(caution, snapshot) for caution in snapshot.cautions]
    known = {card.code for card in cards}
    cards += [card for card in _device_cards(snapshot) if card.code not in known]
    if snapshot.file.trouble:
        cards.append(CautionCard("file", "warning", "!!", tr("Run file in trouble"), file_text(snapshot.file.trouble)))
    return tuple(sorted(cards, key=lambda card: card.severity != "warning"))


def _device_cards(snapshot: Snapshot) -> list[CautionCard]:
    if snapshot.stage == "closed":
        return []
    cards = []
    lost = [(device, notice) for device, state, notice in snapshot.devices if state == "lost"]
    for device, notice in lost:
        cards.append(
            CautionCard(
                "device lost",
                "warning",
                "!!",
                tr("{0} is lost").format(device),
                (file_text(notice) + " " if notice else "") + tr("You are blind: stop heating. Check cable and power."),
            )
        )
    if not lost:
        for name, view in snapshot.channels.items():
            if math.isfinite(view.silent) and view.silent > STALE_AFTER and math.isfinite(view.value):
                what = tr("temperature") if name == "temperature" else tr("pressure") if name == "pressure" else name
                cards.append(
                    CautionCard(
                        "stale " + name,
                        "warning",
                        "!!",
                        tr("No {0} for {1}").format(what, duration(math.floor(view.silent))),
                        tr("The number shown is old. Stop heating until readings come again."),
                    )
                )
    return cards


def _card(caution: CautionView, snapshot: Snapshot) -> CautionCard:
    make = _MAKERS.get(caution.code)
    sign = "!!" if caution.severity == "warning" else "!"
    if make is None:
        return CautionCard(caution.code, caution.severity, sign, caution.code, _local())
    heading, text = make(caution.data)
    return CautionCard(caution.code, caution.severity, sign, heading, text)


def _local() -> str:
    return tr("Local rules and the safety data sheet decide.")


def _get(data: Mapping[str, float], key: str) -> float:
    value = data.get(key)
    return math.nan if value is None else value


def _kpa(data: Mapping[str, float], key: str) -> str:
    value = kilopascal(_get(data, key))
    return number(abs(value), 0 if abs(value) >= 10 else 1) if math.isfinite(value) else NOTHING


def _near_temperature(data: Mapping[str, float]) -> tuple[str, str]:
    return (
        tr("{0} °C to the limit").format(number(_get(data, "margin"), 1)),
        tr(
            "Warmer than {0} the stopper may lift: satline does not know your cell. "
            "Eye protection on, no flames. Local rules come first."
        ).format(temperature(_get(data, "limit"), 0)),
    )


def _over_temperature(data: Mapping[str, float]) -> tuple[str, str]:
    over = _get(data, "temperature") - _get(data, "limit")
    return (
        tr("{0} °C above the limit").format(number(over, 1)),
        tr(
            "The bath reads {0}, the plan's limit is {1}. Stop heating and step back; add cold water only from "
            "a distance your local rules allow."
        ).format(temperature(_get(data, "temperature"), 1), temperature(_get(data, "limit"), 0)),
    )


def _near_pressure(data: Mapping[str, float]) -> tuple[str, str]:
    return (
        tr("Cell {0} kPa above the room").format(_kpa(data, "over_pressure")),
        tr(
            "The plan's limit is {0} kPa above the room; the stopper may lift. Eye protection on, no flames. "
            "Local rules come first."
        ).format(_kpa(data, "limit")),
    )


def _over_pressure(data: Mapping[str, float]) -> tuple[str, str]:
    return (
        tr("Cell {0} kPa above the room").format(_kpa(data, "over_pressure")),
        tr(
            "That is over the plan's limit of {0} kPa; satline does not know what your cell withstands. "
            "Step back and let the bath cool. Local rules come first."
        ).format(_kpa(data, "limit")),
    )


def _target_over_pressure(data: Mapping[str, float]) -> tuple[str, str]:
    reached = (
        [tr("The limit is reached near {0}.").format(temperature(data["reached"], 0))] if "reached" in data else []
    )
    text = tr(
        "At the target of {0} °C the cell is forecast to pass the plan's limit of {1} kPa. Choose a cooler target, "
        "or vent. Local rules come first."
    ).format(number(celsius(_get(data, "target")), 0), _kpa(data, "limit"))
    return tr("Next step: {0} kPa above the room").format(_kpa(data, "over_pressure")), " ".join([*reached, text])


def _small_charge(data: Mapping[str, float]) -> tuple[str, str]:
    return (
        tr("Charge of {0} mL is small").format(number(1e6 * _get(data, "charge"), 1)),
        tr(
            "At the warmest target {0} mL of it will be vapour; what drains and splashes may not suffice then. "
            "Charge several times as much where the cell allows, and tell the plan."
        ).format(number(1e6 * _get(data, "evaporates"), 2)),
    )


def _sudden_drop(data: Mapping[str, float]) -> tuple[str, str]:
    return (
        tr("Pressure fell by {0} kPa").format(_kpa(data, "drop")),
        tr("The stopper may have lifted and vapour come out. No flames; look before you go on."),
    )


def _boiling_near(data: Mapping[str, float]) -> tuple[str, str]:
    return (
        tr("Boiling point is near"),
        tr(
            "The bath reads {0}, the liquid boils near {1} at one atmosphere: vapour alone then lifts a stopper. "
            "Stop heating. Local rules come first."
        ).format(temperature(_get(data, "temperature"), 1), temperature(_get(data, "boiling_point"), 0)),
    )


def _under_pressure(data: Mapping[str, float]) -> tuple[str, str]:
    return (
        tr("Cell {0} kPa below the room").format(_kpa(data, "over_pressure")),
        tr("Mind thin glass, and water sucked back when the valve opens. Eye protection on; open the valve slowly."),
    )


_MAKERS: dict[str, Callable[[Mapping[str, float]], tuple[str, str]]] = {
    "near temperature limit": _near_temperature,
    "over temperature": _over_temperature,
    "near pressure limit": _near_pressure,
    "over pressure": _over_pressure,
    "target over pressure": _target_over_pressure,
    "sudden drop": _sudden_drop,
    "small charge": _small_charge,
    "boiling near": _boiling_near,
    "under pressure": _under_pressure,
}
