"""The side-by-side simulator: the same physics as the bench's own, the kinds do what they say, the truth holds."""

from __future__ import annotations

import numpy as np
import pytest

from sim.errors import UnknownNameError
from sim.liquids import load_liquid
from sim.parameters import BathParameters, CellParameters, ChargeParameters
from sim.plant import Plant
from sim.stepping import advance
from sim.study import KINDS, StudyRuns, StudySteps, random_runs, random_steps
from sim.study_draws import draw_benches
from sim.study_plant import StudyPlant


def generator(seed: int = 1) -> np.random.Generator:
    return np.random.default_rng(seed)


@pytest.fixture(scope="module")
def steps() -> StudySteps:
    return random_steps(60, generator())


@pytest.fixture(scope="module")
def runs() -> StudyRuns:
    return random_runs(60, generator(), hold=240)


def test_each_run_follows_the_same_course_as_the_bench_itself() -> None:
    bench = draw_benches(4, generator(3), "everything")
    liquid = load_liquid("n-heptane")
    many = StudyPlant(bench, liquid, bench.room.copy(), np.zeros(4), step=0.5)
    singles = []
    for i in range(4):
        names = CellParameters.__dataclass_fields__.keys() & vars(bench).keys()
        cell = CellParameters(**{name: float(getattr(bench, name)[i]) for name in names})
        bath = BathParameters(
            volume=bench.bath_mass[i] / 997.0, vessel=bench.vessel[i], loss=bench.loss[i], mixing=bench.mixing[i]
        )
        single = Plant(cell, bath, liquid, room_temperature=bench.room[i], room_pressure=bench.room_pressure[i])
        single.valve_open = False
        cell.water_solution_time = 1e12  # the study leaves out what water does
        single.refresh()
        singles.append(single)
    volume = np.array([2e-6, 2.5e-6, 3e-6, 3.5e-6])

    def both(seconds: int) -> None:
        for number in range(2 * seconds):
            if number % 8 == 0:
                many.refresh()
            many.advance()
        for single in singles:
            advance(single, 2 * seconds)

    both(20)
    many.charge(volume)
    for i, single in enumerate(singles):
        air = {name: float(getattr(bench, name)[i]) for name in ("dissolved_air", "air_solubility")}
        single.charge(ChargeParameters(volume=float(volume[i]), **air), single.t_liquid)
    both(200)
    assert many.pressure == pytest.approx([single.pressure for single in singles], abs=3.0)
    many.pour(np.full(4, 60e-6), np.full(4, 343.15))
    for single in singles:
        single.pour(60e-6, 343.15)
        single.refresh()
    both(300)
    assert many.pressure == pytest.approx([single.pressure for single in singles], abs=3.0)
    assert many.t_liquid == pytest.approx([single.t_liquid for single in singles], abs=2e-3)
    assert many.t_bath == pytest.approx([single.t_bath for single in singles], abs=1e-4)


def test_the_same_generator_gives_the_same_runs() -> None:
    first, second = random_runs(5, generator(9), hold=60), random_runs(5, generator(9), hold=60)
    assert np.array_equal(first.temperature, second.temperature)
    assert np.array_equal(first.pressure, second.pressure)


def test_steps_have_one_row_each_and_begin_at_time_zero(steps: StudySteps) -> None:
    assert steps.temperature.shape == steps.pressure.shape == steps.bath.shape == (60, 660)
    assert steps.time[0] == -59.0
    moved = np.abs(steps.bath[:, 70] - steps.bath[:, 59])
    assert np.all(np.abs(steps.bath[:, 59] - steps.bath[:, 0]) < 0.6)
    assert np.all(moved > 0.5)


def test_three_in_four_steps_go_up_by_three_to_five_kelvin(steps: StudySteps) -> None:
    rise = steps.bath[:, 60 + 40] - steps.bath[:, 59]
    assert 0.75 * 60 - 14 <= np.sum(rise > 0) <= 0.75 * 60 + 14
    assert np.all((np.abs(rise) > 2.2) & (np.abs(rise) < 5.5))


def test_both_channels_join_the_slow_course(steps: StudySteps) -> None:
    late = slice(640, 660)
    assert np.max(np.abs(steps.probe - steps.slow_probe)[:, late]) < 2e-3
    off = np.abs(steps.gauge - steps.slow_gauge)[:, late] / steps.slope[:, None]
    assert np.percentile(off, 95) < 0.01


def test_settled_is_the_last_moment_outside_the_tolerance(steps: StudySteps) -> None:
    for i in range(0, 60, 7):
        at = 60 + int(steps.settled[i])
        off = np.maximum(
            np.abs(steps.probe[i] - steps.slow_probe[i]),
            np.abs(steps.gauge[i] - steps.slow_gauge[i]) / steps.slope[i],
        )
        assert np.all(off[at:] <= steps.tolerance)
        assert off[at - 1] > steps.tolerance
    assert 150 < np.median(steps.settled) < 320


def test_a_drifting_bath_leaves_a_lag_that_waiting_does_not_cure(steps: StudySteps) -> None:
    # On the slow course the pressure belongs to an earlier, mostly warmer, bath: drift times lag.
    drift = (steps.slow_probe[:, -1] - steps.slow_probe[:, -61]) / 60.0
    pair = (steps.slow_gauge[:, -1] - steps.equilibrium_pressure[:, -1]) / steps.slope
    lag = -pair[drift < -1e-3] / drift[drift < -1e-3]
    assert 30.0 < np.median(lag) < 110.0


