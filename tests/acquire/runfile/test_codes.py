"""A closed file stores each time once and raw values as the whole numbers a device counts in; all bits come back."""

from __future__ import annotations

import h5py
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from acquire.runfile import codes
from acquire.runfile.errors import DamagedFileError
from acquire.runfile.integrity import repair, verify
from acquire.runfile.reader import read_run
from acquire.runfile.writer import RunFileWriter
from drivers.readings import PRESSURE, TEMPERATURE, Readings
from tests.acquire.runfile.sample_run import END, HEADER
from tests.acquire.runfile.test_strangers import complaints

LOG = "entry/instrument/{}/value_log"
PLACES = {TEMPERATURE: LOG.format("thermometer"), PRESSURE: LOG.format("manometer")}


def bits(values):
    return np.ascontiguousarray(values, np.float64).view(np.int64)


def digits(channel, n=5000, shift=0.0):
    """As a thermometer of 1 mK and a gauge of 10 Pa send it, a failed reading among them."""
    rng = np.random.default_rng(3)
    time = 0.25 + np.arange(n) * 0.1 * (1 + 1e-5) + shift
    raw = np.round(rng.normal(21.0, 0.01, n), 3) if channel == TEMPERATURE else np.round(rng.normal(101.3, 0.1, n), 2)
    raw[7] = np.nan
    value = raw + 273.15 if channel == TEMPERATURE else raw * 1000.0
    return Readings(channel, time, value, raw, np.zeros(n, np.uint8), 0.001)


def closed(path, blocks):
    writer = RunFileWriter(path, HEADER)
    for readings in blocks:
        writer.append(readings, "bench")
    writer.close(END, (), (), ())
    return path


@pytest.fixture
def stored(tmp_path):
    blocks = [digits(TEMPERATURE), digits(PRESSURE)]
    return closed(tmp_path / "run.h5", blocks), blocks


def test_every_bit_comes_back(stored):
    path, blocks = stored
    traces = read_run(path).traces
    for block in blocks:
        trace = traces[block.channel]
        for read, was in ((trace.time, block.time), (trace.value, block.value), (trace.raw, block.raw)):
            np.testing.assert_array_equal(bits(read), bits(was))
    assert verify(path).intact


def test_times_are_stored_once_and_raw_values_as_whole_numbers(stored):
    with h5py.File(stored[0], "r") as file:
        temperature, pressure = (file[place] for place in PLACES.values())
        assert temperature["time"] == pressure["time"]
        assert file["entry/overview_temperature/time_64"] == file["entry/overview_pressure/time_64"]
        raw = temperature["raw_value"]
        assert raw.dtype == np.int32
        assert raw.attrs["divisor"] == 1000
        # read by nothing but the words in the file
        np.testing.assert_array_equal(raw[:7] / raw.attrs["divisor"], stored[1][0].raw[:7])
        assert raw[7] == raw.attrs["_FillValue"] == -(2**31)


def test_the_validator_and_xarray_are_content(stored):
    import xarray

    found, text = complaints(stored[0])
    assert found == (0, 0), text
    for block in stored[1]:
        place = "/" + PLACES[block.channel]
        with xarray.open_dataset(stored[0], group=place, engine="h5netcdf", decode_times=False) as data:
            assert data["raw_value"].dims == data["value"].dims == ("time",)
            np.testing.assert_array_equal(data["time"], block.time)
            np.testing.assert_array_equal(data["value"], block.value)
            # it multiplies by 0.001 where we divide by 1000: a rounding apart, NaN where there was none
            np.testing.assert_allclose(data["raw_value"], block.raw, rtol=4e-16)


def test_times_of_two_devices_are_both_kept(tmp_path):
    blocks = [digits(TEMPERATURE), digits(PRESSURE, shift=2**-40)]
    traces = read_run(closed(tmp_path / "run.h5", blocks)).traces
    for block in blocks:
        np.testing.assert_array_equal(bits(traces[block.channel].time), bits(block.time))
    assert not np.array_equal(traces[TEMPERATURE].time, traces[PRESSURE].time)


def test_a_mended_copy_of_a_closed_file_has_the_same_bits(stored):
    path, blocks = stored
    with h5py.File(path, "r+") as file:
        del file["entry/seal"]
    traces = read_run(repair(path, now_iso=END)).traces
    for block in blocks:
        np.testing.assert_array_equal(bits(traces[block.channel].raw), bits(block.raw))


@pytest.mark.parametrize("divisor", [0.0, 3.0, np.nan, None])
def test_a_divisor_that_we_never_write_is_refused(stored, divisor):
    with h5py.File(stored[0], "r+") as file:
        attributes = file[PLACES[PRESSURE]]["raw_value"].attrs
        del attributes["divisor"]
        if divisor is not None:
            attributes["divisor"] = divisor
    with pytest.raises(DamagedFileError, match=r"raw_value .*divide"):
        read_run(stored[0])


#: Numbers as devices send them and numbers as nothing but arithmetic makes them.
numbers = st.one_of(
    st.integers(-(10**9), 10**9).flatmap(lambda whole: st.sampled_from([whole / 10**k for k in range(9)])),
    st.floats(),
    st.just(-0.0),
)


@given(st.lists(numbers, max_size=8), st.sampled_from(codes.DIVISORS))
def test_whatever_is_encoded_has_the_same_bits_when_it_is_read(values, divisor):
    values = np.array(values, np.float64)
    stored = codes.encoded(values, divisor)
    if stored is not None:
        np.testing.assert_array_equal(bits(codes._divided(stored, divisor)), bits(values))


def test_what_is_not_made_of_steps_stays_as_it_is():
    assert codes.divisor_for([np.array([21.5, 21.503]), np.array([1e5])]) == 1000.0
    assert codes.divisor_for([np.array([512.0, 1023.0])]) == 1.0  # an ADC
    for values in ([np.pi], [np.inf], [-0.0], [3e9], [1e-9]):
        assert codes.divisor_for([np.array([1.0]), np.array(values)]) is None
    assert codes.divisor_for([]) == 1.0
