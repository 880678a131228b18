"""Points, baselines, results and truth in a closed run file, written and read back without loss."""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Mapping, Sequence
from typing import Any, TypeVar

import h5py
import numpy as np

from acquire.record import Baseline, PointRecord
from acquire.runfile import layout
from acquire.runfile.columns import checked, texts
from acquire.runfile.skeleton import make_group, write_note
from acquire.runfile.strings import set_attr, write_text, write_texts

UNITS: Mapping[str, str] = {
    "temperature_probe": "K",
    "temperature": "K",
    "pressure": "Pa",
    "u_temperature": "K",
    "u_pressure": "Pa",
    "correlation": "",
    "lag": "K",
    "u_lag": "K",
    "drift": "K/s",
    "start": "s",
    "end": "s",
}
LONG_NAMES: Mapping[str, str] = {
    "temperature": "Temperature of the liquid (K)",
    "pressure": "Total pressure in the cell (Pa)",
    "temperature_probe": "Temperature of the probe (K)",
}
R = TypeVar("R", Baseline, PointRecord)


def write_points(entry: h5py.Group, points: Sequence[PointRecord]) -> None:
    """All points, those set aside too; as a plot of total pressure against temperature."""
    group = make_group(entry, "points", "NXdata")
    set_attr(group, "signal", "pressure")
    set_attr(group, "axes", ["temperature"])
    set_attr(group, "temperature_indices", np.array([0]))
    write_text(group, "title", "Points taken: total pressure against temperature")
    _write_records(group, points, PointRecord)
    for name in ("temperature", "pressure"):
        set_attr(group.create_dataset(f"{name}_errors", data=group[f"u_{name}"][()]), "units", UNITS[name])


def write_baselines(entry: h5py.Group, baselines: Sequence[Baseline]) -> None:
    _write_records(make_group(entry, "baselines", "NXcollection"), baselines, Baseline)


def _write_records(group: h5py.Group, records: Sequence[Any], kind: type) -> None:
    for field in dataclasses.fields(kind):
        values = [getattr(record, field.name) for record in records]
        if field.type == "str":
            column = write_texts(group, field.name, values)
        else:
            dtype = {"float": "f8", "int": "i8", "bool": "u1"}[str(field.type)]
            column = (
                group.create_dataset(field.name, data=np.array(values, dtype=dtype), fletcher32=True, chunks=True)
                if values
                else group.create_dataset(field.name, shape=(0,), dtype=dtype)
            )
        if field.name in UNITS:
            set_attr(column, "units", UNITS[field.name])
        if field.name in LONG_NAMES:
            set_attr(column, "long_name", LONG_NAMES[field.name])


def read_records(group: h5py.Group, kind: type[R]) -> tuple[R, ...]:
    """What `write_points` or `write_baselines` wrote, equal to what was given."""
    cast = {"str": str, "float": float, "int": int, "bool": bool}
    columns = []
    for field in dataclasses.fields(kind):
        values = texts(group[field.name]) if field.type == "str" else checked(group[field.name])[()].tolist()
        columns.append([cast[str(field.type)](value) for value in values])
    return tuple(kind(*row) for row in zip(*columns, strict=True))


def write_result(entry: h5py.Group, number: int, result: Mapping[str, Any], program: str, date: str) -> None:
    """One result, in full as JSON and its main figures as values with units; never overwritten."""
    group = make_group(entry, f"result_{number}", "NXprocess")
    name, _, version = program.partition(" ")
    write_text(group, "program", name)
    write_text(group, "version", version)
    write_text(group, "date", date)
    group.create_dataset("sequence_index", data=number)
    text = json.dumps(result, ensure_ascii=False)
    write_note(group, "document", text, kind="application/json", file_name=f"result_{number}.json")
    figures = make_group(group, "figures", "NXparameters")
    for key, unit in (("enthalpy_vap", "J/mol"), ("textbook_line", "J/mol"), ("normal_boiling_point", "K")):
        part = result.get(key)
        value = part.get("value", part.get("enthalpy_vap")) if isinstance(part, Mapping) else None
        if isinstance(value, int | float) and isinstance(part, Mapping):
            figure = figures.create_dataset(key, data=float(value))
            set_attr(figure, "units", unit)
            if isinstance(part.get("standard_uncertainty"), int | float):
                set_attr(figure, "standard_uncertainty", float(part["standard_uncertainty"]))
    if _write_saturation_line(group, result):
        set_attr(group, "default", "saturation_line")


def _write_saturation_line(group: h5py.Group, result: Mapping[str, Any]) -> bool:
    """ln of the vapour pressure against 1/T of the points used; False where the result has none."""
    rows = [
        (1.0 / point["temperature"], math.log(point["pressure_vapour"]))
        for point in result.get("points", ())
        if isinstance(point, Mapping)
        and _positive(point.get("temperature"))
        and _positive(point.get("pressure_vapour"))
        and point.get("used", True)
    ]
    if not rows:
        return False
    x, y = np.array(sorted(rows)).T
    data = make_group(group, "saturation_line", "NXdata")
    set_attr(data, "signal", "ln_pressure")
    set_attr(data, "axes", ["inverse_temperature"])
    set_attr(data, "inverse_temperature_indices", np.array([0]))
    write_text(data, "title", "Saturation line: points used, trapped air subtracted")
    for name, values, unit, words in (
        ("inverse_temperature", x, "1/K", "1/T (1/K)"),
        ("ln_pressure", y, "", "ln(vapour pressure / Pa)"),
    ):
        column = data.create_dataset(name, data=values)
        set_attr(column, "units", unit)
        set_attr(column, "long_name", words)
    return True


def _positive(value: Any) -> bool:
    return isinstance(value, int | float) and value > 0 and math.isfinite(value)


def result_numbers(entry: h5py.Group) -> list[int]:
    """Numbers of the results in the file, ascending."""
    prefix = "result_"
    return sorted(
        int(name[len(prefix) :]) for name in entry if name.startswith(prefix) and name[len(prefix) :].isdigit()
    )


def read_document(note: h5py.Group) -> dict[str, Any]:
    """A JSON text kept in a note."""
    (text,) = texts([checked(note["data"])[()]])
    return json.loads(text)


def write_truth(entry: h5py.Group, truth: Mapping[str, Any]) -> None:
    text = json.dumps(truth, ensure_ascii=False)
    write_note(entry, "truth", text, kind="application/json", file_name="truth.json")


def set_default_plot(entry: h5py.Group) -> None:
    """What a viewer opens first: the newest saturation line, else the points, else the pressure trace."""
    set_attr(entry, "default", f"trace_{layout.PRESSURE}")
    if layout.POINTS in entry and entry[layout.POINTS]["number"].shape[0]:
        set_attr(entry, "default", "points")
    for number in result_numbers(entry):
        if "default" in entry[f"result_{number}"].attrs:
            set_attr(entry, "default", f"result_{number}")
