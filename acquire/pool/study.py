"""A method study: thousands of simulated runs over a grid of choices, and what a bench gains from each choice."""

from __future__ import annotations

import csv
import json
import math
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, wait
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from acquire.pool.study_plan import Setting, StudyPlan
from acquire.pool.study_runs import Chunk, Tally, rms, simulate
from acquire.pool.workers import Workers

CHUNK = 50  # runs a worker does at a time: a second or two, for smooth progress
FACTORS = ("plateaus", "span", "wait", "take", "return_point", "sensors", "physics", "mishaps")


@dataclass(frozen=True)
class SettingResult:
    """How one setting did.  J/mol; shares from 0 to 1; `duration` of one run in s."""

    setting: Setting
    runs: int
    refused: float
    bias: float
    rms: float
    mean_u: float
    coverage: float
    textbook_rms: float
    leaks_found: float  # share of the leaking runs, NaN without any
    duration: float
    rms_sound: float  # of the runs to which nothing happened, NaN without any

    def as_dict(self) -> dict[str, Any]:
        values = {name: getattr(self, name) for name in RESULTS}
        return {**self.setting.as_dict(), **{k: None if v != v else v for k, v in values.items()}}


RESULTS = (
    "runs",
    "refused",
    "bias",
    "rms",
    "mean_u",
    "coverage",
    "textbook_rms",
    "leaks_found",
    "duration",
    "rms_sound",
)


@dataclass(frozen=True)
class Gain:
    """What one choice changes beside the first choice of its kind, the others averaged over."""

    factor: str
    choice: Any
    rms_ratio: float  # rms error over that of the first choice, geometric mean
    sound_ratio: float  # the same of the runs without a mishap; NaN where mishaps are the choice
    mean_u: float  # [J/mol]
    coverage: float
    duration: float  # [s]


@dataclass(frozen=True)
class MishapResult:
    """What one mishap does, all combinations together; "" stands for runs without any.  J/mol, shares from 0 to 1."""

    mishap: str
    runs: int
    bias: float
    rms: float
    coverage: float
    noticed: float  # share that the fit refuses or calls doubtful: of sound runs, false alarms


@dataclass(frozen=True)
class StudyOutcome:
    plan: StudyPlan
    results: tuple[SettingResult, ...]
    gains: tuple[Gain, ...]
    mishaps: tuple[MishapResult, ...] = ()


def run_study(plan: StudyPlan, workers: Workers, on_progress: Callable[[int, int], None] | None = None) -> StudyOutcome:
    """Simulate everything; `on_progress(runs done, runs in all)`.

    The answer does not depend on the number of workers: every chunk has its own seed.
    """
    settings = list(plan.settings())
    tallies = [Tally() for _ in settings]
    chunks = _chunks(plan, settings)
    total, done = plan.runs * len(settings), 0
    flying: dict[Future, Chunk] = {}
    while True:
        while len(flying) < 2 * workers.count and (chunk := next(chunks, None)) is not None:
            flying[workers.executor().submit(simulate, chunk)] = chunk
        if not flying:
            break
        ready, _ = wait(flying, return_when=FIRST_COMPLETED)
        for future in ready:
            chunk = flying.pop(future)
            number, tally = future.result()
            tallies[number].add(tally)
            done += chunk.runs
            if on_progress is not None:
                on_progress(done, total)
    results = tuple(_result(setting, tally) for setting, tally in zip(settings, tallies, strict=True))
    whole = Tally()
    for tally in tallies:
        whole.add(tally)
    return StudyOutcome(plan, results, tuple(_gains(plan, results)), tuple(_mishaps(whole)))


def _mishaps(whole: Tally) -> Iterator[MishapResult]:
    """Sound runs first, then the mishaps in the order of their harm."""
    found = []
    for name, part in whole.by_mishap.items():
        share = 1.0 / part.answered if part.answered else math.nan
        found.append(
            MishapResult(
                name,
                part.runs,
                part.error * share,
                math.sqrt(part.error2 * share) if part.answered else math.nan,
                part.covered * share,
                part.noticed / part.runs,
            )
        )
    yield from sorted(found, key=lambda one: (one.mishap != "", -one.rms if one.rms == one.rms else 0.0))


