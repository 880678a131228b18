"""Trapped air and vapour together by a mixture equation of state (CoolProp, nitrogen with an alkane).

The mixture model of these pairs is estimated, not fitted to data; its own second virial coefficient is not quadratic in
composition, which alone moves the slope by 0.2 %.  Hence the tolerance.
"""

from __future__ import annotations

import pytest

from tests.benchmarks.closure import mixture_equation_closure


@pytest.mark.parametrize(
    ("fluid", "name"), [("n-Hexane", "n-hexane"), ("n-Heptane", "n-heptane"), ("CycloHexane", "cyclohexane")]
)
def test_the_air_of_a_mixture_equation_is_subtracted(fluid, name):
    assert abs(mixture_equation_closure(fluid, name)) < 3e-3
