"""The live picture of a run in a terminal: step, readings, settling, points, and what happened last."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from acquire.journal import Entry
from acquire.long_wait import LongWaitHint
from acquire.snapshot import ChannelView, Instruction, Snapshot
from analysis.rounding import value_and_uncertainty_text

SHAPES = {"level": "▬", "easing": "◢", "moving": "▲", "unknown": "·"}
ZERO_CELSIUS = 273.15


HINT = LongWaitHint("Space takes it as it is, s goes on.")


def live_view(snapshot: Snapshot) -> RenderableType:
    """Everything worth showing while a run goes on."""
    parts: list[RenderableType] = [
        Text.assemble(
            (snapshot.title, "bold"), f"   {clock_text(snapshot.time)}   ", (f"{snapshot.stage}", "bold cyan")
        ),
        Text(instruction_text(snapshot.instruction), style="bold"),
        *(Text(hint, style="bold") for hint in (HINT.words(snapshot),) if hint),
        _readings(snapshot),
    ]
    if snapshot.points:
        parts.append(_points(snapshot))
    parts.append(Text(result_text(snapshot), style="bold"))
    parts.extend(Text(f"! {caution.code}", style="black on yellow") for caution in snapshot.cautions)
    for entry in snapshot.journal_tail[-4:]:
        parts.append(Text(f"{clock_text(entry.time)}  {entry_text(entry)}", style="dim"))
    return Group(*parts)


def clock_text(seconds: float) -> str:
    """Minutes and seconds since the start."""
    whole = int(seconds)
    return f"{whole // 60:3d}:{whole % 60:02d}"


def instruction_text(told: Instruction) -> str:
    """The next practical act in words."""
    target = f"{told.target - ZERO_CELSIUS:.1f} °C" if told.target is not None else ""
    left = "" if told.seconds_left is None else f", about {told.seconds_left:.0f} s"
    if told.kind == "wait":
        return "Wait" + (f" at {target}" if target else "") + left
    if told.kind in ("warm", "cool"):
        water = f"{told.water_volume * 1e6:.0f} mL" if told.water_volume else "water"
        at = f" at {told.water_temperature - ZERO_CELSIUS:.0f} °C" if told.water_temperature else ""
        first = f"take out {told.draw_off * 1e6:.0f} mL, " if told.draw_off else ""
        return f"{told.kind.capitalize()} the bath to {target}: {first}add {water}{at}"
    return {
        "begin": "Open valve, sensors on: begin",
        "take": "A plateau is ready: take it",
        "close_valve": "Close the valve",
        "charge": "Put the charge in, then swirl",
        "vent": "Vent the cell, then lift it out",
        "finish": "Finish",
        "none": "Done",
    }[told.kind]


def _readings(snapshot: Snapshot) -> Table:
    table = Table(box=None, show_header=False, pad_edge=False)
    for channel, unit, factor, shift, digits in (
        ("temperature", "°C", 1.0, ZERO_CELSIUS, 2),
        ("pressure", "kPa", 1e-3, 0.0, 2),
    ):
        view = snapshot.channels[channel]
        value = "—" if math.isnan(view.value) else f"{(view.value - shift) * factor:.{digits}f} {unit}"
        table.add_row(channel, value, f"{SHAPES[view.state]} {view.state}", _to_come(view, unit, factor))
    return table


def _to_come(view: ChannelView, unit: str, factor: float) -> str:
    if math.isnan(view.still_to_come):
        return ""
    still, u = view.still_to_come * factor, view.u_still_to_come * factor
    if abs(still) + u < 0.005:
        return "nothing more to come"
    when = f", level in about {view.level_in[1]:.0f} s" if view.level_in and view.state == "easing" else ""
    return f"still to come {still:+.2f} ± {u:.2f} {unit}{when}".replace("-", "−")


def _points(snapshot: Snapshot) -> Table:
    table = Table(box=None, header_style="dim", pad_edge=False)
    for heading in ("point", "T / °C", "p / kPa", "lag / K", "taken"):
        table.add_column(heading, justify="right")
    for point in snapshot.points:
        table.add_row(
            f"{point.number}" + ("" if point.branch == "up" else f" {point.branch}"),
            value_and_uncertainty_text(point.temperature - ZERO_CELSIUS, point.u_temperature),
            value_and_uncertainty_text(point.pressure * 1e-3, point.u_pressure * 1e-3),
            value_and_uncertainty_text(point.lag, point.u_lag),
            (point.taken_by if point.used else "set aside"),
        )
    return table


def result_text(snapshot: Snapshot) -> str:
    """The enthalpy so far, with its interval, or why there is none."""
    result = snapshot.result
    if result is None:
        return "no result yet (three points are needed)"
    return enthalpy_text(result)


def enthalpy_text(result: Mapping[str, Any]) -> str:
    """Value, standard uncertainty and 95 % interval at 298.15 K, or why no interval is given."""
    value = result["enthalpy_vap"]["at_298_15"]
    if value["value"] is None:
        return "no enthalpy is given: see the findings"
    if value["interval_95"] is None:
        return f"ΔvapH(298.15 K) = {value['value'] / 1e3:.1f} kJ/mol, no interval is given: see the findings"
    low, high = value["interval_95"]
    text = value_and_uncertainty_text(value["value"] / 1e3, value["standard_uncertainty"] / 1e3, "kJ/mol")
    return f"ΔvapH(298.15 K) = {text}, 95 % interval {low / 1e3:.2f} to {high / 1e3:.2f} kJ/mol"


def line_text(result: Mapping[str, Any]) -> str:
    """The textbook line, and what its interval leaves out."""
    line = result["textbook_line"]
    low, high = line["interval_95"]
    return (
        f"straight line: {line['enthalpy_vap'] / 1e3:.2f} kJ/mol, its own interval "
        f"{low / 1e3:.2f} to {high / 1e3:.2f}: "
        "scatter only, without air, sensors and non-ideality"
    )


def entry_text(entry: Entry) -> str:
    """One journal entry as a line, with its numbers where it has some worth saying."""
    data = entry.data
    if entry.kind in ("point", "baseline", "point window"):
        celsius = data["temperature"] - ZERO_CELSIUS
        return f"{entry.text}: {celsius:.2f} °C, {data['pressure'] * 1e-3:.2f} kPa"
    if entry.kind == "result" and "at_298_15" in data:
        return enthalpy_text({"enthalpy_vap": data})
    if entry.kind == "act" and data.get("note"):
        return f"{entry.text}: {data['note']}"
    if entry.kind == "act" and data.get("text"):
        return f"{entry.text}: {data['text']}"
    return entry.text
