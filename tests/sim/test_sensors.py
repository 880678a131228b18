"""A sensor: it lags as a first-order one does, is wrong by its parameters, and shows where it is."""

from __future__ import annotations

import math

import pytest

from sim.noise import Normals
from sim.parameters import SensorParameters
from sim.sensors import ProbePlace, Sensor


def sensor(start: float = 0.0, **parameters: float | tuple[float, float]) -> Sensor:
    return Sensor(SensorParameters(**parameters), Normals(1, 0), start, step=0.5, period=0.1)  # type: ignore[arg-type]


def test_after_a_jump_it_follows_exponentially() -> None:
    probe = sensor(lag=4.0)
    probe.follow(1.0)  # the jump is a ramp of half a second
    first = probe.value
    for _ in range(8):
        probe.follow(1.0)
    assert (1.0 - probe.value) / (1.0 - first) == pytest.approx(math.exp(-1.0), rel=1e-12)


def test_behind_a_ramp_it_stays_by_its_lag() -> None:
    probe = sensor(lag=3.0)
    for step in range(1, 200):
        probe.follow(0.5 * step * 0.1)
    assert 0.1 * 0.5 * 199 - probe.value == pytest.approx(0.1 * 3.0, rel=1e-9)


def test_offset_gain_and_drift_add_up() -> None:
    one = sensor(offset=0.5, gain=0.01, centre=20.0, drift=1e-3)
    assert one.indicated(30.0, 100.0) == pytest.approx(30.0 + 0.5 + 0.1 + 0.1)


def test_a_bow_is_largest_in_the_middle_and_nothing_at_the_ends() -> None:
    one = sensor(bow=2.0, span=(0.0, 200.0))
    assert [one.indicated(p, 0.0) - p for p in (0.0, 100.0, 200.0)] == pytest.approx([0.0, 2.0, 0.0])


def test_warming_up_fades_with_its_time() -> None:
    one = sensor(warm_up=1.0, warm_up_time=300.0)
    assert [one.indicated(0.0, t) for t in (0.0, 300.0)] == pytest.approx([1.0, math.exp(-1.0)])


def test_its_own_heat_shows_more_in_air_than_in_water() -> None:
    probe = sensor(self_heating=0.02)
    in_water = probe.indicated(20.0, 0.0)
    probe.in_air = True
    assert probe.indicated(20.0, 0.0) - 20.0 == pytest.approx(5 * (in_water - 20.0))


def test_noise_has_its_white_and_its_slow_part() -> None:
    one = sensor(noise=1.0, wander=2.0, wander_time=2.0)
    values = [one.read(0.0, 0.0) for _ in range(40000)]
    mean = sum(values) / len(values)
    variance = sum((v - mean) ** 2 for v in values) / len(values)
    # 40 000 readings hold some 1000 independent values of the slow part: its variance is known to 4.5 %.
    assert variance == pytest.approx(1.0 + 4.0, rel=0.15)
    lagged = sum((a - mean) * (b - mean) for a, b in zip(values, values[20:], strict=False)) / len(values)
    assert lagged == pytest.approx(4.0 * math.exp(-1.0), rel=0.25)


def test_digits_are_steps_from_the_scales_zero() -> None:
    one = sensor(resolution=0.5, zero=273.15)
    assert one.read(295.0, 0.0) - 273.15 == pytest.approx(22.0)
    assert one.read(294.89, 0.0) - 273.15 == pytest.approx(21.5)


def test_in_the_bath_the_probe_may_stand_in_a_warmer_layer() -> None:
    assert ProbePlace(0.1).temperature(310.0, 0.0, 290.0) == pytest.approx(310.2)


def test_next_to_the_inflow_the_probe_sees_the_water_before_it_mixes() -> None:
    place = ProbePlace(0.0)
    place.inflow_factor = 3.0
    assert place.temperature(300.0, 2.0, 290.0) == pytest.approx(306.0)


def test_in_air_the_probe_sees_the_room() -> None:
    place = ProbePlace(0.1)
    place.in_air = True
    assert place.temperature(310.0, 2.0, 290.0) == 290.0
