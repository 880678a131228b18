"""dp/dT of a cell from little knowledge."""

from __future__ import annotations

import math

import pytest

from analysis.settling.cell import Cell, Known, vapour_slope

from .settling_runs import AIR, beta, equilibrium, saturation

#: Vapour pressure at 298.15 K [Pa] and slope*R there [J/mol]: reference equations of state as CoolProp 8 has them.
LIQUIDS = {
    "n-pentane": (68355.1, 27435.0),
    "acetone": (30727.2, 31865.0),
    "n-hexane": (20164.1, 32086.0),
    "methanol": (16981.4, 38403.0),
    "cyclohexane": (13018.9, 33329.0),
    "ethanol": (7885.9, 42660.0),
    "n-heptane": (6090.8, 36860.0),
    "water": (3169.9, 44061.0),
}


@pytest.mark.parametrize("name", LIQUIDS)
def test_the_slope_of_a_vapour_follows_from_its_pressure_to_one_fifth(name):
    pressure, slope_times_r = LIQUIDS[name]
    slope = pressure * slope_times_r / (8.314462618 * 298.15**2)
    assert vapour_slope(298.15, pressure) == pytest.approx(slope, rel=0.2)


def test_a_dry_cell_has_the_slope_of_its_gas():
    cell = Cell(Known())
    cell.enter("dry", 0.0)
    assert cell.beta(300.0, 102_000.0) == pytest.approx(340.0)
    assert math.isnan(cell.beta(math.nan, 1e5))


def test_an_unknown_liquid_gets_its_slope_from_what_the_charge_has_gained():
    cell = Cell(Known())
    cell.remember_air(296.0, AIR * 296.0)
    cell.enter("charged", 0.0)
    assert cell.beta(300.0, equilibrium(300.0)) == pytest.approx(beta(300.0), rel=0.15)
    assert cell.estimated_curve(300.0, equilibrium(300.0)).beta(304.0) == pytest.approx(beta(304.0), rel=0.2)


def test_a_charge_marked_late_has_less_to_build_up():
    cell = Cell(Known(beta, AIR))
    cell.remember_air(298.0, AIR * 298.0)
    cell.enter("charged", 0.0)
    whole = cell.fill_size(298.0, AIR * 298.0, beta(298.0))
    assert whole * beta(298.0) == pytest.approx(saturation(298.0), rel=0.2)
    assert cell.fill_size(298.0, equilibrium(298.0), beta(298.0)) < 0.2 * whole
