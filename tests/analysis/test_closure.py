"""With every correction on, a noiseless bench of the simulator's own equations gives its enthalpy back."""

from __future__ import annotations

import pytest

from tests.benchmarks.closure import CONDITIONS, closure


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "condition", "within"),
    [
        ("n-heptane", "dry, nothing else", 1e-3),
        ("ethanol", "humid 50 %", 1e-3),
        ("acetone", "all at once", 1.2e-3),
        ("methanol", "plunger left in", 1e-3),
    ],
)
def test_corrections_close(name, condition, within):
    _, deviation = closure(name, **CONDITIONS[condition])
    assert abs(deviation) < within