@pytest.mark.slow
@pytest.mark.parametrize(("kind", "later"), [("slow vapour", 80), ("wall lag", 40)])
def test_physics_that_is_added_makes_a_step_settle_later(steps: StudySteps, kind: str, later: float) -> None:
    assert np.median(random_steps(40, generator(4), kind=kind).settled) > np.median(steps.settled) + later


@pytest.mark.slow
def test_wandering_sensors_wander(steps: StudySteps) -> None:
    wandering = random_steps(60, generator(), kind="wandering")

    def slow_part(data: StudySteps) -> float:
        error = data.temperature - data.probe
        error -= error.mean(axis=1, keepdims=True)
        return float(np.std(error.reshape(60, -1, 10).mean(axis=2)))

    assert slow_part(wandering) > 3 * slow_part(steps)
    assert slow_part(wandering) == pytest.approx(0.03, rel=0.25)


@pytest.mark.slow
def test_a_leak_shows_as_pressure_that_falls_under_its_equilibrium() -> None:
    leaky = random_runs(20, generator(2), kind="leak", hold=150)
    tight = random_runs(20, generator(2), kind="plain", hold=150)
    kept = [(runs.air_pressure / runs.bath)[:, -1] / (runs.air_pressure / runs.bath)[:, 100] for runs in (leaky, tight)]
    # Some 8 kPa over the room for a quarter of an hour, an e-fold of 1 to 10 h: 0.2 to 2 % of the air. What the liquid
    # takes up or gives off comes to less than 0.4 %, with the volumes, solubilities and pressures that are drawn.
    assert np.all((kept[0] < 1.001) & (kept[0] > 0.97))
    assert np.mean(kept[0]) < 0.996
    assert kept[1] == pytest.approx(np.ones(20), abs=4e-3)
    assert np.mean(kept[1]) == pytest.approx(1.0, abs=2e-3)


def test_readings_are_wrong_by_their_drawn_errors_and_flicker(runs: StudyRuns) -> None:
    error = runs.pressure - runs.gauge
    expected = runs.noise.pressure_offset + runs.noise.pressure_gain * runs.gauge.mean(axis=1)
    assert error.mean(axis=1) == pytest.approx(expected, abs=15.0)
    assert np.all(np.abs(runs.pressure / 10.0 - np.round(runs.pressure / 10.0)) < 1e-6)


def test_a_dry_closed_cell_starts_at_room_pressure(runs: StudyRuns) -> None:
    assert runs.gauge[:, 10] == pytest.approx(runs.bench.room_pressure, rel=1e-4)


def test_runs_climb_their_plateaus_and_come_back(runs: StudyRuns) -> None:
    assert runs.return_at is not None
    last = runs.bath[:, int(runs.return_at) - 1] - runs.bench.room
    assert np.median(last) == pytest.approx(15.0, abs=1.5)
    assert np.all(runs.bath[:, -1] < runs.bath[:, int(runs.return_at) - 1] - 3.0)


def test_the_slope_of_the_equilibrium_pressure_gives_the_true_enthalpy(runs: StudyRuns) -> None:
    # Air and vapour share one volume: what is left after the air is the saturation pressure, so the classic line,
    # times the vapour's compressibility, gives the enthalpy back. The tube and the virial of air cost some tenths.
    columns = [350, 590, 830, 1070, 1300]
    inverse = 1.0 / runs.bath[:, columns]
    vapour = np.log((runs.equilibrium_pressure - runs.air_pressure)[:, columns])
    slope = np.array([np.polyfit(x, y, 1)[0] for x, y in zip(inverse, vapour, strict=True)])
    middle = float(np.mean(1.0 / inverse))
    liquid = load_liquid("n-heptane")
    enthalpy = -slope * 8.314462618 * liquid.compressibility_vapour(middle)
    assert float(np.mean(enthalpy)) == pytest.approx(liquid.enthalpy_vap(middle), rel=0.01)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_kind_gives_finite_numbers(kind: str) -> None:
    data = random_runs(3, generator(), kind=kind, hold=30)
    for array in (data.temperature, data.pressure, data.bath, data.equilibrium_pressure, data.air_pressure):
        assert np.all(np.isfinite(array))


def test_an_unknown_kind_is_refused_with_the_known_ones() -> None:
    with pytest.raises(UnknownNameError, match=r"found no kind of physics called 'slow vapor'.*mean 'slow vapour'"):
        random_steps(1, generator(), kind="slow vapor")


def test_steps_back_follow_the_way_up_and_come_before_the_return():
    runs = random_runs(4, generator(5), hold=200, downs=3)
    assert runs.down_at == (1060.0, 1260.0, 1460.0)
    assert runs.return_at == 1660.0
    at = [runs.bath[:, int(begun) + 190] for begun in (runs.charge_at, *runs.pour_at, *runs.down_at)]
    # The step back from the fifth plateau ends where the fourth was, and so on: goals are drawn within 0.2 K each.
    for up, down in ((3, 5), (2, 6), (1, 7)):
        np.testing.assert_allclose(at[down], at[up], atol=1.5)
    assert np.all(np.diff(np.array(at[4:]), axis=0) < -1.0)
