"""The bench in every wire form: what it sends is what the driver layer's own readers understand."""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np
import pytest
from thermocouples_reference import thermocouples

from drivers.asking import make_asker
from drivers.checksums import CHECKSUMS
from drivers.decoding import make_decoder
from drivers.profile import DeviceProfile, list_profiles, load_profile
from drivers.readings import Readings
from sim.answers import ModbusAnswerer, TextAnswerer
from sim.device import SimulatedBench
from sim.encode import Moment, Talker, as_type
from sim.raw_numbers import NotSpeakableError, emf, raw_number, stated_pressure
from sim.unit_factors import UNITS, UnknownUnitError, in_unit
from sim.wire_checks import CHECKS, cobs, xor
from tests.sim.runs import quiet

TALKING = [profile.name for profile in list_profiles() if not profile.asks]
ASKED = [profile.name for profile in list_profiles() if profile.asks]
# Counts of a ten-bit converter and millivolts with three decimals are coarse; the others give thousandths.
COARSE = {"analogue-counts": (0.02, 60.0), "thermocouple-bridge": (0.03, 120.0), "modbus-registers": (0.01, 1.0)}


def talk(name: str, seconds: float, *mishaps: dict[str, Any]) -> tuple[list[Any], SimulatedBench]:
    """Events that the driver layer makes of the bench's bytes."""
    bench = SimulatedBench(quiet(*mishaps), 1, profile=name)
    decoder = make_decoder(load_profile(name))
    events: list[Any] = []
    for second in range(1, int(seconds) + 1):
        events += decoder.feed(bench.advance(float(second)), float(second))
    return events + decoder.close(seconds), bench


def values(events: list[Any], channel: str) -> np.ndarray:
    blocks = [event for event in events if isinstance(event, Readings) and event.channel == channel]
    assert blocks, f"no readings of {channel}"
    assert not np.any(np.concatenate([block.quality for block in blocks]) & 3)
    return np.concatenate([block.value for block in blocks])


@pytest.mark.parametrize("name", TALKING)
def test_every_talking_form_is_read_back_as_what_was_true(name: str) -> None:
    events, bench = talk(name, 20)
    state = bench.truth.state_at(20)
    temperature, pressure = COARSE.get(name, (1e-3, 1.0))
    assert len(values(events, "temperature")) == 40
    assert values(events, "temperature") == pytest.approx(state.shown_temperature, abs=temperature)
    # The thermocouple board's gauge sensor counts from the barometer's value in its profile.
    assert values(events, "pressure") == pytest.approx(state.shown_pressure, abs=pressure)
    assert not [event for event in events if getattr(event, "kind", "") == "rejected"]


@pytest.mark.parametrize("name", ASKED)
def test_every_asked_form_answers_the_driver_layers_questions(name: str) -> None:
    bench = SimulatedBench(quiet(), 1, profile=name)
    asker = make_asker(load_profile(name))
    events: list[Any] = []
    now = 1.0
    bench.advance(now)
    while now < 12.0:
        tick = asker.tick(now)
        events += tick.events
        now += 0.05
        assert bench.advance(now) == b""  # it says nothing by itself
        if tick.data and (said := bench.hear(tick.data)):
            events += asker.feed(said, now)
    state = bench.truth.state_at(11)
    temperature, pressure = COARSE.get(name, (1e-3, 1.0))
    assert len(values(events, "temperature")) >= 8
    assert values(events, "temperature") == pytest.approx(state.shown_temperature, abs=temperature)
    assert values(events, "pressure") == pytest.approx(state.shown_pressure, abs=pressure)
    assert not [event for event in events if getattr(event, "kind", "") in ("rejected", "silent")]


def test_the_general_form_gives_the_same_line_as_the_benchs_own() -> None:
    profile = load_profile("simulated-bench")
    own = SimulatedBench(quiet(), 1).advance(3.0).split(b"\r\n")
    bench = SimulatedBench(quiet(), 1)
    bench._transmitter._talker = Talker(profile)
    assert bench.advance(3.0).split(b"\r\n")[1:] == own[1:]
    assert Talker(profile).banner + b"" == own[0] + b"\r\n"


@pytest.mark.parametrize("name", ["json-lines", "packed-binary", "text-with-checksum"])
def test_times_come_from_the_devices_own_clock(name: str) -> None:
    events, _ = talk(name, 20)
    times = np.concatenate([e.time for e in events if isinstance(e, Readings) and e.channel == "temperature"])
    # The very first may be told before the next shows that it came late.
    assert 0.0 <= times[1] - times[0] <= 0.502
    assert np.diff(times[1:]) == pytest.approx(0.5, abs=2e-3)


