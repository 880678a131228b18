"""Unknown devices that only answer: found by asking, only with questions that read, and never unless asked for."""

import itertools
import shutil
import struct

import numpy as np
import pytest

from acquire.commands.main import main
from drivers.asking import make_asker
from drivers.checksums import crc16_modbus
from drivers.errors import PortMissingError
from drivers.modbus import registers_to_number
from drivers.modbus_listening import ModbusBounds, find_modbus, propose_modbus_profile
from drivers.profile import DeviceProfile, load_profile
from drivers.proposal import ListenError
from drivers.readings import Readings
from drivers.register_guess import guess_registers, in_every_order
from drivers.scpi_listening import find_scpi, propose_scpi_profile
from drivers.tomlfile import load_model
from tests.drivers.peers import free_port, joined_terminals, program
from tests.drivers.scripted import ManualClock

RNG = np.random.default_rng(12)
ROUNDS = 8
T = 21.4 + 0.01 * RNG.standard_normal(ROUNDS)
P = 99_215 + 8 * RNG.standard_normal(ROUNDS)


def two_words(kind: str, order: str, number: float) -> list[int]:
    """Registers as a device of this order sends them; the reading of them is what is tested."""
    a, b = struct.unpack(">HH", struct.pack({"f32": ">f", "i32": ">i", "u32": ">I"}[kind], number))
    if order in ("BADC", "DCBA"):
        a, b = (a & 255) << 8 | a >> 8, (b & 255) << 8 | b >> 8
    return [b, a] if order in ("CDAB", "DCBA") else [a, b]


def words_of(kind: str, order: str, number: float) -> list[int]:
    if kind in ("i16", "u16"):
        return [round(number) % 65536]
    return two_words(kind, order, number if kind == "f32" else round(number))


def registers(t_form, p_form, *, before=3, settings=(1, 9600, 19200, 5, 0, 100)):
    """A map with settings first, then the temperature and the pressure."""
    rounds: dict[tuple[str, int], list[int]] = {}
    for temperature, pressure in zip(T, P, strict=True):
        words = [*settings[:before]]
        for (kind, order, factor), value in ((t_form, temperature), (p_form, pressure)):
            words += words_of(kind, order, factor * value)
        for address, word in enumerate([*words, *settings[before:]]):
            rounds.setdefault(("holding", address), []).append(word)
    return rounds


@pytest.mark.parametrize("order", ["ABCD", "CDAB", "BADC", "DCBA"])
@pytest.mark.parametrize("before", [0, 3, 4])
def test_floats_are_found_in_each_of_the_four_orders(order, before):
    rounds = registers(("f32", order, 1.0), ("f32", order, 1e-3), before=before)
    chosen, _ = guess_registers(rounds)
    assert [(one.role, one.address, one.type, one.order, one.unit) for one in chosen] == [
        ("temperature", before, "f32", order, "degC"),
        ("pressure", before + 2, "f32", order, "kPa"),
    ]


@pytest.mark.parametrize(
    ("t_form", "p_form", "wanted"),
    [
        (("i16", "", 100), ("u16", "", 0.1), [("i16", 0.01, "degC"), ("u16", 0.01, "kPa")]),
        (("i16", "", 10), ("u16", "", 0.01), [("i16", 0.1, "degC"), ("u16", 0.1, "kPa")]),
        (("i16", "", 100), ("u32", "ABCD", 1), [("i16", 0.01, "degC"), ("u32", 1, "Pa")]),
        (("i32", "CDAB", 1000), ("u32", "CDAB", 10), [("i32", 0.001, "degC"), ("u32", 0.1, "Pa")]),
    ],
)
def test_whole_numbers_are_found_with_their_scale(t_form, p_form, wanted):
    chosen, _ = guess_registers(registers(t_form, p_form))
    found = [(one.type, one.scale, one.unit) for one in chosen]
    # 99.2 kPa in hundredths is the same number as 992 hPa in tenths: either says the same
    values = [one.median for one in chosen]
    assert found[0] == wanted[0]
    assert found[1][0] == wanted[1][0]
    assert values[0] == pytest.approx(21.4, abs=0.06)
    si = {"kPa": 1e3, "hPa": 100, "Pa": 1}[chosen[1].unit] * values[1]
    assert si == pytest.approx(99_215, rel=2e-3)


