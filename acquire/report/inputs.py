"""What the run was given, as rows to read: every number of the plan with its unit and its uncertainty."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from acquire.report import text
from acquire.report.language import language, said, tr

YES_NO = {True: said("yes"), False: said("no")}


@dataclass(frozen=True)
class Input:
    """One row: what, how much."""

    label: str
    value: str


@dataclass(frozen=True)
class InputGroup:
    title: str
    rows: tuple[Input, ...]


@dataclass(frozen=True)
class _Field:
    """Where a row comes from in the plan.

    `unit` is a symbol of the unit table, "" for a yes or no, "text" for words.
    """

    path: str
    label: str
    unit: str
    u: str = ""
    difference: bool = False
    absent: str = text.ABSENT


_GROUPS: tuple[tuple[str, tuple[_Field, ...]], ...] = (
    (said("Cell"), (
        _Field("cell.volume", said("Gas space of the empty cell"), "mL", "cell.u_volume"),
        _Field("cell.tubing", said("Tubing to the sensor"), "mL", "cell.u_tubing"),
        _Field("cell.charge", said("Liquid put in"), "mL", "cell.u_charge"),
        _Field("cell.plunger_drawn_back", said("Plunger drawn back after the charge"), ""),
        _Field("cell.gas_above_water", said("Share of the gas above the water line"), "%", "cell.u_gas_above_water"),
        _Field("cell.degassed", said("Liquid degassed beforehand"), ""),
    )),
    (said("Room and trapped air"), (
        _Field("room.humidity", said("Relative humidity of the air shut in"), "%", "room.u_humidity",
               absent=said("not measured: the fit allows for any")),
        _Field("air.mode", said("Trapped air"), "text"),
    )),
    (said("Bath and limits"), (
        _Field("bath.volume", said("Water in the bath"), "mL"),
        _Field("bath.room_to_pour", said("Room for more water"), "mL"),
        _Field("bath.hot_water", said("Hot water"), "degC"),
        _Field("bath.cold_water", said("Cold water"), "degC"),
        _Field("bath.first_as_found", said("First plateau at the bath as found"), ""),
        _Field("bath.targets", said("Targets"), "degC"),
        _Field("bath.return_to", said("Return point at"), "degC", absent=said("none planned")),
        _Field("limits.temperature", said("Limit of the bath"), "degC"),
        _Field("limits.over_pressure", said("Limit above room pressure"), "kPa"),
    )),
    (said("Sensors (standard uncertainties)"), (
        _Field("sensors.temperature.u_offset", said("Thermometer, offset"), "K", difference=True),
        _Field("sensors.temperature.u_gain", said("Thermometer, gain"), "%"),
        _Field("sensors.pressure.u_offset", said("Pressure sensor, offset"), "kPa"),
        _Field("sensors.pressure.u_gain", said("Pressure sensor, gain"), "%"),
        _Field("sensors.pressure.u_nonlinearity", said("Pressure sensor, bend over its range"), "kPa"),
        _Field("sensors.pressure.u_drift", said("Pressure sensor, drift over the run"), "kPa"),
    )),
    (said("When a plateau counts as level"), (
        _Field("settle.tolerance", said("Tolerance (pressure counted in kelvins)"), "K", difference=True),
        _Field("settle.mode", said("Readings judged"), "text"),
        _Field("settle.automatic", said("Plateaus taken by the program"), ""),
        _Field("settle.baseline", said("Room baseline at least"), "s"),
        _Field("settle.soak", said("Cell in the bath before the valve is closed"), "s"),
        _Field("settle.leak_hold", said("Valve closed before the charge"), "s"),
        _Field("settle.shortest", said("No plateau sooner after a change than"), "s"),
        _Field("settle.separation", said("Plateaus apart by at least"), "K", difference=True),
    )),
)  # fmt: skip

#: Said in the head of the page, not in the table.
ELSEWHERE = {"title", "liquid", "operator", "bench", "notes", "mixture"}

WORDS = {
    "air.mode": {
        "sealed": said("subtracted, from the sealed baseline"),
        "none": said("none: the cell was evacuated"),
        "corrected": said("already taken off the pressures given"),
    },
    "settle.mode": {"corrected": said("after the correction for lag"), "raw": said("as they come")},
}


def input_groups(plan: Mapping[str, Any]) -> tuple[InputGroup, ...]:
    """Every number of the plan.  A key that has no label yet is shown by its own name and in SI, never left out."""
    leaves = dict(_leaves(plan))
    groups = [InputGroup(tr(title), tuple(_row(field, leaves) for field in fields if field.path in leaves))
              for title, fields in _GROUPS]  # fmt: skip
    said = {path for _, fields in _GROUPS for field in fields for path in (field.path, field.u)} | ELSEWHERE
    # The scale of a rehearsal's mark is no input of the measurement; the debrief shows it.
    others = tuple(
        Input(path, str(value))
        for path, value in leaves.items()
        if path not in said and path.partition(".")[0] != "mark"
    )
    if others:
        groups.append(InputGroup(tr("Other inputs (SI)"), others))
    return tuple(group for group in groups if group.rows)


def _leaves(plan: Mapping[str, Any], prefix: str = "") -> Iterator[tuple[str, Any]]:
    for key, value in plan.items():
        if isinstance(value, Mapping):
            yield from _leaves(value, f"{prefix}{key}.")
        else:
            yield f"{prefix}{key}", value


def _row(field: _Field, leaves: Mapping[str, Any]) -> Input:
    value, label = leaves[field.path], tr(field.label)
    if value is None:
        return Input(label, tr(field.absent))
    if field.unit == "text":
        return Input(label, tr(WORDS.get(field.path, {}).get(value, str(value))))
    if field.unit == "":
        return Input(label, tr(YES_NO.get(value, str(value))))
    if isinstance(value, list | tuple):
        between = "; " if language().decimal_mark == "," else ", "  # a comma would run into those inside the numbers
        listed = between.join(text.typeset(f"{text.shown_value(each, field.unit):.6g}") for each in value)
        return Input(label, text.with_unit(listed, field.unit) if listed else text.ABSENT)
    u = leaves.get(field.u)
    return Input(label, text.quantity(value, u, field.unit, difference=field.difference))
