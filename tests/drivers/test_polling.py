"""Devices that are asked: a schedule that does not drift, answers told from silence, no answer taken for another's."""

import math
import struct
import subprocess
import sys

import numpy as np
import pytest

from drivers.asking import make_asker
from drivers.checksums import crc16_modbus
from drivers.modbus import ModbusMissingError, grouped, registers_to_number
from drivers.polling import Schedule
from drivers.profile import load_profile
from drivers.readings import DeviceNotice, Quality, Readings
from drivers.wire_spec import Register

METER = load_profile("text-questions")
TRANSMITTER = load_profile("modbus-registers")


class Meter:
    """A device that answers what it knows, after a while, and keeps a queue of errors."""

    def __init__(self, delay=0.02):
        self.delay = delay
        self.asked: list[bytes] = []
        self.answers = {
            b"*IDN?\n": b"Bench,Meter,0,1\n",
            b"MEAS:TEMP?\n": b"+2.9499E+02\n",
            b"MEAS:PRES?\n": b"101320\r\n",
            b"SYST:ERR?\n": b'0,"No error"\n',
        }

    def answer(self, data):
        self.asked.append(data)
        return self.answers.get(data, b"")


def run(asker, device, until, *, step=0.01, start=100.0):
    """Drive an asker against a device by hand; everything that it says."""
    events, due = [], []
    now = start
    while now < until:
        tick = asker.tick(now)
        events += tick.events
        if tick.data:
            due.append((now + device.delay, device.answer(tick.data)))
        for item in [item for item in due if item[0] <= now]:
            due.remove(item)
            if item[1]:
                events += asker.feed(item[1], now)
        now += step
    return events


def readings(events, channel):
    return [event for event in events if isinstance(event, Readings) and event.channel == channel]


def notices(events):
    return [event for event in events if isinstance(event, DeviceNotice)]


def test_a_late_caller_skips_slots_and_does_not_shift_them():
    schedule = Schedule(0.5)
    taken = [now for now in (0.0, 0.2, 0.51, 0.99, 1.02, 3.3, 3.49, 3.51) if schedule.take(now)]
    assert taken == [0.0, 0.51, 1.02, 3.3, 3.51]
    assert schedule.missed == 3
    assert schedule.next_slot == 4.0


def test_an_hour_of_slots_stay_on_their_grid():
    schedule = Schedule(0.1)
    rng = np.random.default_rng(2)
    now, taken = 1000.0, 0
    while now < 1000.0 + 3_600:
        taken += schedule.take(now)
        now += rng.uniform(0.03, 0.09)
    assert taken + schedule.missed == pytest.approx(36_000, abs=1)
    assert schedule.missed == 0


def test_a_meter_is_asked_every_second_and_its_answers_are_readings():
    meter = Meter()
    events = run(make_asker(METER, "meter"), meter, 105.0)
    assert notices(events) == []
    temperatures = readings(events, "temperature")
    assert len(temperatures) == 5
    assert all(block.value[0] == pytest.approx(294.99) for block in temperatures)
    assert all(block.value[0] == 101320 for block in readings(events, "pressure"))
    np.testing.assert_allclose(np.diff([block.time[0] for block in temperatures]), 1.0, atol=0.011)


def test_the_time_is_the_middle_of_question_and_answer_and_says_how_well():
    (block, *_) = readings(run(make_asker(METER), Meter(delay=0.2), 101.5), "temperature")
    # identified first: the question goes out at 0.2 s or the next step, the answer comes 0.2 s later
    assert block.time[0] == pytest.approx(100.31, abs=0.02)
    assert block.u_time == pytest.approx(0.2 / math.sqrt(12), rel=0.1)


def test_the_meter_is_cleared_and_asked_who_it_is_before_anything_else():
    meter = Meter()
    run(make_asker(METER), meter, 100.2)
    assert meter.asked[:3] == [b"*CLS\n", b"*IDN?\n", b"MEAS:TEMP?\n"]


def test_a_stranger_is_told(tmp_path):
    profile = METER.model_copy(update={"identity": METER.identity.model_copy(update={"idn": "Bench,Other"})})
    (notice, *_) = notices(run(make_asker(profile, "meter"), Meter(), 100.3))
    assert notice.text.startswith("the device says it is 'Bench,Meter,0,1'; expected 'Bench,Other';")