def test_the_four_orders_are_shown_as_the_standard_example_has_them():
    # 25.125 sent CDAB; what the other orders make of it was worked by hand from IEEE 754
    rounds = {("input", 0): [0x0000], ("input", 1): [0x41C9]}
    chosen, _ = guess_registers(rounds)
    assert (chosen[0].order, chosen[0].median) == ("CDAB", 25.125)
    shown = in_every_order(chosen[0], rounds)
    assert shown["ABCD"] == pytest.approx(2.36e-41, rel=0.01)
    assert shown["BADC"] == pytest.approx(struct.unpack(">f", bytes.fromhex("0000c941"))[0])
    assert shown["DCBA"] == pytest.approx(struct.unpack(">f", bytes.fromhex("c9410000"))[0])


def test_registers_that_both_tables_show_count_once():
    rounds = registers(("f32", "ABCD", 1.0), ("f32", "ABCD", 1.0))
    rounds |= {("input", address): words for (_, address), words in rounds.items()}
    chosen, _ = guess_registers(rounds)
    assert [(one.table, one.address) for one in chosen] == [("input", 3), ("input", 5)]


def test_settings_and_noise_are_no_sensor():
    rounds = {("holding", n): [int(word)] * ROUNDS for n, word in enumerate((1, 2, 5000, 0, 65535, 3))}
    rounds |= {("holding", 50 + n): RNG.integers(0, 65536, ROUNDS).tolist() for n in range(6)}
    chosen, _ = guess_registers(rounds)
    assert chosen == []


class Bus:
    """A Modbus RTU device on a line: answers its own unit at its own rate and parity, with a delay."""

    def __init__(self, clock, *, baud=19200, parity="even", unit=3, table=4, delay=0.02):
        self.clock, self.baud, self.parity, self.unit, self.table, self.delay = clock, baud, parity, unit, table, delay
        self.opened: list[tuple[int, str]] = []
        self.asked: list[bytes] = []
        self.rounds = itertools.count()
        self.map: dict[int, int] = {}
        self.closed = 0

    def open(self, url, profile):
        self.opened.append((profile.line.baud, profile.line.parity))
        if profile.line.parity == "odd":
            raise PortMissingError(url, "this adapter has no odd parity")
        return Line(self, self.opened[-1] == (self.baud, self.parity))

    def answer(self, request: bytes) -> bytes:
        self.asked.append(request)
        unit, function, first, count, crc = struct.unpack(">BBHHH", request)
        assert crc16_modbus(request[:-2]) == (crc & 255) << 8 | crc >> 8
        if unit != self.unit:
            return b""
        turn = next(self.rounds) % ROUNDS
        held = dict(enumerate([*two_words("f32", "CDAB", T[turn]), *two_words("f32", "CDAB", P[turn])], start=40))
        if function != self.table:
            return self.framed(bytes([unit, function | 0x80, 1]))
        if any(address not in held for address in range(first, first + count)):
            return self.framed(bytes([unit, function | 0x80, 2]))
        words = struct.pack(f">{count}H", *(held[address] for address in range(first, first + count)))
        return self.framed(bytes([unit, function, len(words)]) + words)

    @staticmethod
    def framed(body: bytes) -> bytes:
        return body + crc16_modbus(body).to_bytes(2, "little")


