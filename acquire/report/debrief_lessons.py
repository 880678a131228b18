"""What a mishap teaches: how it shows in the readings, and what to do about it.

Common practice at such benches and what the simulated cell does, no source.  Looked up by the words that the debrief
has for a mishap; a kind without an entry is left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from acquire.record import RunRecord
from acquire.report.content import finding_rows, newest_result
from acquire.report.debrief_parts import DebriefTable
from acquire.report.language import said, tr

#: Words of the mishap: how it shows, what to do.
LESSONS: Mapping[str, tuple[str, str]] = {
    "the cell leaks": (
        said("With the bath at rest the pressure falls more than the temperature explains; the return point lies low."),
        said("Take the return point, it tells best. Grease or replace the stopper before the next run."),
    ),
    "the stopper lifts": (
        said("The pressure drops within seconds near the hottest step, and every later point lies lower."),
        said("Cool first. Points taken before it stand; after it another amount of air is in the cell."),
    ),
    "air went in with the liquid": (
        said("From the charge on every vapour pressure is too high by nearly the same, and the line is still good."),
        said("Hold the vapour pressure against the reference. Fill the syringe without a bubble; note what went in."),
    ),
    "the plunger was not drawn back": (
        said("As if air had gone in: the liquid squeezes the air, and every vapour pressure is too high."),
        said("Draw it back at once. If it stayed in, say so in the run plan: the fit then counts the smaller volume."),
    ),
    "the valve was left open": (
        said("After the charge the pressure does not rise by the vapour, or sinks back to that of the room."),
        said("Look at the valve. Begin again from the baselines: nobody knows how much went out."),
    ),
    "the cell was not given time to reach the bath's temperature": (
        said("While closed and dry the pressure creeps although the bath is at rest."),
        said("Open, wait longer in the bath, shut again, and only then put the liquid in."),
    ),
    "too little liquid was charged": (
        said("At the hottest steps the pressure rises less than foretold: the liquid is used up, only gas expands."),
        said("Set those points aside and charge more the next time."),
    ),
    "the liquid was wet": (
        said("The vapour pressure is too high at every point, since the water adds its own."),
        said("Hold it against the reference. Dry the liquid, or open a fresh bottle."),
    ),
    "the liquid was impure": (
        said("The points make a good line at the wrong height: their scatter shows nothing."),
        said("Hold the vapour pressure against the reference, and take a purer bottle."),
    ),
    "the cell was out of the bath": (
        said("The pressure dips while the bath stands still, and then comes back."),
        said("Wait until both are level again. Set a point aside that was taken meanwhile."),
    ),
    "the probe was out of the water": (
        said("The temperature runs off towards the room while the pressure stays."),
        said("Put it back beside the cell and wait. Set a point aside that was taken meanwhile."),
    ),
    "the probe touched the inflow": (
        said("The temperature leaps while water goes in, and the pressure does not follow."),
        said("Keep the probe beside the cell and away from the stream; wait until the leap is gone."),
    ),
    "too much hot water was poured": (
        said("The temperature goes past its target, and perhaps past the limit."),
        said("Mind the limit first: let cold water in slowly. A plateau beside its target is as good as one on it."),
    ),
    "the bath was not stirred": (
        said("The temperature wanders and the pressure does not follow: water of different warmth passes the probe."),
        said("Stir, and wait until both go together again."),
    ),
    "the cable was pulled": (
        said("The readings stop: the numbers turn grey, and the traces have a gap."),
        said("Do not warm while you are blind. Plug it in again: the run goes on, and the gap stays a gap."),
    ),
    "the device restarted": (
        said("Some seconds are missing, and the device counts its own time anew."),
        said("Wait, and see whether the readings go on where they were."),
    ),
    "the power was cut": (
        said("All readings of the device stop at once, and it is reported as lost."),
        said("Stop heating. What was read is kept; go on when the device is back and both are level."),
    ),
    "the line was disturbed": (
        said("Damaged lines are counted and left out; there are fewer readings a second."),
        said("The values are not harmed. A shorter cable away from motors helps, and a device that sends a check sum."),
    ),
    "a sensor spoke in coarse steps": (
        said("The trace is a staircase: nothing finer than a step can be seen."),
        said("Set the device to more digits, or average over a longer plateau."),
    ),
    "a sensor was stuck": (
        said("The very same number again and again, while the other reading moves; a live sensor always scatters."),
        said("Unplug it and plug it in. Set a point aside that was taken meanwhile."),
    ),
    "the two sensors were swapped": (
        said("Before the run begins neither reading is one of this room."),
        said("Compare both with the room before the liquid goes in, and mend the device profile."),
    ),
    "a sensor was set to another unit": (
        said("Before the run begins one reading is not one of this room, and its steps have the wrong size."),
        said("Compare with the room before the liquid goes in, and set the unit right in the device or its profile."),
    ),
}  # fmt: skip


def lesson_rows(mishaps: Iterable[Mapping[str, Any]]) -> tuple[tuple[str, str, str], ...]:
    """What happened, how it shows, what to do; of each kind once, and only of what happened."""
    words = dict.fromkeys(mishap["words"] for mishap in mishaps if mishap["began"] is not None)
    told = ((word, *LESSONS[word]) for word in words if word in LESSONS)
    return tuple((tr(word), tr(sign), tr(remedy)) for word, sign, remedy in told)


def lesson_tables(record: RunRecord, mishaps: Iterable[Mapping[str, Any]]) -> tuple[DebriefTable, ...]:
    """What each mishap teaches, and what the fit found in the points by itself; nothing where there is nothing."""
    rows = lesson_rows(mishaps)
    found = [row for row in finding_rows(newest_result(record)) if row.severity != "note"]
    tables = []
    if rows:
        headers = (tr("What"), tr("How it shows"), tr("What to do"))
        tables.append(DebriefTable(tr("What to learn from it"), headers, rows, ""))
    if found:
        told = tuple((f"{row.sign} {row.text}", row.advice) for row in found)
        tables.append(DebriefTable(tr("What the fit says of your points"), (tr("Finding"), tr("Advice")), told, ""))
    return tuple(tables)