@pytest.mark.parametrize("name", ["packed-binary", "packed-cobs", "text-with-checksum", "sentence-text"])
def test_a_disturbed_line_gives_no_wrong_reading_where_a_checksum_watches(name: str) -> None:
    events, bench = talk(name, 200, {"kind": "noisy_line", "lines_percent": 20.0})
    state = bench.truth.state_at(200)
    found = values(events, "temperature")
    assert 250 < len(found) < 390
    assert found == pytest.approx(state.shown_temperature, abs=0.01)


def test_a_wrong_unit_reaches_every_form() -> None:
    events, bench = talk("json-lines", 3, {"kind": "wrong_unit", "channel": "pressure", "unit": "mmHg"})
    blocks = [e for e in events if isinstance(e, Readings) and e.channel == "pressure"]
    expected = bench.truth.state_at(3).shown_pressure / 133.322 * 1e3  # 1 mmHg is 133.322 Pa (NIST SP 811)
    assert blocks[0].value[-1] == pytest.approx(expected, rel=1e-4)


def moment(**values_: float) -> Moment:
    return Moment(
        1.0, {"temperature": 310.0, "pressure": 110e3, "room_temperature": 295.0, "barometer": 100e3} | values_
    )


def text_device() -> TextAnswerer:
    return TextAnswerer(load_profile("text-questions"))


def test_a_meter_says_who_it_is_and_keeps_its_errors_until_asked() -> None:
    device = text_device()
    assert device.answer(b"*IDN?\n", moment()).count(b",") == 3
    assert device.answer(b"MEAS:HUM?\nSYST:ERR?\n", moment()) == b'-113,"Undefined header"\n'
    assert device.answer(b"syst:err?\n", moment()) == b'0,"No error"\n'
    device.answer(b"NONSENSE\n*CLS\n", moment())
    assert device.answer(b"SYST:ERR?\n", moment()) == b'0,"No error"\n'


def test_a_question_may_come_in_pieces() -> None:
    device = text_device()
    assert device.answer(b"MEAS:T", moment()) == b""
    assert device.answer(b"EMP?\r\n", moment()) == b"+3.100000E+02\n"


def test_a_meter_without_a_number_says_so_as_scpi_does() -> None:
    assert text_device().answer(b"MEAS:TEMP?\n", moment(temperature=math.nan)) == b"9.91E37\n"


def modbus(**changes: Any) -> ModbusAnswerer:
    profile = load_profile("modbus-registers")
    return ModbusAnswerer(profile.model_copy(update={"decoding": profile.decoding.model_copy(update=changes)}))


def rtu(body: str) -> bytes:
    data = bytes.fromhex(body)
    return data + CHECKSUMS["crc16-modbus"][0](data).to_bytes(2, "little")


# Exception codes: Modbus application protocol V1.1b3, section 7.
@pytest.mark.parametrize(
    ("request_body", "answer"),
    [
        ("01 06 0000 0001", "01 86 01"),
        ("01 04 0007 0001", "01 84 02"),
        ("01 04 0000 0000", "01 84 03"),
        ("01 04 0000 007E", "01 84 03"),
        ("01 03 0000 0001", "01 83 02"),
    ],
)
def test_a_modbus_device_refuses_as_the_standard_says(request_body: str, answer: str) -> None:
    assert modbus().answer(rtu(request_body), moment()) == rtu(answer)


def test_a_modbus_device_is_silent_for_other_units_and_after_noise_finds_the_next_request() -> None:
    device = modbus()
    assert device.answer(rtu("02 04 0000 0001"), moment()) == b""
    answer = device.answer(b"\xff\x00\x13" + rtu("01 04 0000 0001"), moment())
    assert answer == rtu("01 04 02")[:3] + (3685).to_bytes(2, "big") + answer[-2:]


def test_a_modbus_device_answers_over_tcp_with_the_requests_transaction() -> None:
    request = bytes.fromhex("0007 0000 0006 01 04 0000 0001")
    assert modbus(wire="tcp").answer(request, moment()) == bytes.fromhex("0007 0000 0005 01 04 02 0E65")


@pytest.mark.parametrize("name", sorted(CHECKSUMS))
def test_checksums_bit_by_bit_agree_with_the_driver_layers(name: str) -> None:
    size, check = CHECKS[name]
    for data in (b"", b"123456789", bytes(range(200)), b"\xff" * 33):
        assert check(data) == CHECKSUMS[name][0](data)
    assert size == CHECKSUMS[name][1]


