"""The route of ASTM E2071 (Antoine, then Clapeyron with the change of compressibility) beside the direct fit.

Constants of the made table: Antoine constants of ethyl acetate by Poling, Prausnitz and O'Connell as shipped in
`chemicals` (log10 p/Pa, K): the route must give them back.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from chemicals.vapor_pressure import Antoine as library_antoine
from chemicals.vapor_pressure import Psat_data_AntoinePoling
from scipy.constants import R

from analysis.antoine import fit_antoine
from analysis.enthalpy import fit_enthalpy
from analysis.fit_input import FitPoint, SensorPriors
from analysis.liquids import load_liquid
from analysis.refusal import FitRefused
from tests.published.check_values import CHECK_VALUES, TEMPERATURES

POLING = Psat_data_AntoinePoling.loc["141-78-6"]
WIDE = np.linspace(290.0, 345.0, 12)


def test_published_constants_come_back():
    pressures = [library_antoine(t, POLING["A"], POLING["B"], POLING["C"]) for t in WIDE]
    found = fit_antoine(WIDE, pressures)
    assert found.a == pytest.approx(POLING["A"] * math.log(10), rel=1e-7)
    assert found.b == pytest.approx(POLING["B"] * math.log(10), rel=1e-7)
    assert found.c == pytest.approx(POLING["C"], rel=1e-6)


def test_clapeyron_on_published_constants_gives_their_own_derivative():
    pressures = [library_antoine(t, POLING["A"], POLING["B"], POLING["C"]) for t in WIDE]
    slope, _ = fit_antoine(WIDE, pressures).slope(298.15)
    by_hand = R * 298.15**2 * math.log(10) * POLING["B"] / (298.15 + POLING["C"]) ** 2
    assert slope == pytest.approx(by_hand, rel=1e-6)


@pytest.mark.parametrize("name", [n for n in CHECK_VALUES if n != "propan-2-ol"])
def test_both_routes_reach_the_same_number(name):
    pressures = [1e3 * p for p in CHECK_VALUES[name][0]]
    liquid = load_liquid(name)
    points = [FitPoint(t, p, 0.0, 1e-3 * p) for t, p in zip(TEMPERATURES, pressures, strict=True)]
    fit = fit_enthalpy(points, air="none", sensors=SensorPriors.none(), liquid=liquid)
    tm = fit.method["mean_temperature"]
    value, _ = fit_antoine(TEMPERATURES, pressures).enthalpy_vap(tm, float(liquid.dz(tm)))
    assert value == pytest.approx(fit.enthalpy_vap.value, rel=1e-3)


@pytest.mark.parametrize(
    ("temperatures", "points", "span"),
    [([290, 300, 310], 3, 20.0), (np.linspace(300, 310, 8), 8, 10.0)],
)
def test_three_constants_need_points_and_span(temperatures, points, span):
    with pytest.raises(FitRefused) as refused:
        fit_antoine(temperatures, np.exp(20 - 4000 / np.array(temperatures)))
    assert (refused.value.facts["points"], refused.value.facts["span"]) == (points, pytest.approx(span))


def test_a_pressure_that_is_not_positive_is_named():
    with pytest.raises(FitRefused) as refused:
        fit_antoine([280, 290, 300, 310, 320], [1e3, 2e3, 0.0, 4e3, 5e3])
    assert refused.value.code == "vapour-not-positive"
    assert refused.value.facts == {"point": "3", "pressure": 0.0}
