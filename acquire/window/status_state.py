"""What the status line says: file, readings, gaps, rate, devices; and why the tolerance is what it is."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import PurePath
from typing import TYPE_CHECKING

from acquire.window.borrowed import device_text, file_text, tolerance_text
from acquire.window.language import counted, tr
from acquire.window.quantities import SPACE, clock, number

if TYPE_CHECKING:  # the records bring numpy, which is loaded only after the window is on screen
    from acquire.snapshot import Snapshot


@dataclass(frozen=True)
class StatusState:
    sign: str  # ● writing, ○ not writing
    file: str
    counts: str
    clock: str
    tip: str  # the longer story, also in the status panel of the menu
    trouble: bool


def status_state(snapshot: Snapshot) -> StatusState:
    file = snapshot.file
    name = PurePath(file.path).name if file.path else tr("no file")
    parts = [
        counted("{0} reading", "{0} readings", file.readings),
        counted("{0} gap", "{0} gaps", file.gaps),
    ]
    if file.rejected:
        parts.append(counted("{0} line rejected", "{0} lines rejected", file.rejected))
    if math.isfinite(file.rate) and file.rate > 0:
        parts.append(number(file.rate, 0 if file.rate >= 3 else 1) + SPACE + "Hz")
    at = tr("closed") if snapshot.stage == "closed" else clock(snapshot.time)
    if snapshot.speed != 1 and snapshot.stage != "closed":
        at += " · " + number(snapshot.speed, 0) + "×"
    return StatusState(
        sign="●" if file.writing else "○",
        file=tr("writing {0}").format(name) if file.writing else name,
        counts=" · ".join(parts),
        clock=at,
        tip=tip(snapshot),
        trouble=bool(file.trouble),
    )


def tip(snapshot: Snapshot) -> str:
    """Where the file is, how the devices are, and what settling is judged by."""
    lines = [snapshot.file.path]
    for device, state, notice in snapshot.devices:
        said = "" if notice == "opened" else file_text(notice)
        lines.append(f"{device}: {device_text(state)}. {said}".rstrip())
    if math.isfinite(snapshot.tolerance):
        why = tolerance_text(snapshot.tolerance_reason)
        lines.append(tr("Tolerance in force: {0} K. {1}").format(number(snapshot.tolerance, 3), why).rstrip())
    if math.isfinite(snapshot.drift):
        lines.append(tr("Bath drift: {0} K/min").format(number(snapshot.drift * 60, 3, signed=True)))
    if math.isfinite(snapshot.lag):
        lines.append(
            tr("Probe runs {0} ± {1} K from the liquid").format(
                number(snapshot.lag, 3, signed=True), number(snapshot.u_lag, 3)
            )
        )
    return "\n".join(line for line in lines if line)
