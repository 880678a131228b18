"""Run files and summaries for the tests of pooling: real files, made quickly."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from acquire.plan import RunPlan
from acquire.pool.readers import fitted
from acquire.pool.summary import RunSummary
from acquire.record import Baseline, PointRecord
from acquire.runfile.layout import RunHeader
from acquire.runfile.writer import RunFileWriter
from analysis.liquids import load_liquid
from analysis.pooling.curve import PooledRun
from drivers.readings import Readings
from tests.analysis.pooling.campaigns import campaign


def summaries(seed: int = 1, **more) -> list[RunSummary]:
    """Summaries of a simulated campaign, as the workers would bring them."""
    runs, rooms = campaign(np.random.default_rng(seed), **more)
    found = []
    for number, run in enumerate(runs):
        known = RunSummary(
            f"{run.run}.h5",
            content=f"{number:064x}",
            run=run.run,
            bench=run.bench,
            liquid="n-heptane",
            air="sealed",
            start=1.7e9 + 3600.0 * (number % 3),
            room_pressure=96_300.0 + rooms[run.bench],
        )
        found.append(fitted(known, replace(run, room_difference=float("nan")), load_liquid("n-heptane")))
    return found


def write_run(path: Path, run: PooledRun, *, liquid: str = "n-heptane", closed: bool = True, **plan_more) -> Path:
    """A run file that holds the points of `run` as if they had been taken, with a few readings."""
    cell = {"volume": run.setup.cell_volume, "charge": run.setup.charge_volume, "tubing": 0.0}
    plan = RunPlan(title=run.run, liquid=liquid, bench=run.bench, **plan_more)
    manometer = {"u_offset": run.sensors.u_offset_pressure, "u_gain": run.sensors.u_gain_pressure}
    sensors = plan.sensors.model_copy(update={"pressure": plan.sensors.pressure.model_copy(update=manometer)})
    plan = plan.model_copy(
        update={
            "cell": plan.cell.model_copy(update=cell),
            "room": plan.room.model_copy(update={"humidity": 0.45}),
            "sensors": sensors,
        }
    )
    header = RunHeader(
        title=run.run,
        start_time="2031-03-04T09:00:00+01:00",
        program="satline test",
        plan=plan.model_dump(mode="json"),
        plan_text="",
        profile_texts={},
        devices={"bench": "loop://"},
        versions={},
        liquid=liquid,
        operator="",
    )
    writer = RunFileWriter(path, header)
    time = np.arange(0.0, 5.0)
    level = float(run.points[0].pressure)
    writer.append(Readings("temperature", time, np.full(5, 295.15), np.full(5, 22.0), np.zeros(5, np.uint8)), "bench")
    writer.append(Readings("pressure", time, np.full(5, level), np.full(5, level), np.zeros(5, np.uint8)), "bench")
    assert run.baseline is not None
    t0, p0 = run.baseline.temperature, run.baseline.pressure
    baselines = (
        Baseline("room", t0, p0, 0.01, 10.0, 0.0, 30.0),
        Baseline("sealed", t0, p0, 0.03, 30.0, 60.0, 120.0),
    )
    points = tuple(
        PointRecord(
            number=i + 1,
            label=f"P{i + 1}",
            branch=point.branch,
            start=point.time - 30.0,
            end=point.time + 30.0,
            temperature_probe=float(point.temperature),
            temperature=float(point.temperature),
            pressure=float(point.pressure),
            u_temperature=0.03,
            u_pressure=30.0,
            correlation=0.0,
            lag=0.0,
            u_lag=0.0,
            drift=0.0,
            readings=60,
            taken_by="person",
        )
        for i, point in enumerate(run.points)
    )
    if closed:
        writer.close(end_time="2031-03-04T10:00:00+01:00", points=points, baselines=baselines, results=(), truth=None)
    else:
        writer.flush()
        writer.abandon()
    return path
