"""What the run was given, as rows to read: every number of the plan with its unit and its uncertainty."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from acquire.report import text

YES_NO = {True: "yes", False: "no"}


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
    ("Cell", (
        _Field("cell.volume", "Gas space of the empty cell", "mL", "cell.u_volume"),
        _Field("cell.tubing", "Tubing to the sensor", "mL", "cell.u_tubing"),
        _Field("cell.charge", "Liquid put in", "mL", "cell.u_charge"),
        _Field("cell.plunger_drawn_back", "Plunger drawn back after the charge", ""),
        _Field("cell.gas_above_water", "Share of the gas above the water line", "%", "cell.u_gas_above_water"),
        _Field("cell.degassed", "Liquid degassed beforehand", ""),
    )),
    ("Room and trapped air", (
        _Field("room.humidity", "Relative humidity of the air shut in", "%", "room.u_humidity",
               absent="not measured: the fit allows for any"),
        _Field("air.mode", "Trapped air", "text"),
    )),
    ("Bath and limits", (
        _Field("bath.volume", "Water in the bath", "mL"),
        _Field("bath.room_to_pour", "Room for more water", "mL"),
        _Field("bath.hot_water", "Hot water", "degC"),
        _Field("bath.cold_water", "Cold water", "degC"),
        _Field("bath.first_as_found", "First plateau at the bath as found", ""),
        _Field("bath.targets", "Targets", "degC"),
        _Field("bath.return_to", "Return point at", "degC", absent="none planned"),
        _Field("limits.temperature", "Limit of the bath", "degC"),
        _Field("limits.over_pressure", "Limit above room pressure", "kPa"),
    )),
    ("Sensors (standard uncertainties)", (
        _Field("sensors.temperature.u_offset", "Thermometer, offset", "K", difference=True),
        _Field("sensors.temperature.u_gain", "Thermometer, gain", "%"),
        _Field("sensors.pressure.u_offset", "Pressure sensor, offset", "kPa"),
        _Field("sensors.pressure.u_gain", "Pressure sensor, gain", "%"),
        _Field("sensors.pressure.u_nonlinearity", "Pressure sensor, non-linearity of its span", "%"),
        _Field("sensors.pressure.u_drift", "Pressure sensor, drift over the run", "kPa"),
    )),
    ("When a plateau counts as level", (
        _Field("settle.tolerance", "Tolerance (pressure counted in kelvins)", "K", difference=True),
        _Field("settle.mode", "Readings judged", "text"),
        _Field("settle.automatic", "Plateaus taken by the program", ""),
        _Field("settle.baseline", "Room baseline at least", "s"),
        _Field("settle.soak", "Cell in the bath before the valve is closed", "s"),
        _Field("settle.leak_hold", "Valve closed before the charge", "s"),
        _Field("settle.shortest", "No plateau sooner after a change than", "s"),
        _Field("settle.separation", "Plateaus apart by at least", "K", difference=True),
    )),
)  # fmt: skip

#: Said in the head of the page, not in the table.
ELSEWHERE = {"title", "liquid", "operator", "bench", "notes", "mixture"}

WORDS = {
    "air.mode": {
        "sealed": "subtracted, from the sealed baseline",
        "none": "none: the cell was evacuated",
        "corrected": "already taken off the pressures given",
    },
    "settle.mode": {"corrected": "after the correction for lag", "raw": "as they come"},
}


def input_groups(plan: Mapping[str, Any]) -> tuple[InputGroup, ...]:
    """Every number of the plan.  A key that has no label yet is shown by its own name and in SI, never left out."""
    leaves = dict(_leaves(plan))
    groups = [InputGroup(title, tuple(_row(field, leaves) for field in fields if field.path in leaves))
              for title, fields in _GROUPS]  # fmt: skip
    said = {path for _, fields in _GROUPS for field in fields for path in (field.path, field.u)} | ELSEWHERE
    # The scale of a rehearsal's mark is no input of the measurement; the debrief shows it.
    others = tuple(
        Input(path, str(value))
        for path, value in leaves.items()
        if path not in said and path.partition(".")[0] != "mark"
    )
    if others:
        groups.append(InputGroup("Other inputs (SI)", others))
    return tuple(group for group in groups if group.rows)


def _leaves(plan: Mapping[str, Any], prefix: str = "") -> Iterator[tuple[str, Any]]:
    for key, value in plan.items():
        if isinstance(value, Mapping):
            yield from _leaves(value, f"{prefix}{key}.")
        else:
            yield f"{prefix}{key}", value


def _row(field: _Field, leaves: Mapping[str, Any]) -> Input:
    value = leaves[field.path]
    if value is None:
        return Input(field.label, field.absent)
    if field.unit == "text":
        return Input(field.label, WORDS.get(field.path, {}).get(value, str(value)))
    if field.unit == "":
        return Input(field.label, YES_NO.get(value, str(value)))
    if isinstance(value, list | tuple):
        listed = ", ".join(text.typeset(f"{text.shown_value(each, field.unit):.6g}") for each in value)
        return Input(field.label, text.with_unit(listed, field.unit) if listed else text.ABSENT)
    u = leaves.get(field.u)
    return Input(field.label, text.quantity(value, u, field.unit, difference=field.difference))
