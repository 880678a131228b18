"""From a device's numbers to SI values, by every kind of conversion."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drivers.conversion import ChannelScale
from drivers.profile import Channel
from drivers.readings import Quality
from drivers.tomlfile import load_model
from drivers.units import UNITS, to_si


def scale(conversion="", channel="pressure", unit="kPa", **more):
    lines = [f'channel = "{channel}"', "field = 1", f'unit = "{unit}"']
    lines += [f"{key} = {value}" for key, value in more.items()]
    if conversion:
        lines.append(f"conversion = {{ {conversion} }}")
    return ChannelScale(load_model("\n".join(lines), Channel))


def converted(numbers, *settings, **more):
    return scale(*settings, **more).apply(np.asarray(numbers, dtype=float))[0]


@pytest.mark.parametrize(
    ("conversion", "numbers", "kilopascal"),
    [
        ("", [101.325], [101.325]),
        ('kind = "linear", scale = 0.25, offset = -12.5', [0, 1000], [-12.5, 237.5]),
        ('kind = "polynomial", coefficients = [1.0, 0.5, 0.01]', [0, 10], [1.0, 7.0]),
        ('kind = "table", points = [[0, 0.0], [10, 100.0], [20, 300.0]]', [5, 15, 20, 21], [50, 200, 300, np.nan]),
        ('kind = "two-point", raw_low = 0.5, raw_high = 4.5, low = 0, high = 250', [0.5, 2.5, 4.5], [0, 125, 250]),
        ('kind = "current-loop", low = 0, high = 160', [4, 12, 20, 20.8], [0, 80, 160, 168]),
        ('kind = "current-loop", low = 0, high = 160', [3.5, 0, 21.5], [np.nan, np.nan, np.nan]),
        ('kind = "current-loop", low = 0, high = 160, scale = 1000', [0.004, 0.02], [0, 160]),
        ('kind = "bridge", full_scale = 200, sensitivity = 2, excitation = 5, zero = 0.1', [0.1, 10.1], [0, 200]),
    ],
)
def test_a_conversion_gives_the_values_worked_by_hand(conversion, numbers, kilopascal):
    np.testing.assert_allclose(converted(numbers, conversion), 1e3 * np.asarray(kilopascal, dtype=float), atol=1e-9)


@pytest.mark.parametrize(
    ("conversion", "number", "celsius"),
    [
        ('kind = "platinum"', 109.7347, 25.0),  # IEC 60751
        ('kind = "platinum", nominal = 1000.0', 1155.408, 40.0),
        ('kind = "platinum", lead = 1.5, scale = 1000', 0.1112347, 25.0),
        ('kind = "thermistor", beta = 3950.0, nominal = 10000.0', 10000.0, 25.0),
        ('kind = "thermocouple", type = "K", junction = 0.0', 4.0962, 100.0),  # NIST SRD 60
        ('kind = "thermocouple", type = "T", junction = 20.0, scale = 0.001', 202.4, 25.0),  # 0.9920 - 0.7896 mV
    ],
)
@pytest.mark.parametrize("unit", ["degC", "K", "degF"])
def test_a_temperature_sensor_gives_kelvin_whatever_the_unit_of_its_channel(conversion, number, celsius, unit):
    kelvin = converted([number], conversion, channel="temperature", unit=unit)
    assert kelvin[0] == pytest.approx(celsius + 273.15, abs=0.002)


def test_a_thermocouple_without_a_known_junction_has_no_value():
    channel = scale('kind = "thermocouple", type = "K", junction_field = 2', channel="temperature", unit="degC")
    value, quality = channel.apply(np.array([4.0]), junction=np.array([np.nan]))
    assert np.isnan(value[0])
    assert quality[0] == Quality.NOT_A_NUMBER


def test_a_gauge_sensor_counts_from_the_air():
    fixed = scale(gauge="true", barometer='"98.0 kPa"')
    np.testing.assert_allclose(fixed.apply(np.array([2.0]))[0], [100e3])
    following = scale(gauge="true", barometer='"channel"')
    np.testing.assert_allclose(following.apply(np.array([2.0]), 99e3)[0], [101e3])
    assert np.isnan(following.apply(np.array([2.0]), np.nan)[0][0])


@given(
    st.sampled_from([unit for unit, known in UNITS.items() if known.quantity == "pressure"]),
    st.lists(st.floats(-1e3, 1e3), min_size=1, max_size=5),
    st.floats(-10, 10),
    st.floats(0.5, 2),
)
def test_the_short_way_of_a_straight_line_is_the_long_way(unit, numbers, offset, gain):
    calibration = f"{{ offset = {offset!r}, gain = {gain!r}, centre = 3.0 }}"
    found = converted(numbers, 'kind = "linear", scale = 2.5, offset = 1.0', unit=unit, calibration=calibration)
    shown = 2.5 * np.asarray(numbers) + 1.0
    wanted = to_si(shown + offset + (gain - 1) * (shown - 3.0), unit)
    np.testing.assert_allclose(found, wanted, rtol=1e-12, atol=1e-9 * to_si(1.0, unit))


def test_readings_of_one_block_get_their_own_marks():
    value, quality = scale(plausible="[50.0, 150.0]").apply(np.array([100.0, 200.0, np.nan, 9.91e37, 10.0]))
    assert quality.tolist() == [0, 2, 1, 1, 2]
    assert value[1] == 200e3
    assert np.isnan(value[2:4]).all()


def test_a_block_of_good_readings_takes_the_short_way_with_the_same_values():
    channel = scale(plausible="[50.0, 150.0]")
    numbers = np.array([101.325, 99.001, 100.7])
    alone = [channel.apply(np.append(numbers[n], np.nan))[0][0] for n in range(3)]
    assert channel.apply(numbers)[0].tolist() == alone
