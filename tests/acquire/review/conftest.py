"""A whole run on the formula bench, recorded the way a run file would hold it."""

from __future__ import annotations

import numpy as np
import pytest

from acquire import acts, stages
from acquire.acts import Act
from acquire.plan import stored_plan
from acquire.record import RunRecord, Trace
from acquire.run import Run
from analysis.liquids import load_liquid
from drivers.readings import CHANNEL_UNIT, DeviceNotice, Readings
from tests.acquire.formula_bench import FormulaBench

PLAN = {
    "title": "Formula bench",
    "bath": {"targets": (298.15, 302.15), "return_to": 296.15},
    "room": {"humidity": 0.4},
    "settle": {"automatic": True, "soak": 10.0, "leak_hold": 60.0},
}


class Recorder:
    """A run, its bench, and every reading that the run was fed."""

    def __init__(self) -> None:
        self.run, self.bench = Run(stored_plan(PLAN), load_liquid("n-heptane")), FormulaBench()
        self.fed: dict[str, list[Readings]] = {}

    def until(self, done, limit: float = 1200.0) -> None:
        end = self.bench.time + limit
        while not done(self.run):
            assert self.bench.time < end, f"not reached; stage {self.run.stage!r}"
            for block in self.bench.readings(1.0):
                self.fed.setdefault(block.channel, []).append(self.run.feed(block))
            self.run.proceed()

    def record(self) -> RunRecord:
        traces = {
            channel: Trace(
                channel, CHANNEL_UNIT[channel],
                *(np.concatenate([getattr(block, name) for block in blocks])
                  for name in ("time", "value", "raw", "quality")),
                "bench",
            )
            for channel, blocks in self.fed.items()
        }  # fmt: skip
        run = self.run
        return RunRecord(
            title=run.plan.title, plan=run.plan.model_dump(mode="json"), plan_text="", profile_texts={},
            devices={"bench": "formula"}, start_time="2031-03-14T10:02:11+01:00",
            end_time="2031-03-14T10:40:00+01:00" if run.closed else None, program="satline 0.1.0", traces=traces,
            journal=tuple(run.journal), baselines=run.baselines, points=run.points,
            results=(dict(run.result),) if run.result is not None else (), integrity="sealed" if run.closed else "open",
        )  # fmt: skip


def run_to_the_end() -> RunRecord:
    made = Recorder()
    run, bench = made.run, made.bench
    run.notice(DeviceNotice(0.0, "opened", "bench", "bench opened"))
    run.act(Act(acts.BEGIN))
    made.until(lambda run: run.stage == stages.SOAK)
    made.until(lambda run: run.time - run.stage_since >= 10.0)
    bench.shut = True
    run.act(Act(acts.VALVE_CLOSED))
    made.until(lambda run: run.stage == stages.CHARGE)
    bench.charged = True
    run.act(Act(acts.CHARGED))
    made.until(lambda run: len(run.points) == 1)
    for number, target in enumerate((298.15, 302.15), 2):
        bench.warm_to(target)
        run.act(Act(acts.WARMED, data={"volume": 60e-6}))
        made.until(lambda run, number=number: len(run.points) == number)
    bench.warm_to(296.15)
    run.act(Act(acts.COOLED))
    made.until(lambda run: run.stage == stages.VENT)
    run.act(Act(acts.NOTE, data={"text": "nothing dripped"}))
    run.act(Act(acts.VENTED))
    return made.record()


@pytest.fixture(scope="session")
def recorded() -> RunRecord:
    """Made once: the tests only look at it."""
    return run_to_the_end()


@pytest.fixture(scope="session")
def heptane():
    return load_liquid("n-heptane")