def test_exclusive_or_takes_every_byte_once() -> None:
    for length in (0, 1, 2, 3, 15, 16, 17, 31, 32, 33, 64, 65, 300):
        data = bytes((7 * n + 3) % 256 for n in range(length))
        expected = 0
        for byte in data:
            expected ^= byte
        assert xor(data) == expected


def test_stuffing_agrees_with_an_independent_library() -> None:
    reference = pytest.importorskip("cobs.cobs")
    for data in (b"", b"\0", b"\0\0", b"abc", b"a\0b", bytes(range(1, 200)), b"\0" + bytes(range(253))):
        assert reference.decode(cobs(data)) == data


@pytest.mark.parametrize("kind", "BEJKNRST")
def test_thermocouples_agree_with_the_reference_functions(kind: str) -> None:
    celsius = np.array([5.0, 21.5, 37.0, 60.0, 99.0])
    reference = thermocouples[kind].func(celsius)
    assert [emf(kind, t) for t in celsius] == pytest.approx(list(reference), abs=4e-4)


CONVERSIONS = [
    {"kind": "linear", "scale": 0.5, "offset": -3.0},
    {"kind": "polynomial", "coefficients": [-4.0, 0.5, 0.002]},
    {"kind": "table", "points": [[0.0, -10.0], [40.0, 30.0], [100.0, 80.0]]},
    {"kind": "two-point", "raw_low": 100.0, "raw_high": 900.0, "low": 0.0, "high": 60.0},
    {"kind": "current-loop", "low": -20.0, "high": 120.0},
    {"kind": "platinum", "nominal": 1000.0, "lead": 1.5},
    {"kind": "thermistor", "beta": 3950.0, "nominal": 10e3},
    {"kind": "thermistor", "a": 1.129e-3, "b": 2.341e-4, "c": 8.775e-8},
    {
        "kind": "thermistor", "beta": 3435.0, "nominal": 10e3,
        "divider": {"series": 10e3, "full": 4095.0, "sensor": "high"},
    },
    {"kind": "thermocouple", "type": "T", "junction": 20.0},
]  # fmt: skip


@pytest.mark.parametrize("conversion", CONVERSIONS, ids=lambda spec: spec["kind"])
@pytest.mark.parametrize("celsius", [5.0, 21.5, 37.0])
def test_every_conversion_is_undone_by_the_driver_layers(conversion: dict[str, Any], celsius: float) -> None:
    from drivers.conversion import ChannelScale

    data = load_profile("delimited-text").model_dump()
    data["channel"][0]["conversion"] = conversion
    data["channel"][0]["calibration"] = {"offset": 0.3, "gain": 1.02, "centre": 20.0}
    channel = DeviceProfile.model_validate_json(json.dumps(data)).channel[0]
    value, _ = ChannelScale(channel).apply(np.array([raw_number(channel, celsius + 273.15)]))
    assert value[0] == pytest.approx(celsius + 273.15, abs=5e-3)


def test_a_stated_pressure_is_read_with_its_unit() -> None:
    assert stated_pressure("101.325 kPa") == pytest.approx(101325.0)
    assert stated_pressure("1 atm") == pytest.approx(101325.0)


@pytest.mark.parametrize("unit", sorted(UNITS))
def test_units_agree_with_the_projects_table(unit: str) -> None:
    from drivers.units import from_si

    value = 300.0 if UNITS[unit][0] == "temperature" else 101325.0
    assert in_unit(value, unit) == pytest.approx(from_si(value, unit), rel=1e-12)


def test_an_unknown_unit_is_refused() -> None:
    with pytest.raises(UnknownUnitError, match="found unit 'furlong'; expected one of K, mK, degC"):
        in_unit(1.0, "furlong")


def test_a_profile_that_asks_cannot_talk() -> None:
    with pytest.raises(NotSpeakableError, match="found a profile that decodes 'modbus'"):
        Talker(load_profile("modbus-registers"))


@pytest.mark.parametrize(
    ("number", "kind", "expected"),
    [(3.6, "u8", 4), (300.2, "u8", 255), (-3.2, "u8", 0), (-40000.0, "i16", -32768), (257, "u8", 1), (2.5, "f32", 2.5)],
)
def test_numbers_fit_their_fields(number: float, kind: str, expected: float) -> None:
    assert as_type(number, kind) == expected
