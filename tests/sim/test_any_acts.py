"""Whatever is done to a bench, in whatever order: it goes on, stays finite, and loses nothing."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.attended import AttendedBench
from sim.device import ACT_KINDS, BenchAct, SimulatedBench
from sim.errors import BenchActError
from sim.mishap_records import mishap_classes
from sim.scenario import Scenario, load_scenario

CALM = load_scenario("calm").model_dump()
# Few acts with extreme amounts find more than many reasonable ones.
ACTS = st.tuples(
    st.sampled_from(ACT_KINDS),
    st.sampled_from([0.0, 1e-6, 60e-6, 400e-6, 5e-3]),
    st.sampled_from([0.0, 274.0, 343.0, 372.0]),
    st.sampled_from([0.0, 0.3, 5.0, 61.0, 400.0]),
)


@pytest.mark.slow
@given(
    st.lists(ACTS, max_size=10),
    st.sampled_from(["n-heptane", "n-pentane", "cyclohexane", "water", "ethanol"]),
    st.integers(0, 5),
)
@settings(max_examples=25, deadline=None, derandomize=True)
def test_a_bench_survives_any_acts(acts: list[tuple[str, float, float, float]], liquid: str, seed: int) -> None:
    data: dict[str, Any] = CALM | {"liquid": liquid}
    data["room"] = data["room"] | {"humidity_percent": 50.0}
    data["device"] = data["device"] | {"rate_Hz": 1.0}
    bench = SimulatedBench(Scenario.model_validate(data), seed)
    plant = bench._plant
    heat = plant.heat_content()
    air, vapour = plant.n_air + plant.n_air_liquid, plant.n_liquid + plant.n_vapour
    for kind, amount, temperature, pause in acts:
        try:
            bench.act(BenchAct(kind, amount, temperature))
        except BenchActError:
            continue
        bench.advance(bench.time + pause)
    bench.advance(bench.time + 30.0)
    ledger = plant.ledger
    assert math.isclose(plant.n_air + plant.n_air_liquid - air, ledger.air_in, abs_tol=1e-8 * air)
    assert math.isclose(plant.n_liquid + plant.n_vapour - vapour, ledger.vapour_in, abs_tol=1e-9)
    crossed = ledger.heat_room + ledger.heat_poured - ledger.heat_latent + ledger.heat_carried
    assert math.isclose(plant.heat_content() - heat, crossed, abs_tol=1e-8 * heat)
    state = bench.truth.states[-1]
    assert 250.0 < state.bath < 380.0
    assert 0.0 < state.pressure < 2e6
    assert plant.n_liquid >= 0.0
    assert all(math.isfinite(value) for value in (state.liquid, state.gas, state.shown_pressure))


MISHAPS = st.fixed_dictionaries(
    {
        "kind": st.sampled_from([arm.kind_name() for arm in mishap_classes()]),
        "when": st.sampled_from(["start", "close_valve", "charge", "pour"]),
        "after_s": st.sampled_from([0.0, 0.2, 7.7, 100.0]),
        "for_s": st.sampled_from([None, 0.3, 30.0]),
    }
).map(lambda data: data | ({"other": "n-hexane"} if data["kind"] == "impure_liquid" else {}))


@pytest.mark.slow
@given(st.lists(MISHAPS, min_size=1, max_size=5), st.lists(st.floats(0.01, 90.0), max_size=8))
@settings(max_examples=20, deadline=None, derandomize=True)
def test_any_mishaps_together_leave_a_bench_that_runs_and_repeats(
    mishaps: list[dict[str, Any]], pauses: list[float]
) -> None:
    data: dict[str, Any] = CALM | {"mishaps": tuple(mishaps)}
    data["device"] = data["device"] | {"rate_Hz": 1.0}
    data["procedure"] = data["procedure"] | {"targets_degC": (25.0, 29.0)}
    scenario = Scenario.model_validate(data)
    whole = AttendedBench(scenario, 1, hold=60.0)
    expected = whole.advance(whole.end)
    cut = AttendedBench(scenario, 1, hold=60.0)
    pieces = [cut.advance(min(cut.time + pause, cut.end)) for pause in pauses]
    assert b"".join([*pieces, cut.advance(cut.end)]) == expected
    states = whole.truth.states
    assert all(math.isfinite(state.pressure) and math.isfinite(state.shown_temperature) for state in states)
    for record in whole.truth.mishaps:
        if record.mishap.for_s is not None and record.began is not None and record.began + 31.0 < whole.end:
            assert record.ended is not None
