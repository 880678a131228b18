"""Trapped air and vapour together by mixture equations of state (CoolProp's Peng-Robinson and Soave-Redlich-Kwong).

Nitrogen stands for air.  The equations' own coefficient of nitrogen changes with temperature by up to a third otherwise
than that of air; the slope moves by a few hundredths of a per cent for it.
"""

from __future__ import annotations

import pytest

from tests.benchmarks.closure import MIXTURES, mixture_equation_closure


@pytest.mark.parametrize("name", ["n-heptane", "cyclohexane", "ethanol", "acetone", "water"])
@pytest.mark.parametrize("equation", ["PR", "SRK"])
def test_the_air_of_a_mixture_equation_is_subtracted(equation, name):
    assert abs(mixture_equation_closure(equation, MIXTURES[name], name)) < 5e-4
