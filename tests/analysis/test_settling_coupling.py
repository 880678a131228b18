"""Liquid and vapour that share the heat of evaporation: as two lags in a row, and against their equations."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from analysis.evaporation_heat import USUAL_CAPACITY, USUAL_HEAT, cooling_by_vapour
from analysis.liquids import load_liquid
from analysis.plateau import plateau_point
from analysis.settling import Judge
from analysis.settling.coupling import poles
from analysis.settling.hypotheses import make_grid
from analysis.settling.lag_filters import LagFilters

from .settling_runs import AIR, beta, cell_blocks, equilibrium, stepped_bath

PAIRS = [(30.0, 50.0), (50.0, 30.0), (40.0, 40.0), (100.0, 10.0)]
STRAIGHT = (np.array([-50.0, 50.0]), np.array([-50.0, 50.0]), np.array([1.0, 1.0]))


@pytest.mark.parametrize(("liquid", "evaporation"), PAIRS)
@pytest.mark.parametrize("cooling", [0.0, 0.2, 0.9])
def test_the_two_lags_have_the_product_and_the_sum_of_the_equations(liquid, evaporation, cooling):
    found = poles(np.array([liquid]), np.array([evaporation]), cooling)
    total = liquid * (1.0 + cooling) + evaporation
    # equal lags are held apart by a thousandth of their sum
    assert found.first * found.second == pytest.approx(liquid * evaporation, rel=1e-5)
    assert found.first + found.second == pytest.approx(total)
    if cooling == 0.0 and liquid != evaporation:
        assert (found.first, found.second) == (pytest.approx(liquid), pytest.approx(evaporation))
        assert found.zero[:, 0] == pytest.approx([0.0, 1.0])


@pytest.mark.parametrize(("liquid", "evaporation"), [p for p in PAIRS if p[0] != p[1]])
def test_how_the_two_lags_hang_on_the_processes_is_what_finite_differences_say(liquid, evaporation):
    def logs(by_liquid: float = 0.0, by_evaporation: float = 0.0) -> np.ndarray:
        found = poles(np.array([liquid * math.exp(by_liquid)]), np.array([evaporation * math.exp(by_evaporation)]), 0.4)
        return np.log([found.first[0], found.second[0]])

    found, h = poles(np.array([liquid]), np.array([evaporation]), 0.4), 1e-5
    assert found.by_liquid[:, 0] == pytest.approx((logs(h) - logs(-h)) / (2 * h), rel=1e-6)
    assert found.by_evaporation[:, 0] == pytest.approx((logs(0.0, h) - logs(0.0, -h)) / (2 * h), rel=1e-6)


def _grid(liquid: float, evaporation: float):
    return make_grid(liquid=(liquid, 3 * liquid), evaporation=(evaporation, 3 * evaporation))


def _followed(liquid: float, evaporation: float, cooling: float, bath) -> tuple[np.ndarray, np.ndarray]:
    """Vapour of the first hypothesis, and how much less of it there is for each share that condenses sooner."""
    filters = LagFilters(_grid(liquid, evaporation))
    filters.set_cooling(cooling)
    filters.settle_at(0.0, 0.0)
    vapour, condensed = [], []
    for k in range(0, 400, 8):
        filters.advance(np.array([bath(k + j + 1.0) for j in range(8)]), STRAIGHT)
        vapour.append(filters.course[:, filters.pick[0, 0]])
        condensed.append(filters.course[:, filters.pick[5, 0]])
    return np.concatenate(vapour), np.concatenate(condensed)


def _integrated(liquid: float, evaporation: float, cooling: float, bath, sooner: float = 0.0) -> np.ndarray:
    def change(t: float, y: np.ndarray) -> list[float]:
        gap = y[0] - y[1]
        grown = gap / (evaporation * (1.0 - sooner * (gap < 0.0)))
        return [(bath(t) - y[0]) / liquid - cooling * grown, grown]

    return solve_ivp(change, (0.0, 400.0), [0.0, 0.0], t_eval=np.arange(1.0, 401.0), max_step=0.5, rtol=1e-8).y[1]


def _up_and_slowly_down(t: float) -> float:
    return 4.0 * (1.0 - math.exp(-t / 12.0)) - 0.005 * t


@pytest.mark.parametrize(("liquid", "evaporation"), [(30.0, 50.0), (50.0, 30.0)])
@pytest.mark.parametrize("cooling", [0.0, 0.5])
def test_the_filters_follow_the_equations(liquid, evaporation, cooling):
    vapour, condensed = _followed(liquid, evaporation, cooling, _up_and_slowly_down)
    exact = _integrated(liquid, evaporation, cooling, _up_and_slowly_down)
    assert vapour == pytest.approx(exact, abs=2e-3)  # the bath is taken as straight within a second
    # What condenses sooner by a hundredth of the time: a derivative, late by both lags as well.
    less = (_integrated(liquid, evaporation, cooling, _up_and_slowly_down, 0.01) - exact) / 0.01
    assert condensed == pytest.approx(less, abs=0.02 * np.abs(less).max())
    assert np.abs(less).max() > 0.05


def test_new_lags_on_the_way_do_not_move_what_stands_still():
    filters = LagFilters(_grid(30.0, 50.0))
    filters.settle_at(1.5, 1.5)
    for cooling in (0.0, 0.3, 0.9):
        filters.set_cooling(cooling)
        filters.advance(np.full(8, 1.5), STRAIGHT)
        assert filters.course[:, filters.pick[0]] == pytest.approx(1.5)


@pytest.mark.parametrize("name", ["acetone", "n-heptane", "ethanol", "water"])
@pytest.mark.parametrize("temperature", [298.15, 315.0])
def test_the_heat_of_evaporation_is_that_of_reference_equations(name, temperature):
    # Reference equations of state as CoolProp has them: a cell of 130 mL with 2.5 mL, its saturated vapour by density,
    # its heat by enthalpy, the liquid by its heat capacity.
    coolprop = pytest.importorskip("CoolProp.CoolProp")
    volume, charge, fluid = 130e-6, 2.5e-6, {"n-heptane": "n-Heptane"}.get(name, name.capitalize())

    def of(what: str, t: float, quality: float) -> float:
        return coolprop.PropsSI(what, "T", t, "Q", quality, fluid)

    h = 0.05
    grown = (of("Dmass", temperature + h, 1.0) - of("Dmass", temperature - h, 1.0)) / (2 * h)
    slope = (of("P", temperature + h, 1.0) - of("P", temperature - h, 1.0)) / (2 * h)
    expands = of("P", temperature, 1.0) / temperature
    heat = of("Hmass", temperature, 1.0) - of("Hmass", temperature, 0.0)
    left = charge * of("Dmass", 298.15, 0.0) - (volume - charge) * of("Dmass", temperature, 1.0)
    cools = (volume - charge) * grown * heat / (left * of("Cpmass", temperature, 0.0))
    ours = cooling_by_vapour(load_liquid(name), volume, charge, temperature) * (slope - expands)
    # an ideal gas, and a heat capacity that does not grow with temperature: within a tenth
    assert ours == pytest.approx(cools, rel=0.1)


def test_what_is_not_known_of_a_liquid_is_taken_as_usual():
    volume, charge = 130e-6, 2.5e-6
    usual = cooling_by_vapour(None, volume, charge, 300.0)
    assert usual == pytest.approx((volume - charge) * USUAL_HEAT / (8.314462618 * 300.0) / (USUAL_CAPACITY * charge))
    names = ("acetone", "n-heptane", "ethyl acetate", "toluene")
    known = [cooling_by_vapour(load_liquid(name), volume, charge, 300.0) for name in names]
    assert usual == pytest.approx(np.mean(known), rel=0.2)
    assert cooling_by_vapour(None, volume, 0.0, 300.0) == 0.0
    assert cooling_by_vapour(None, volume, volume, 300.0) == 0.0


COOLING = 6e-4  # [K/Pa] of the liquid of these runs
LAGS = {"liquid": 30.0, "gas": 30.0, "evaporation": 48.0, "condensation": 0.7 * 48.0}  # [s]
PROBE = 6.0  # [s]


def _after_a_step(told: float, seed: int) -> tuple[float, float, float, float]:
    """Error of the pair after one step, its u, and the lag, and the effective lag time, of a judge that is told so."""
    bath = stepped_bath(4.0, at=420.0, cooling=8e-4)
    blocks, truth = cell_blocks(bath, 1000, cooling=COOLING, seed=seed, **LAGS)
    judge = Judge(beta=beta, air_slope=AIR, cooling=lambda _: told)
    found = None
    for block in blocks:
        if block.index == 5:
            judge.cell_closed(block.time)
        if block.index == 130:
            judge.charged(block.time)
        if block.index == 421:
            judge.step(block.time)
        found = judge.update(block)
    assert found is not None
    assert found.ready
    point = plateau_point(blocks, found)
    inside = [k for k, b in enumerate(blocks) if point.window[0] <= b.time <= point.window[1]]
    pressure = float(np.mean([truth[k] for k in inside]))
    belongs = 300.0
    for _ in range(9):  # Newton's rule
        belongs += (pressure - equilibrium(belongs)) / beta(belongs)
    return point.temperature_corrected - belongs, point.u_temperature_corrected, point.lag, found.lag_time


def test_the_lag_of_a_volatile_liquid_is_found_with_the_heat_that_its_vapour_takes():
    errors, us, lags, times = np.array([_after_a_step(COOLING, seed) for seed in range(3)]).T
    assert (np.abs(lags) > 0.15).all()
    assert (np.abs(errors) < 0.5 * us).all()
    assert abs(errors.mean()) < 0.03 * abs(lags.mean())
    # The bath has come to 299.3 K: what evaporates lags by liquid, heat and condensing, what expands by the gas.
    expands = equilibrium(299.3) / 299.3
    evaporates = beta(299.3) - expands
    behind = LAGS["liquid"] * (1.0 + COOLING * evaporates) + LAGS["condensation"]
    assert times == pytest.approx((evaporates * behind + expands * LAGS["gas"]) / beta(299.3) - PROBE, abs=1.0)
    unaware = np.array([_after_a_step(0.0, seed) for seed in range(3)])[:, 0]
    assert abs(unaware.mean()) > 1.5 * abs(errors.mean())