def test_not_a_number_of_scpi_is_marked_and_not_stored_as_a_number():
    meter = Meter()
    meter.answers[b"MEAS:TEMP?\n"] = b"9.91E37\n"
    (block, *_) = readings(run(make_asker(METER), meter, 100.5), "temperature")
    assert math.isnan(block.value[0])
    assert block.quality[0] == Quality.NOT_A_NUMBER


def test_a_compound_question_has_one_answer_with_several_numbers():
    both = METER.decoding.ask[0].model_copy(update={"text": "MEAS:TEMP?;:MEAS:PRES?", "fields": ("T", "p")})
    profile = METER.model_copy(update={"decoding": METER.decoding.model_copy(update={"ask": (both,)})})
    meter = Meter()
    meter.answers[b"MEAS:TEMP?;:MEAS:PRES?\n"] = b"+2.9499E+02;101320\n"
    events = run(make_asker(profile), meter, 101.5)
    assert [block.value[0] for block in readings(events, "pressure")] == [101320, 101320]
    (first, second) = readings(events, "temperature")
    assert first.time[0] == readings(events, "pressure")[0].time[0]
    assert second.value[0] == pytest.approx(294.99)


def test_an_answer_that_is_no_number_makes_it_ask_for_the_error():
    meter = Meter()
    meter.answers[b"MEAS:TEMP?\n"] = b"what\n"
    meter.answers[b"SYST:ERR?\n"] = b'-113,"Undefined header"\n'
    events = run(make_asker(METER, "meter"), meter, 101.5)
    texts = " ".join(notice.text for notice in notices(events))
    assert "b'what': not 1 numbers as the answer to MEAS:TEMP?" in texts
    assert 'the device reports -113,"Undefined header"; expected 0,"No error"' in texts
    assert len(readings(events, "pressure")) == 2
    assert readings(events, "temperature") == []


def test_a_late_answer_is_not_taken_for_the_next_question():
    meter, asker = Meter(), make_asker(METER, "meter")
    # The device works off its questions in their order; each pressure takes it longer than the time-out.
    slow = {b"MEAS:PRES?\n": 1.3}
    events, due, now, free = [], [], 100.0, 0.0
    while now < 115.0:
        tick = asker.tick(now)
        events += tick.events
        if tick.data:
            free = max(free, now) + slow.get(tick.data, 0.02)
            due.append((free, meter.answer(tick.data)))
        for item in [item for item in due if item[0] <= now]:
            due.remove(item)
            events += asker.feed(item[1], now) if item[1] else []
        now += 0.01
    temperatures = [block.value[0] for block in readings(events, "temperature")]
    assert temperatures == [pytest.approx(294.99)] * len(temperatures)
    assert len(temperatures) >= 3
    assert readings(events, "pressure") == []
    texts = " ".join(notice.text for notice in notices(events))
    assert "no answer to MEAS:PRES?" in texts
    assert "the device reports" not in texts


def test_silence_is_told_after_three_questions():
    meter = Meter()
    meter.answers = {}
    events = run(make_asker(METER, "meter"), meter, 108.0)
    silent = [notice for notice in notices(events) if notice.kind == "silent"]
    assert [notice.text for notice in silent] == [
        "meter has not answered 3 questions; expected an answer within 1 s; "
        "check that it is on, its address and its baud rate"
    ]


def test_what_comes_unasked_is_no_reading():
    asker = make_asker(METER)
    assert readings(asker.feed(b"+300.0\n", 99.0), "temperature") == []
    assert asker.spoilt == 1


def test_an_answer_without_end_does_not_fill_the_memory():
    asker = make_asker(METER)
    run(asker, Meter(delay=100.0), 100.05)
    for _ in range(100):
        asker.feed(b"1" * 500, 100.1)
    assert len(asker._buffer) < 1000


def response(payload: bytes) -> bytes:
    return payload + crc16_modbus(payload).to_bytes(2, "little")


def registers(temperature=2184, pressure=101320.0):
    return response(b"\x01\x04\x06" + struct.pack(">hf", temperature, pressure))


class Transmitter:
    delay = 0.02

    def __init__(self, reply):
        self.reply = reply
        self.asked = []

    def answer(self, data):
        self.asked.append(data)
        return self.reply


