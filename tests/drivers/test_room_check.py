"""The sensors against the room: each trouble is named."""

import math

import numpy as np
import pytest

from drivers.leak_check import LeakCheckError, check_leak
from drivers.profile import load_profile
from drivers.readings import Readings
from drivers.room_check import check_room, suspected_unit
from drivers.units import to_si

PROFILE = load_profile("delimited-text")
RNG = np.random.default_rng(12)
N = 300
TIME = np.arange(N) / 10


def block(channel, value, unit):
    value = to_si(np.round(np.broadcast_to(value, N), 2), unit)
    return Readings(channel, TIME, value, value, np.zeros(N, dtype=np.uint8))


def noisy(level, sd):
    return level + sd * RNG.standard_normal(N)


def codes(temperature, pressure, profile=PROFILE, **more):
    events = [block("temperature", temperature, "degC"), block("pressure", pressure, "kPa")]
    return {(result.code, result.channel): result for result in check_room(profile, events, **more)}


GOOD_T, GOOD_P = noisy(21.5, 0.03), noisy(98.2, 0.05)


def test_good_sensors_get_only_good_results():
    results = codes(GOOD_T, GOOD_P, load_profile("text-with-checksum"))
    assert {result.severity for result in results.values()} <= {"good", "note"}
    assert {code for (code, _), result in results.items() if result.severity == "note"} <= {"rate"}
    assert results["altitude", "pressure"].value == pytest.approx(263, abs=5)


def test_a_line_without_a_checksum_is_told_to_be_unprotected():
    assert "unprotected" in codes(GOOD_T, GOOD_P)["unprotected", ""].text
    assert ("unprotected", "") not in codes(GOOD_T, GOOD_P, load_profile("text-with-checksum"))
    asked = codes(GOOD_T, GOOD_P, load_profile("text-questions"))["unprotected", ""]
    assert asked.advice == "", "nobody can change the program of a meter"


def test_the_height_is_that_of_the_standard_atmosphere():
    # ISO 2533: 1000 m has 898.75 hPa (from memory)
    assert codes(GOOD_T, noisy(89.875, 0.05))["altitude", "pressure"].value == pytest.approx(1000, abs=3)


def test_noise_and_smallest_step_are_measured():
    results = codes(GOOD_T, GOOD_P)
    assert results["noise", "temperature"].value == pytest.approx(0.03, rel=0.15)
    assert "smallest step 0.01 degC" in results["noise", "temperature"].text


@pytest.mark.parametrize(
    ("temperature", "pressure", "key", "hint"),
    [
        (noisy(294.6, 0.03), GOOD_P, ("not_of_a_room", "temperature"), "the number fits K"),
        (noisy(70.5, 0.03), GOOD_P, ("not_of_a_room", "temperature"), "the number fits degF"),
        (GOOD_T, noisy(982, 0.3), ("not_of_a_room", "pressure"), "the number fits hPa or mbar"),
        (GOOD_T, noisy(736, 0.3), ("not_of_a_room", "pressure"), "hPa or mbar"),
        (GOOD_T, noisy(14.2, 0.02), ("not_of_a_room", "pressure"), "the number fits psi"),
        (GOOD_P, GOOD_T, ("swapped", "temperature"), "exchange the two fields"),
        (np.full(N, 21.5), GOOD_P, ("stuck", "temperature"), "touch the sensor"),
        (GOOD_T + TIME / 10, GOOD_P, ("drift", "temperature"), "let the sensor come to the room's temperature"),
        (np.full(N, np.nan), GOOD_P, ("no_value", "temperature"), "check the sensor's plug and wire"),
    ],
)
def test_a_trouble_is_named_with_the_way_out(temperature, pressure, key, hint):
    result = codes(temperature, pressure)[key]
    assert result.severity in ("bad", "note")
    assert hint in result.advice


def test_a_channel_without_readings_is_told():
    results = check_room(PROFILE, [block("temperature", GOOD_T, "degC")])
    assert [result.code for result in results if result.channel == "pressure"] == ["no_readings"]


def test_a_barometer_at_hand_is_compared():
    assert codes(GOOD_T, GOOD_P, barometer=98.3e3)["barometer", "pressure"].severity == "good"
    result = codes(GOOD_T, GOOD_P, barometer=101e3)["barometer", "pressure"]
    assert result.severity == "bad"
    assert result.value == pytest.approx(-2800, abs=20)


def test_another_rate_than_the_profile_says_is_told():
    profile = PROFILE.model_copy(update={"rate": 5.0})
    assert codes(GOOD_T, GOOD_P, profile)["rate", "temperature"].severity == "note"


def test_no_unit_is_suspected_where_none_fits():
    assert suspected_unit(to_si(5000.0, "degC"), "degC", (278.15, 313.15)) == ""


def test_a_tight_cell_and_a_leaking_one_are_told_apart():
    rng = np.random.default_rng(13)
    time = np.arange(0, 300, 0.5)
    noise = rng.normal(0, 20, len(time))
    temperature = 295 + 0.001 * time
    tight = 110e3 * temperature / 295 + noise
    assert math.isinf(check_leak(time, tight, temperature, 98e3).time_constant)
    leaking = (98e3 + 12e3 * np.exp(-time / 1200)) * temperature / 295 + noise
    result = check_leak(time, leaking, temperature, 98e3)
    # the line's slope is that of the exponential near the middle of the five minutes
    assert result.time_constant == pytest.approx(1200, rel=0.05)
    assert "the cell leaks" in result.text


def test_a_cell_at_the_rooms_pressure_can_not_show_a_leak():
    with pytest.raises(LeakCheckError, match="close the valve and press a little air in"):
        check_leak(TIME, np.full(N, 98e3), np.full(N, 295.0), 98e3)
