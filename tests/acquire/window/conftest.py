"""A snapshot in the middle of a run with easy numbers, to be changed field by field."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from typing import Any

import pytest

from acquire import acts
from acquire.journal import Entry
from acquire.record import Baseline, PointRecord
from acquire.snapshot import ChannelView, FileView, Instruction, ProposalView, Snapshot, StepView
from acquire.window.language import ENGLISH, use_language

ZERO = 273.15


def a_point(number: int, **changes: Any) -> PointRecord:
    celsius = 21.0 + 4.0 * number
    point = PointRecord(
        number=number, label=f"Point {number}", branch="up", start=300.0 * number, end=300.0 * number + 60.0,
        temperature_probe=ZERO + celsius, temperature=ZERO + celsius, pressure=105e3 + 2500.0 * number,
        u_temperature=0.021, u_pressure=42.0, correlation=0.0, lag=0.0, u_lag=0.01, drift=0.0, readings=1200,
        taken_by="person",
    )  # fmt: skip
    return dataclasses.replace(point, **changes)


def a_result(points: int) -> dict[str, Any]:
    rows = [
        {
            "temperature": ZERO + 21.0 + 4.0 * n, "pressure_total": 105e3 + 2500.0 * n, "pressure_air": 100e3,
            "pressure_vapour": 5e3 * 1.22**n, "u_temperature": 0.02, "u_pressure_total": 42.0,
            "u_pressure_air": 50.0, "u_pressure_vapour": 65.0, "residual": 2.0, "used": True,
        }
        for n in range(1, points + 1)
    ]  # fmt: skip
    return {
        "enthalpy_vap": {
            "value": 36_400.0, "standard_uncertainty": 700.0, "interval_95": [35_000.0, 37_800.0],
            "temperature": 303.0,
            "at_298_15": {"value": 36_600.0, "standard_uncertainty": 700.0, "interval_95": [35_200.0, 38_000.0]},
        },
        "budget": [
            {"source": "pressure, offset", "standard_uncertainty": 500.0, "share": 0.58},
            {"source": "cell volume", "standard_uncertainty": 300.0, "share": 0.42},
        ],
        "findings": [],
        "points": rows,
    }  # fmt: skip


def _snapshot() -> Snapshot:
    return Snapshot(
        time=1030.0,
        speed=1.0,
        title="n-Heptane, bench 7",
        liquid="n-heptane",
        stage="plateaus",
        steps=(
            StepView("room baseline", "room baseline", "done", None, {"temperature": 294.55, "pressure": 100_900.0}),
            StepView("soak", "soak", "done"),
            StepView("charge", "charge", "done"),
            StepView("plateau-1", "plateaus", "done", None, {"temperature": 298.15, "pressure": 107_500.0}),
            StepView("plateau-2", "plateaus", "current", 302.15),
            StepView("return", "return", "to do", 299.15),
            StepView("vent", "vent", "to do"),
        ),
        instruction=Instruction("wait", seconds_left=24.0),
        channels={
            "temperature": ChannelView("temperature", ZERO + 36.58, 0.1, "level", -0.02, 0.005, None),
            "pressure": ChannelView("pressure", 116_520.0, 0.1, "easing", 210.0, 20.0, (18.0, 24.0, 33.0)),
        },
        gates=(("pressure_moving", "pressure still has +0.21 kPa to come (± 0.04 kPa)"),),
        tolerance=0.1,
        tolerance_reason="as the plan says",
        drift=-0.0002,
        lag=0.05,
        u_lag=0.01,
        proposal=ProposalView(False, 900.0, 1030.0, 309.7, 116_500.0, 3),
        baselines=(Baseline("room", 294.55, 100_900.0, 0.01, 20.0, 30.0, 60.0),),
        points=(a_point(1), a_point(2)),
        result=a_result(2),
        next_point_gain=(310.15, 1040.0),
        cautions=(),
        limit_temperature=ZERO + 38.0,
        limit_pressure=125_900.0,
        devices=(("device", "open", "opened"),),
        file=FileView("/folder/bench7-run04.h5", 12_480, 0, 0, 10.0, True),
        refused="",
        refusal=None,
        journal_tail=(Entry(0, 5.0, 5, "act", "person", True, "begin", {"act": acts.BEGIN}),),
        possible_acts=(acts.TAKE, acts.SET_ASIDE, acts.RESTORE, acts.NOTE, acts.NEXT, acts.WARMED, acts.VENTED,
                       acts.FINISH, acts.WINDOW),
    )  # fmt: skip


@pytest.fixture
def snap() -> Callable[..., Snapshot]:
    """`snap()` is a snapshot in the middle of a run, `snap(stage="vent")` the same with fields changed."""
    return lambda **changes: dataclasses.replace(_snapshot(), **changes)


@pytest.fixture
def point() -> Callable[..., PointRecord]:
    return a_point


@pytest.fixture
def result() -> Callable[[int], dict[str, Any]]:
    return a_result


@pytest.fixture(autouse=True)
def _english() -> Any:
    use_language(ENGLISH)
    yield
    use_language(ENGLISH)
