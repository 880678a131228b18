"""The debrief of a rehearsed run: what was done, against what was true and what the program would have done."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from acquire import acts
from acquire.debrief_mark import mark_of
from acquire.decisions import BATH_CHANGED
from acquire.journal import PERSON, Entry
from acquire.record import PointRecord, RunRecord
from acquire.replay import Replay
from acquire.run import Run
from analysis.liquids import Liquid
from sim.debrief_truth import debrief_data
from sim.device import SimulatedBench

#: Acts of a person that answer to something seen; venting and going on belong to every run.
REACTIONS = frozenset({acts.NOTE, acts.SET_ASIDE, acts.FINISH, acts.VALVE_OPENED})
#: Kinds of mishaps that show in the device and its line.
LINE_MISHAPS = frozenset({"cable_pulled", "device_restarts", "power_cut", "noisy_line"})
#: Cautions that a run without a fault has too, when it comes near its limits.
OF_EVERY_RUN = frozenset({"near temperature limit", "near pressure limit", "target over pressure"})


def make_debrief(
    record: RunRecord, run: Run, bench: SimulatedBench, liquid: Liquid | None, by_program: Run | None = None
) -> dict[str, Any]:
    """Everything the debrief says, as plain data for the run file and the page; SI.

    Parameters
    ----------
    record
        The run as recorded, with its traces.
    run
        The run itself, closed.
    bench
        The simulated bench with its truth.
    liquid
        Its liquid as the run knew it.
    by_program
        Of `program_run`, where it is there already.
    """
    data = debrief_data(bench.scenario, bench.truth, _for_truth(run.points))
    by_program = by_program or program_run(record, liquid)
    data["numbers"] = [p.number for p in run.points if p.used]
    data["taken_by"] = [p.taken_by for p in run.points if p.used]
    data["result"] = result_of(run.result)
    data["program"] = {
        "result": result_of(by_program.result),
        "points": [
            {"temperature": p.temperature, "pressure": p.pressure, "start": p.start, "end": p.end}
            for p in by_program.points
            if p.used
        ],
        "truth": debrief_data(bench.scenario, bench.truth, _for_truth(by_program.points))["points"],
    }
    for mishap in data["mishaps"]:
        mishap.update(noticed(mishap["visible_from"], record.journal, mishap["kind"]))
    data["mark"] = mark_of(data, run.plan.mark)
    return plain(data)


def _for_truth(points: Sequence[PointRecord]) -> list[tuple[tuple[float, float], float, float]]:
    return [((p.start, p.end), p.temperature_probe, p.pressure) for p in points if p.used]


def program_run(record: RunRecord, liquid: Liquid | None) -> Run:
    """The same readings with every decision left to the program."""
    from acquire.plan import stored_plan

    plan = stored_plan(record.plan)
    plan = plan.model_copy(update={"settle": plan.settle.model_copy(update={"automatic": True})})
    return Replay(record, liquid, plan=plan, take_given=False).to()


def result_of(fit: Mapping[str, Any] | None) -> dict[str, Any] | None:
    if fit is None:
        return None
    value = fit["enthalpy_vap"].get("at_298_15") or fit["enthalpy_vap"]
    return {name: value.get(name) for name in ("value", "standard_uncertainty", "interval_95")}


def noticed(visible_from: float | None, journal: Sequence[Entry], kind: str) -> dict[str, Any]:
    """The first thing that a person did, and that the program said, after a mishap of this kind could be seen.

    Trouble with the device is no sign of what happened to the cell, and a caution about the cell none of the line.
    """
    if visible_from is None:
        return {"person": None, "program": None}
    later = [entry for entry in journal if entry.time >= visible_from]
    person = next((e for e in later if e.kind == "act" and e.data.get("act") in REACTIONS and e.actor == PERSON), None)
    program = next((e for e in later if _is_sign(e, kind)), None)
    return {"person": _told(person), "program": _told(program)}


def _is_sign(entry: Entry, kind: str) -> bool:
    """Whether the program says that something is wrong; an offer that ends with a step of the bath says nothing."""
    if kind in LINE_MISHAPS or entry.kind == "device":
        return kind in LINE_MISHAPS and _device_trouble(entry)
    if entry.kind == "withdrawn":
        return entry.data.get("why") != BATH_CHANGED
    if entry.kind == "caution":
        return entry.data.get("code") not in OF_EVERY_RUN
    return False


def _device_trouble(entry: Entry) -> bool:
    return entry.kind == "device" and entry.data.get("event") not in ("opened", "closed")


def _told(entry: Entry | None) -> dict[str, Any] | None:
    if entry is None:
        return None
    told = {"time": entry.time, "text": str(entry.data.get("text") or entry.text)}
    if entry.kind == "device":
        told["event"] = entry.data.get("event")
    return told


def plain(value: Any) -> Any:
    """The same with null where a number is not finite, as the run file's JSON wants it."""
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value