def test_modbus_registers_become_readings():
    transmitter = Transmitter(registers())
    events = run(make_asker(TRANSMITTER), transmitter, 103.0)
    assert transmitter.asked[0] == response(bytes.fromhex("010400000003"))
    assert [block.value[0] for block in readings(events, "temperature")] == [pytest.approx(294.99)] * 3
    assert [block.value[0] for block in readings(events, "pressure")] == [101320.0] * 3


@pytest.mark.parametrize(
    ("reply", "sentence"),
    [
        (response(b"\x01\x84\x02"), "the device refuses (exception 2, illegal data address) registers from 0"),
        (b"", "no answer from unit 1"),
        (registers()[:-1] + b"\x00", "wrong checksum or another unit's answer"),
        (registers()[:5], "bytes that are no whole Modbus message"),
        (response(b"\x01\x04\x02\x08\x88"), "1 registers where 3 were asked for"),
        (response(b"\x07\x04\x06" + struct.pack(">hf", 1, 1.0)), "wrong checksum or another unit's answer"),
    ],
)
def test_exception_silence_and_damage_are_told_apart(reply, sentence):
    events = run(make_asker(TRANSMITTER, "transmitter"), Transmitter(reply), 102.5)
    assert readings(events, "temperature") == []
    assert sentence in notices(events)[0].text


def test_the_first_reading_after_silence_is_marked():
    transmitter = Transmitter(b"")
    asker = make_asker(TRANSMITTER)
    run(asker, transmitter, 102.0)
    transmitter.reply = registers()
    marks = [block.quality[0] for block in readings(run(asker, transmitter, 105.0, start=102.0), "temperature")]
    assert marks[:2] == [Quality.AFTER_GAP, Quality.GOOD]


def test_registers_are_read_together_only_where_they_adjoin():
    one = [Register(name=f"r{n}", address=n) for n in (0, 1, 2, 4)]
    other = Register(name="i", address=3, table="input")
    wide = Register(name="w", address=10, type="f32")
    groups = grouped((*one, other, wide, Register(name="after", address=12)))
    assert [[register.name for register in group] for group in groups] == [
        ["r0", "r1", "r2"],
        ["r4"],
        ["w", "after"],
        ["i"],
    ]


@pytest.mark.parametrize("order", ["ABCD", "CDAB", "BADC", "DCBA"])
def test_each_order_of_bytes_gives_the_number_back(order):
    a, b, c, d = struct.pack(">f", 25.125)
    sent = {"ABCD": (a, b, c, d), "CDAB": (c, d, a, b), "BADC": (b, a, d, c), "DCBA": (d, c, b, a)}[order]
    words = [sent[0] << 8 | sent[1], sent[2] << 8 | sent[3]]
    assert registers_to_number(words, "f32", order) == 25.125


def test_the_wrong_order_gives_numbers_that_nobody_would_believe():
    a, b, c, d = struct.pack(">f", 25.125)
    words = [c << 8 | d, a << 8 | b]  # sent CDAB
    assert registers_to_number(words, "f32", "DCBA") == -790528
    assert registers_to_number(words, "f32", "BADC") == pytest.approx(7.2e-41, rel=0.01)
    assert registers_to_number(words, "f32", "ABCD") == pytest.approx(2.4e-41, rel=0.1)


@pytest.mark.parametrize(
    ("kind", "words", "value"),
    [("u16", [65535], 65535), ("i16", [65535], -1), ("u32", [1, 0], 65536), ("i32", [0xFFFF, 0xFFFE], -2)],
)
def test_whole_numbers_of_both_signs(kind, words, value):
    assert registers_to_number(words, kind, "ABCD") == value


def test_a_missing_package_for_modbus_is_told_with_the_command(monkeypatch):
    monkeypatch.setitem(sys.modules, "pymodbus.framer", None)
    with pytest.raises(
        ModbusMissingError, match=r"pymodbus is not installed; expected version 3\.10 or later; run  pip"
    ):
        make_asker(TRANSMITTER)


@pytest.mark.slow
def test_pymodbus_is_loaded_only_for_a_modbus_profile():
    code = (
        "import sys; from drivers.profile import load_profile; from drivers.source import ReadingSource; "
        "ReadingSource(load_profile('text-questions'), 'loop://', now=float); assert 'pymodbus' not in sys.modules"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
