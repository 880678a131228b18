"""Deviates: right distribution, independent streams, the same numbers for ever."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from sim.noise import Normals


def test_deviates_are_standard_normal() -> None:
    noise = Normals(1, 0)
    values = [noise.normal() for _ in range(5000)]
    # One draw in a thousand fails this test; the seed is fixed.
    assert stats.kstest(values, "norm").pvalue > 1e-3


def test_uniform_deviates_fill_the_interval() -> None:
    noise = Normals(1, 0)
    assert stats.kstest([noise.uniform() for _ in range(2000)], "uniform").pvalue > 1e-3


def test_streams_and_seeds_are_independent() -> None:
    def some(seed: int, stream: int) -> np.ndarray:
        noise = Normals(seed, stream)
        return np.array([noise.normal() for _ in range(2000)])

    base = some(1, 0)
    for other in (some(1, 1), some(2, 0)):
        # The correlation of 2000 independent pairs has a standard deviation of 0.022.
        assert abs(np.corrcoef(base, other)[0, 1]) < 0.09


def test_the_first_deviates_of_a_seed_never_change() -> None:
    noise = Normals(7, 3)
    assert [noise.normal() for _ in range(3)] == pytest.approx(
        [-2.64707315160358, 0.648332291742895, -0.722661130392977], rel=1e-12
    )
