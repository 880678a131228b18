"""Air's second virial coefficient against two descriptions that are not the simulator's; dissolved air by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from CoolProp.CoolProp import AbstractState, DmolarT_INPUTS

from sim.air import air_virial, air_virial_slope
from sim.liquids import R, load_liquid
from sim.parameters import BathParameters, CellParameters, ChargeParameters
from sim.plant import Plant
from sim.stepping import advance
from sim.study_draws import draw_benches
from sim.study_plant import StudyPlant
from tests.published.moist_air import HIGHEST, LOWEST, compressibility_less_one

ROOM, AIR = 294.65, 100.9e3


@pytest.mark.parametrize("temperature", [LOWEST, 291.0, 295.0, HIGHEST])
def test_air_is_compressed_as_the_formula_for_moist_air_says(temperature: float) -> None:
    ours = air_virial(temperature) * AIR / (R * temperature)
    # The formula is stated to 2e-5 of the density of air; this part of it differs by far less.
    assert ours == pytest.approx(compressibility_less_one(AIR, temperature), abs=2e-6)


@pytest.mark.parametrize("temperature", [273.15, 303.15, 333.15])
def test_air_agrees_with_its_equation_of_state(temperature: float) -> None:
    state = AbstractState("HEOS", "Air")

    def virial(at: float) -> float:
        state.update(DmolarT_INPUTS, 1e-6, at)
        return float(state.Bvirial())

    # Lemmon et al. 2000. Tables of B near room temperature differ among each other by half a cm3/mol; its change,
    # which is what a bench sees, by a few per cent.
    assert air_virial(temperature) == pytest.approx(virial(temperature), abs=0.7e-6)
    theirs = (virial(temperature + 5.0) - virial(temperature - 5.0)) / 10.0
    assert air_virial_slope(temperature) == pytest.approx(theirs, rel=0.05)


def test_the_slope_is_the_derivative() -> None:
    t = np.array([280.0, 310.0])
    assert air_virial_slope(t) == pytest.approx((air_virial(t + 0.01) - air_virial(t - 0.01)) / 0.02, rel=1e-6)


@pytest.mark.parametrize("temperature", [150.0, 500.0, float("nan")])
def test_outside_its_range_the_equation_is_refused(temperature: float) -> None:
    with pytest.raises(ValueError, match=r"air's table holds from 173.15 K to 473.15 K"):
        air_virial(temperature)


def charged(name: str, **charge: float) -> Plant:
    plant = Plant(
        CellParameters(tube=0.0), BathParameters(), load_liquid(name), room_temperature=ROOM, room_pressure=AIR
    )
    plant.valve_open = False
    plant.refresh()
    plant.charge(ChargeParameters(**charge), ROOM)
    return plant


@pytest.mark.parametrize("name", ["n-heptane", "n-pentane"])
def test_a_bottle_holds_less_air_where_vapour_takes_its_place(name: str) -> None:
    plant, liquid = charged(name, volume=3e-6), load_liquid(name)
    # Ostwald: one volume of liquid takes up L volumes of the air over it, whose pressure is what the vapour leaves.
    by_hand = liquid.ostwald_air * 3e-6 * (AIR - liquid.saturation_pressure(ROOM)) / (R * ROOM)
    assert plant.n_air_liquid == pytest.approx(by_hand, rel=1e-12)


def test_a_degassed_liquid_takes_up_air_until_it_is_saturated() -> None:
    bottled, degassed = charged("n-heptane"), charged("n-heptane", dissolved_air=0.0)
    before = degassed.n_air
    for plant in (bottled, degassed):
        advance(plant, 12000)
    gone = before - degassed.n_air
    space = degassed.gas_volume
    soaked = degassed.liquid.ostwald_air * degassed.n_liquid * degassed.liquid.molar_volume(degassed.t_liquid)
    assert gone == pytest.approx(before * soaked / (space + soaked), rel=1e-3)
    # The air it brought would press, as ideal gas in that space, with what both cells differ by.
    brought = bottled.n_air + bottled.n_air_liquid - degassed.n_air - degassed.n_air_liquid
    expected = brought * R * ROOM / (space + soaked)
    assert bottled.pressure - degassed.pressure == pytest.approx(expected, rel=0.01)
    assert expected > 300.0  # [Pa]: more than any sensor's digit


def test_a_film_that_dries_leaves_no_air_behind() -> None:
    """Where the liquid is gone nothing is left for air to be dissolved in: all of it presses."""
    full, degassed = charged("n-heptane", volume=2e-8), charged("n-heptane", volume=2e-8, dissolved_air=0.0)
    brought = full.n_air_liquid
    air = [plant.n_air + plant.n_air_liquid for plant in (full, degassed)]
    for plant in (full, degassed):
        advance(plant, 240)
        assert plant.n_liquid == 0.0
        assert plant.n_air_liquid == 0.0
    assert [plant.n_air for plant in (full, degassed)] == pytest.approx(air, rel=1e-12)
    # Gay-Lussac for what one of them brought and the other did not.
    pressed = brought * R * full.t_gas / full.gas_volume
    assert full.pressure - degassed.pressure == pytest.approx(pressed, rel=0.01)
    assert pressed > 1.0  # [Pa]


def test_a_film_that_dries_leaves_no_water_behind() -> None:
    plant = charged("n-heptane", volume=2e-8, water_fraction=0.02)
    water = plant.n_water_gas + plant.n_water_liquid
    advance(plant, 6000)
    assert (plant.n_liquid, plant.n_air_liquid) == (0.0, 0.0)
    assert plant.n_water_liquid < 1e-3 * water
    assert plant.n_water_gas + plant.n_water_liquid == pytest.approx(water, rel=1e-12)


def test_a_thick_liquid_keeps_its_air_to_the_last_bit() -> None:
    """What dries slowly breathes by itself, as before."""
    plant = charged("n-heptane", volume=2.5e-6)
    share = -math.expm1(-plant.step / plant.cell.air_solution_time)
    for _ in range(600):
        before = plant.n_liquid
        advance(plant, 1)
        assert before - plant.n_liquid < share * before
    assert plant.n_air_liquid > 0.0


def test_a_study_leaves_no_air_in_a_film_that_dried_and_loses_none() -> None:
    bench = draw_benches(6, np.random.default_rng(5), "everything")
    plant = StudyPlant(bench, load_liquid("n-heptane"), bench.room.copy(), np.array([2e-8] * 3 + [3e-6] * 3))
    air = plant.n_air + plant.n_air_liquid
    for number in range(2400):
        if number % 5 == 0:
            plant.refresh()
        plant.advance()
    assert np.all(plant.n_liquid[:3] == 0.0)
    assert np.all(plant.n_air_liquid[:3] == 0.0)
    assert np.all(plant.n_air_liquid[3:] > 0.0)
    np.testing.assert_allclose(plant.n_air + plant.n_air_liquid, air, rtol=1e-8)


def test_a_study_loses_no_air_and_no_liquid() -> None:
    bench = draw_benches(6, np.random.default_rng(5), "everything")
    plant = StudyPlant(bench, load_liquid("n-heptane"), bench.room.copy(), np.full(6, 3e-6))

    def amounts() -> tuple[np.ndarray, np.ndarray]:
        vapour = plant.n_main + plant.n_stagnant + plant.n_neck + plant.n_tube
        return plant.n_air + plant.n_air_liquid, plant.n_liquid + vapour

    air, liquid = amounts()
    for number in range(600):
        if number == 200:
            plant.pour(np.full(6, 80e-6), np.full(6, 343.15))
        if number % 5 == 0:
            plant.refresh()
        plant.advance()
    air_after, liquid_after = amounts()
    np.testing.assert_allclose(air_after, air, rtol=1e-8)
    np.testing.assert_allclose(liquid_after, liquid, rtol=1e-8)
    assert np.all(plant.n_air_liquid > 0.0)


def test_studies_draw_how_much_air_a_liquid_holds_and_brings() -> None:
    bench = draw_benches(4000, np.random.default_rng(6), "plain")
    for drawn, spread in ((bench.air_solubility, 0.3), (bench.dissolved_air, 0.1)):
        # Mean and deviation of 4000 draws are known to 1.6 % and 1.1 % of the spread; four of these.
        assert np.mean(drawn) == pytest.approx(1.0, abs=4 * 0.016 * spread)
        assert np.std(drawn) == pytest.approx(spread, rel=4 * 0.012)
