"""An invented run of n-heptane, every number by formula, for the tests of report, review and export."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import asdict, replace
from typing import Any

import numpy as np
import pytest

from acquire.cautions import TEXTS
from acquire.journal import Entry, Journal
from acquire.plan import RunPlan
from acquire.record import Baseline, PointRecord, RunRecord, Trace
from acquire.report.page import report_html

GAS_CONSTANT = 8.314462618
SLOPE_TIMES_R = 36860.0  # [J/mol] apparent, n-heptane at 298.15 K by a reference equation of state
PRESSURE_25 = 6090.8  # [Pa] the same source
DZ = 0.99255
T0, P0 = 294.55, 100_900.0  # sealed baseline [K, Pa]
#: minute of each step's start and the bath temperature it settles at [K]
STEPS = ((6.0, 294.55), (10.0, 298.65), (14.0, 302.75), (18.0, 306.75), (22.0, 310.35), (27.0, 297.15))
END = 32.0 * 60


def saturation_pressure(temperature: float) -> float:
    return PRESSURE_25 * math.exp(-SLOPE_TIMES_R / GAS_CONSTANT * (1 / temperature - 1 / 298.15))


def bath(time: np.ndarray) -> np.ndarray:
    """Bath temperature, relaxing towards each target with 25 s."""
    value = np.full_like(time, T0)
    last = T0
    for minute, target in STEPS:
        after = time >= minute * 60
        value[after] = target + (last - target) * np.exp(-(time[after] - minute * 60) / 25)
        last = target
    return value


def cell_pressure(time: np.ndarray) -> np.ndarray:
    """Air by the gas law, vapour following the bath with 40 s after the charge at minute 6."""
    air = P0 * bath(time) / T0
    vapour = np.zeros_like(time)
    last = 0.0
    for minute, target in STEPS:
        after = time >= minute * 60
        vapour[after] = saturation_pressure(target) + (last - saturation_pressure(target)) * np.exp(
            -(time[after] - minute * 60) / 40
        )
        last = saturation_pressure(target)
    return air + vapour


def make_traces() -> dict[str, Trace]:
    rng = np.random.default_rng(20)
    time = np.arange(0, END, 0.5)
    temperature = np.round(bath(time) + rng.normal(0, 0.02, time.size), 3)
    pressure = np.round(cell_pressure(time) + rng.normal(0, 40, time.size), -1)
    good = np.zeros(time.size, np.uint8)
    return {
        "temperature": Trace("temperature", "K", time, temperature, temperature - 273.15, good, "bench"),
        "pressure": Trace("pressure", "Pa", time, pressure, pressure / 1000, good, "bench"),
    }


def make_points() -> tuple[PointRecord, ...]:
    points = []
    for number, (minute, target) in enumerate(STEPS, start=1):
        start = minute * 60 + 170
        pressure = P0 * target / T0 + saturation_pressure(target) + 18 * (-1) ** number
        points.append(
            PointRecord(
                number=number, label=f"Point {number}", branch="return" if number == len(STEPS) else "up",
                start=start, end=start + 60, temperature_probe=target - 0.012, temperature=target, pressure=pressure,
                u_temperature=0.022, u_pressure=31.0, correlation=0.0, lag=-0.012, u_lag=0.006, drift=-1.6e-4,
                readings=240, taken_by="person" if number == 3 else "program",
            )
        )  # fmt: skip
    return tuple(points)


def make_fit(points: tuple[PointRecord, ...]) -> dict[str, Any]:
    """What a fit reports, laid out as `satline fit --json` promises; values by the textbook line and a quadrature."""
    used = [point for point in points if point.used]
    x = np.array([1 / point.temperature for point in used])
    vapour = {point.number: point.pressure - P0 * point.temperature / T0 for point in points}
    y = np.log([vapour[point.number] for point in used])
    slope, intercept = map(float, np.polyfit(x, y, 1))
    scatter = math.sqrt(float(np.sum((y - slope * x - intercept) ** 2)) / (len(used) - 2))
    u_line = scatter / math.sqrt(float(np.sum((x - x.mean()) ** 2))) * GAS_CONSTANT
    line = -slope * GAS_CONSTANT
    value = line * DZ
    parts = {"trapped air": 430.0, "scatter of readings": 230.0, "pressure offset": 205.0, "thermometer": 160.0}
    parts["vapour non-ideality"] = 110.0
    u = math.sqrt(sum(part**2 for part in parts.values()))
    middle = float(1 / x.mean())
    at_298 = value - 52.0 * (298.15 - middle)
    boiling = 1 / (1 / 298.15 - math.log(101_325 / PRESSURE_25) * GAS_CONSTANT / SLOPE_TIMES_R)
    return {
        "enthalpy_vap": {
            "value": value, "standard_uncertainty": u, "interval_95": [value - 1.98 * u, value + 1.98 * u],
            "temperature": middle,
            "at_298_15": {
                "value": at_298, "standard_uncertainty": u * 1.01,
                "interval_95": [at_298 - 2 * u, at_298 + 2 * u],
            },
        },
        "textbook_line": {
            "enthalpy_vap": line, "standard_uncertainty": u_line,
            "interval_95": [line - 2.776 * u_line, line + 2.776 * u_line], "slope": slope, "intercept": intercept,
        },
        "normal_boiling_point": {
            "value": boiling, "standard_uncertainty": 1.9, "interval_95": [boiling - 3.7, boiling + 3.7],
        },
        "budget": [
            {"source": name, "standard_uncertainty": part, "share": part**2 / u**2} for name, part in parts.items()
        ],
        "findings": [
            {
                "code": "return-point", "severity": "note", "statistic": 0.6, "threshold": 2.0,
                "text": "The return point agrees with the points taken on the way up.",
                "advice": "Nothing to do: a leak would show as a difference here.",
            },
            {
                "code": "bath-drift", "severity": "doubt", "statistic": 2.9, "threshold": 2.0,
                "text": "The bath fell by 0.6 K per hour during the hottest plateau.",
                "advice": "Cover the bath, or take the point sooner after the plateau is offered.",
            },
        ],
        "points": [
            {
                "temperature": point.temperature, "pressure_total": point.pressure,
                "pressure_air": P0 * point.temperature / T0, "pressure_vapour": vapour[point.number],
                "u_temperature": point.u_temperature, "u_pressure_total": point.u_pressure,
                "u_pressure_air": 140.0, "u_pressure_vapour": math.hypot(140.0, point.u_pressure),
                "residual": 18.0 * (-1) ** point.number, "used": point.used, "branch": point.branch,
            }
            for point in points
        ],
        "method": {"fit": "direct in pressure, priors on the systematic parts", "air": "sealed", "liquid": "n-heptane"},
    }  # fmt: skip


PLAN: dict[str, Any] = RunPlan.model_validate(
    {
        "title": "n-Heptane, bench 7",
        "bench": "bench 7",
        "cell": {"gas_above_water": "2 %", "u_gas_above_water": "1 %"},
        "room": {"humidity": "45 %"},
        "bath": {"targets": ["25.5 degC", "29.6 degC", "33.6 degC", "37.2 degC"], "return_to": "24 degC"},
        "limits": {"temperature": "38 degC"},
    }
).model_dump(mode="json")


def make_journal(points: tuple[PointRecord, ...]) -> tuple[Entry, ...]:
    """What people and program did, in the words and fields that a run uses."""
    happened: list[tuple[float, str, str, bool, str, dict[str, Any]]] = []

    def act(time: float, name: str, actor: str = "person", **data: Any) -> None:
        happened.append((time, "act", actor, True, name.replace("_", " "), {"act": name, **data}))

    def concluded(time: float, what: str, text: str, actor: str = "program", /, **data: Any) -> None:
        happened.append((time, what, actor, False, text, data))

    act(0.0, "begin")
    happened.append(
        (2.0, "device", "device", True, "bench opened, 10 readings a second",
         {"device": "bench", "event": "opened", "count": 0})
    )  # fmt: skip
    concluded(142.0, "baseline", "room baseline", **asdict(BASELINES[0]))
    act(200.0, "valve_closed")
    concluded(342.0, "leak check", "pressure held by the dry cell", rate=0.02, u_rate=0.05, held=142.0)
    concluded(342.0, "baseline", "sealed baseline", **asdict(BASELINES[1]))
    act(355.0, "charged", volume=2.5e-6)
    for (minute, target), point in zip(STEPS, points, strict=False):
        if minute > 6 and point.branch == "up":
            act(minute * 60, "warmed", volume=60e-6, target=target)
        if point.branch == "return":
            act(minute * 60, "cooled", target=target)
        concluded(point.end, "proposal", "point proposed", kind="point", start=point.start, end=point.end)
        concluded(point.end + 1, "point", f"point {point.number} taken", point.taken_by, **asdict(point))
    concluded(1412.0, "caution", TEXTS["near temperature limit"], code="near temperature limit", severity="caution")
    act(1240.0, "note", text="Swirled the cell for half a minute")
    act(END - 20, "vented")
    act(END - 5, "finish")
    journal = Journal()
    for time, kind, actor, given, text, data in sorted(happened, key=lambda item: item[0]):
        journal.append(time=time, block=int(time), kind=kind, actor=actor, given=given, text=text, data=data)
    return tuple(journal)


BASELINES = (
    Baseline("room", 294.62, 100_930.0, 0.02, 30.0, 20.0, 140.0),
    Baseline("sealed", T0, P0, 0.02, 25.0, 260.0, 340.0),
)


def make_run(**changes: Any) -> RunRecord:
    points = changes.pop("points", make_points())
    record = RunRecord(
        title="n-Heptane, bench 7", plan=PLAN, plan_text='title = "n-Heptane, bench 7"\n',
        profile_texts={"bench": 'name = "simulated-bench"\n'},
        devices={"bench": "/dev/ttyACM0, workshop bench box, serial 0042"},
        start_time="2031-03-14T10:02:11.250+01:00", end_time="2031-03-14T10:34:11.250+01:00",
        program="satline 0.1.0", traces=make_traces(), journal=make_journal(points),
        baselines=BASELINES,
        points=points, results=(make_fit(points),) if len([p for p in points if p.used]) > 2 else (),
        versions={"python": "3.11.2", "numpy": "2.4.6", "system": "Linux x86_64"},
        path="bench7-run04.h5", integrity="sealed",
    )  # fmt: skip
    return replace(record, **changes)


@pytest.fixture
def example_run() -> RunRecord:
    return make_run()


@pytest.fixture
def undrawn(monkeypatch: pytest.MonkeyPatch) -> None:
    """Figures are made but not written out, which is most of the time a page takes: for tests of its words."""
    monkeypatch.setattr("acquire.report.page.inline_svg", lambda figure, *, name, label: f"<svg>{name}</svg>")


@pytest.fixture
def build_run() -> Callable[..., RunRecord]:
    """`make_run` with any field of the record changed."""
    return make_run


@pytest.fixture
def build_fit() -> Callable[..., dict[str, Any]]:
    return make_fit


@pytest.fixture(scope="session")
def module_run() -> RunRecord:
    """The same run, made once for all tests that only look at it."""
    return make_run()


@pytest.fixture(scope="session")
def html(module_run: RunRecord) -> str:
    """Its report, drawn once: figures take a second."""
    return report_html(module_run)