class Line:
    """One opening of the bus; waiting moves the clock."""

    fileno = None
    url = "bus"

    def __init__(self, bus: Bus, understood: bool) -> None:
        self.bus, self.understood = bus, understood
        self.coming = b""

    def read(self, wait=0.05):
        if not self.coming:
            self.bus.clock.move(wait)
            return b""
        self.bus.clock.move(self.bus.delay)
        # in two pieces, as lines deliver
        half = max(1, len(self.coming) // 2)
        out, self.coming = self.coming[:half], self.coming[half:]
        return out

    def write(self, data):
        self.coming = self.bus.answer(data) if self.understood else b""

    def discard_input(self):
        self.coming = b""

    def close(self):
        self.bus.closed += 1


def found_on(bus, clock, **bounds):
    told: list[str] = []
    heard = find_modbus(
        "bus", now=clock, wait=clock.move, bounds=ModbusBounds(**bounds), open_port=bus.open, tell=told.append
    )
    return heard, told


def test_rate_parity_unit_and_registers_are_found_and_only_reads_are_sent():
    clock = ManualClock()
    bus = Bus(clock)
    heard, told = found_on(bus, clock)
    assert (heard.place.baud, heard.place.parity, heard.place.unit, heard.place.wire) == (19200, "even", 3, "rtu")
    assert heard.units == [3]
    assert sorted(heard.rounds) == [("input", n) for n in (40, 41, 42, 43)]
    assert {request[1] for request in bus.asked} <= {3, 4}
    assert all(len(request) == 8 for request in bus.asked)
    assert bus.closed == len([one for one in bus.opened if one[1] != "odd"])
    assert any("asking unit 1 at 9600 baud" in text for text in told)
    # bounded: nobody is asked for longer than a person waits
    assert len(bus.asked) < 400
    assert clock() < 120


def test_the_profile_that_is_proposed_reads_the_device():
    clock = ManualClock()
    bus = Bus(clock)
    heard, _ = found_on(bus, clock)
    text = propose_modbus_profile(heard, "transmitter")
    profile = load_model(text, DeviceProfile)
    assert profile.decoding.unit == 3
    assert (profile.line.baud, profile.line.parity) == (19200, "even")
    asker = make_asker(profile)
    tick = asker.tick(clock())
    events = asker.feed(bus.answer(tick.data), clock() + 0.02)
    values = {event.channel: event.value[0] for event in events if isinstance(event, Readings)}
    assert values["temperature"] == pytest.approx(273.15 + 21.4, abs=0.1)
    assert values["pressure"] == pytest.approx(99_215, abs=50)


def test_nobody_answers():
    clock = ManualClock()
    bus = Bus(clock, unit=77)
    with pytest.raises(ListenError, match=r"nobody at 'bus' answered a Modbus request to unit 1 to 16 .* expected"):
        found_on(bus, clock)
    assert {request[0] for request in bus.asked} == set(range(1, 17))


def test_a_device_without_registers_in_the_range_is_told():
    clock = ManualClock()
    with pytest.raises(ListenError, match="unit 3 answers, but refuses registers 0 to 30 of both tables; expected"):
        found_on(Bus(clock), clock, registers=range(31))


def test_a_port_that_refuses_every_setting_says_so():
    clock = ManualClock()
    with pytest.raises(PortMissingError, match="no odd parity"):
        found_on(Bus(clock), clock, parities=("odd",))


class Instrument(Bus):
    """Answers text questions at its own rate."""

    def __init__(self, clock, answers, baud=19200):
        super().__init__(clock, baud=baud, parity="none")
        self.answers = answers

    def answer(self, request: bytes) -> bytes:
        self.asked.append(request)
        text = request.decode().strip()
        turn = next(self.rounds) % ROUNDS
        answer = self.answers.get(text, "")
        return (answer(turn) if callable(answer) else answer).encode()


ROOM = {
    "*IDN?": "Bench,Meter 7,0,1.2\r\n",
    "SYST:ERR?": '0,"No error"\r\n',
    "MEAS:TEMP?": lambda turn: f"{273.15 + T[turn]:+.4E}\r\n",
    "MEAS:PRES?": lambda turn: f"{P[turn]:.1f}\r\n",
}


def asked_instrument(answers):
    clock = ManualClock()
    instrument = Instrument(clock, answers)
    return instrument, find_scpi("port", now=clock, wait=clock.move, open_port=instrument.open)


def test_an_instrument_is_asked_and_its_profile_reads_its_answers():
    instrument, heard = asked_instrument(ROOM)
    assert (heard.baud, heard.identity) == (19200, "Bench,Meter 7,0,1.2")
    assert [request for request in instrument.asked if b"?" not in request] == [b"*CLS\n"]
    profile = load_model(propose_scpi_profile(heard, "meter"), DeviceProfile)
    assert profile.identity.idn == "Bench,Meter 7"
    units = {channel.channel: channel.unit for channel in profile.channel}
    assert units == {"temperature": "K", "pressure": "Pa"}
    assert [one.text for one in profile.decoding.ask] == ["MEAS:TEMP?", "MEAS:PRES?"]


def test_one_question_with_two_numbers():
    both = {key: value for key, value in ROOM.items() if "?" in key and "MEAS" not in key}
    both["READ?"] = lambda turn: f"{T[turn]:.3f},{P[turn] / 1e3:.4f}\n"
    _, heard = asked_instrument(both)
    profile = load_model(propose_scpi_profile(heard, "meter"), DeviceProfile)
    assert [one.fields for one in profile.decoding.ask] == [("read_1", "read_2")]
    assert {channel.channel: channel.unit for channel in profile.channel} == {"temperature": "degC", "pressure": "kPa"}


def test_an_instrument_without_a_number_is_told_with_what_it_said():
    _, heard = asked_instrument({"*IDN?": ROOM["*IDN?"]})
    with pytest.raises(ListenError, match=r"it is 'Bench,Meter 7,0,1\.2'; no usual question was answered with numbers"):
        propose_scpi_profile(heard, "meter")


def test_silence_and_an_echo_are_no_instrument():
    for answers in ({}, {"*IDN?": "*IDN?\r\n"}):
        with pytest.raises(ListenError, match=r"nothing at 'port' answered \*IDN\? at 9600, 115200"):
            asked_instrument(answers)


@pytest.mark.parametrize(
    ("option", "text", "wanted"),
    [
        ("--units", "0", "--units is '0'; expected one number or N-M, from 1 to 247"),
        ("--units", "5-2", "expected one number or N-M"),
        ("--registers", "0-5000", "5001 of them; expected at most 1000 at a time"),
        ("--registers", "40001-x", "expected one number or N-M, from 0 to 65535"),
    ],
)
def test_bounds_that_cannot_be_are_refused(option, text, wanted, capsys):
    assert main(["listen", "/dev/none", "--modbus", option, text]) == 1
    assert wanted in capsys.readouterr().err


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("socat") is None, reason="socat is not installed (apt install socat)")
def test_a_pymodbus_server_on_a_pseudo_terminal_is_found_and_its_profile_is_saved(tmp_path, capsys):
    pytest.importorskip("pymodbus")
    file = tmp_path / "found.toml"
    with joined_terminals(tmp_path) as (left, right), program("tests.drivers.modbus_peer", "rtu", left):
        assert main(["listen", right, "--modbus", "--seconds", "0.5", "--save", str(file)]) == 0
    said = capsys.readouterr()
    assert "requests that read registers, and no others" in said.err
    assert "unit 1 answers" in said.out
    assert "input 1 and 2 (in manuals 30002): pressure in Pa, as f32 ABCD" in said.out
    profile = load_profile(file)
    # the server's registers as tests/drivers/modbus_peer.py lays them out
    found = {one.name: (one.address, one.type) for one in profile.decoding.register_map}
    assert found == {"T": (0, "i16"), "p": (1, "f32")}
    (sample,) = [one for one in profile.sample if "pressure" in one.readings]
    assert registers_to_number([0x47C5, 0xE400], "f32", "ABCD") == 101320.0
    assert sample.readings["pressure"] == "101320 Pa"


@pytest.mark.slow
def test_a_pymodbus_server_on_a_socket_is_found(capsys):
    pytest.importorskip("pymodbus")
    for wire in ("rtu", "tcp"):
        port = free_port()
        with program("tests.drivers.modbus_peer", wire, str(port), listens=port):
            arguments = ["listen", f"socket://127.0.0.1:{port}", "--modbus", "--units", "1", "--seconds", "0.3"]
            assert main(arguments) == 0
        assert f"(Modbus {wire.upper()})" in capsys.readouterr().out


@pytest.mark.slow
def test_a_scpi_server_is_asked(capsys):
    pytest.importorskip("scpipy")
    port = free_port()
    with program("tests.drivers.scpi_peer", str(port), listens=port):
        assert main(["listen", f"socket://127.0.0.1:{port}", "--scpi", "--seconds", "0.5"]) == 0
    said = capsys.readouterr().out
    assert "temperature: temperature in K" in said
    assert "pressure: pressure in Pa" in said
    assert 'kind = "asked"' in said