def _chunks(plan: StudyPlan, settings: list[Setting]) -> Iterator[Chunk]:
    for first in range(0, plan.runs, CHUNK):
        for number, setting in enumerate(settings):
            yield Chunk(
                number,
                setting,
                plan.sensors[setting.sensors],
                plan.liquid,
                plan.mishaps.shares(setting.mishaps),
                min(CHUNK, plan.runs - first),
                (plan.seed, first // CHUNK),
            )


def _result(setting: Setting, tally: Tally) -> SettingResult:
    answered = tally.runs - tally.refused
    share = 1.0 / answered if answered else math.nan
    sound = tally.by_mishap.get("")
    return SettingResult(
        setting,
        tally.runs,
        tally.refused / tally.runs,
        tally.error * share,
        rms(tally),
        tally.u * share,
        tally.covered * share,
        math.sqrt(tally.textbook2 / tally.textbook) if tally.textbook else math.nan,
        tally.leaks_found / tally.leaking if tally.leaking else math.nan,
        tally.seconds / tally.runs,
        math.sqrt(sound.error2 / sound.answered) if sound and sound.answered else math.nan,
    )


def _gains(plan: StudyPlan, results: tuple[SettingResult, ...]) -> Iterator[Gain]:
    for factor in FACTORS:
        choices = getattr(plan.vary, factor)
        if len(choices) < 2:
            continue
        first = first_sound = None
        for choice in choices:
            these = [r for r in results if getattr(r.setting, factor) == choice and r.rms > 0]
            if not these:
                continue
            level = _mean_log([r.rms for r in these])
            first = level if first is None else first
            sound = _mean_log([r.rms_sound for r in these]) if factor != "mishaps" else math.nan
            first_sound = sound if first_sound is None else first_sound
            yield Gain(
                factor,
                choice,
                math.exp(level - first),
                math.exp(sound - first_sound),
                sum(r.mean_u for r in these) / len(these),
                sum(r.coverage for r in these) / len(these),
                sum(r.duration for r in these) / len(these),
            )


def _mean_log(values: list[float]) -> float:
    """Of those that are above zero; NaN without any."""
    logs = [math.log(value) for value in values if value > 0]
    return sum(logs) / len(logs) if logs else math.nan


def study_document(outcome: StudyOutcome) -> dict[str, Any]:
    """The outcome as plain data in SI."""
    return {
        "title": outcome.plan.title,
        "liquid": outcome.plan.liquid,
        "runs_each": outcome.plan.runs,
        "seed": outcome.plan.seed,
        "settings": [result.as_dict() for result in outcome.results],
        "gains": [_without_nan(vars(gain)) for gain in outcome.gains],
        "mishaps": [_without_nan(vars(one)) for one in outcome.mishaps],
    }


def _without_nan(values: dict[str, Any]) -> dict[str, Any]:
    return {name: None if value != value else value for name, value in values.items()}


def write_study(outcome: StudyOutcome, folder: Path, language: str = "en") -> list[Path]:
    """study.csv, study.json and study.html in the folder; the page in a language."""
    from acquire.pool.study_page import study_page

    table = folder / "study.csv"
    with table.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        units = {"span": "/K", "wait": "/s", "duration": "/s"} | dict.fromkeys(
            ("bias", "rms", "mean_u", "textbook_rms", "rms_sound"), "/(J/mol)"
        )
        writer.writerow([name + units.get(name, "") for name in (*FACTORS, *RESULTS)])
        for result in outcome.results:
            row = result.as_dict()
            writer.writerow(["" if row[name] is None else row[name] for name in (*FACTORS, *RESULTS)])
    document = folder / "study.json"
    document.write_text(json.dumps(study_document(outcome), indent=2, allow_nan=False), encoding="utf-8")
    page = folder / "study.html"
    page.write_text(study_page(outcome, language), encoding="utf-8")
    return [page, table, document]
