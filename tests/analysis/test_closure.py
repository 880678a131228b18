"""With every correction on, a noiseless bench of the simulator's own equations gives its enthalpy back."""

from __future__ import annotations

import pytest

from tests.benchmarks.closure import CONDITIONS, closure, closure_at_rest


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "condition", "within"),
    [
        ("n-heptane", "dry, nothing else", 2e-4),
        ("ethanol", "humid 50 %", 3e-4),
        ("acetone", "all at once", 1e-3),
        ("methanol", "plunger left in", 3e-4),
    ],
)
def test_corrections_close(name, condition, within):
    _, deviation = closure(name, **CONDITIONS[condition])
    assert abs(deviation) < within


@pytest.mark.parametrize("name", ["n-octane", "acetone", "water", "ethanol"])
def test_all_corrections_together_close_where_cold_places_are_exact(name):
    assert abs(closure_at_rest(name, humidity=0.5, tube=2e-6, neck=0.03)) < 4e-4


@pytest.mark.parametrize("name", ["toluene", "n-heptane"])
def test_cold_vapour_under_air_is_counted(name):
    # 4 mL of tube and a neck of 8 %: the half per cent that air presses into the cold vapour makes 0.015 %.
    assert abs(closure_at_rest(name, humidity=0.0, tube=4e-6, neck=0.08)) < 8e-5
