"""The debrief of a rehearsal on a stored run: the trainee's points, those of that run and the program's, and a truth
only where the stored run has one."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from acquire.debrief import make_debrief, plain, program_run, result_of
from acquire.record import PointRecord, RunRecord
from acquire.run import Run
from sim.device import BenchAct, SimulatedBench
from sim.errors import SimError
from sim.scenario import load_scenario


def truth_of_stored(record: RunRecord, run: Run, stored: RunRecord) -> dict[str, Any]:
    """What the run file of the rehearsal keeps as truth: that of the stored run, if any, and the debrief.

    Parameters
    ----------
    record, run
        The rehearsal as recorded, with its traces, and its run, closed.
    stored
        The run that was played.
    """
    known = {key: value for key, value in (stored.truth or {}).items() if key != "debrief"}
    bench = bench_again(known, stored.duration)
    by_program = program_run(record, run.liquid)
    if bench is not None:
        data = make_debrief(record, run, bench, run.liquid, by_program)
    else:
        data = {"result": result_of(run.result), "program": {"result": result_of(by_program.result)}, "mark": None}
    fit = stored.results[-1] if stored.results else None
    data["recorded"] = {
        "name": Path(stored.path).name,
        "result": result_of(fit),
        "true_value": known.get("enthalpy_vap"),
        "points": {
            "you": _points(run.points), "stored run": _points(stored.points), "program": _points(by_program.points),
        },
        "scale": run.plan.mark is not None,
    }  # fmt: skip
    return {**known, "replayed": Path(stored.path).name, "debrief": plain(data)}


def _points(points: Sequence[PointRecord]) -> list[dict[str, Any]]:
    return [
        {
            "temperature": p.temperature, "pressure": p.pressure, "start": p.start, "end": p.end,
            "taken_by": p.taken_by,
        }
        for p in points
        if p.used
    ]  # fmt: skip


def bench_again(truth: dict[str, Any], until: float) -> SimulatedBench | None:
    """The simulated bench of a stored run, played again to its end; None where it is not the same bench any more.

    Parameters
    ----------
    truth
        As the run file holds it.
    until
        [s]
    """
    try:
        bench = SimulatedBench(load_scenario(str(truth["scenario"])), int(truth["seed"]))
        for time, kind, amount, temperature in truth["acts"]:
            bench.advance(max(float(time), bench.time))
            bench.act(BenchAct(kind, amount, temperature))
        bench.advance(max(until, bench.time))
    except (KeyError, TypeError, ValueError, SimError):
        return None
    again = plain(bench.truth.as_dict())
    # A scenario of that name may have been changed since, or be another one here.
    same = all(again.get(key) == value for key, value in truth.items() if key not in ("mishaps", "acts", "replayed"))
    return bench if same else None
