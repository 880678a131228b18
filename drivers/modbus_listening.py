"""Finding an unknown Modbus device: its line, its unit, which registers it has, and a profile for it.

Modbus devices only answer, so this writes to the port; it sends requests that read (functions 3 and 4) and no others.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from drivers.asked_line import AskedLine, asking_profile, read_words
from drivers.errors import PortMissingError
from drivers.modbus import REGISTER_COUNT, ModbusDialogue
from drivers.profile import DeviceProfile
from drivers.proposal import HEADER, ListenError, channel_text, proved, table, toml
from drivers.register_guess import Place, RegisterGuess, guess_registers
from drivers.transport import Transport, open_transport
from drivers.wire_spec import ModbusRegisters

BAUD_RATES = (9600, 19200, 115200, 38400, 57600, 4800)
PARITIES = ("even", "none", "odd")  # even is the standard's own, none the usual one
TABLES = ("input", "holding")
BLOCK = 32  # registers of one request; a device that refuses some of them is asked for halves
ROUNDS = 8
TRY_TIMEOUT = 0.2  # [s] 15 characters at 4800 baud take 34 ms; the rest is the device's own time
READ_TIMEOUT = 0.5  # [s]
ILLEGAL_FUNCTION = 1

OpenPort = Callable[[str, DeviceProfile], Transport]


@dataclass(frozen=True)
class ModbusBounds:
    """What may be tried."""

    units: Sequence[int] = range(1, 17)
    registers: range = range(100)
    bauds: Sequence[int] = BAUD_RATES
    parities: Sequence[str] = PARITIES


@dataclass(frozen=True)
class ModbusPlace:
    """Where a device answered."""

    baud: int
    parity: str
    wire: str
    unit: int


@dataclass
class ModbusHeard:
    """What asking gave. `rounds`: the words that each register held, oldest first."""

    place: ModbusPlace
    units: list[int]
    rounds: dict[Place, list[int]]
    chosen: list[RegisterGuess] = field(default_factory=list)
    others: list[RegisterGuess] = field(default_factory=list)
    answers: list[tuple[str, bytes, dict[str, float]]] = field(default_factory=list)


def find_modbus(
    url: str,
    *,
    now: Callable[[], float],
    wait: Callable[[float], None],
    bounds: ModbusBounds | None = None,
    seconds: float = 5.0,
    open_port: OpenPort = open_transport,
    tell: Callable[[str], None] = lambda text: None,
) -> ModbusHeard:
    """Ask every unit at every rate until one answers, then read what it has for some seconds.

    Raises
    ------
    ListenError
        Where no unit answered, or the one that did has no register that can be read.
    PortError
        Where the port cannot be opened.
    """
    bounds = bounds or ModbusBounds()
    place, units, line = _find_place(url, bounds, now, open_port, tell)
    try:
        asked = AskedLine(line, now)
        readable = {name: _readable(asked, place, name, bounds.registers, tell) for name in TABLES}
        readable = {name: runs for name, runs in readable.items() if runs}
        if not readable:
            raise ListenError(
                f"unit {place.unit} answers, but refuses registers {bounds.registers[0]} to {bounds.registers[-1]} of "
                "both tables; expected some that can be read; give those of its manual with --registers FIRST-LAST"
            )
        heard = ModbusHeard(place, units, {})
        tell(f"reading {sum(len(run) for runs in readable.values() for run in runs)} registers for {seconds:g} s")
        for turn in range(ROUNDS):
            if turn:
                wait(seconds / ROUNDS)
            _read_round(asked, place, readable, heard.rounds)
        heard.rounds = {at: words for at, words in heard.rounds.items() if len(words) == ROUNDS}
        heard.chosen, heard.others = guess_registers(heard.rounds)
        if heard.chosen:
            heard.answers = _answers(asked, heard)
        return heard
    finally:
        line.close()


def _find_place(
    url: str, bounds: ModbusBounds, now: Callable[[], float], open_port: OpenPort, tell: Callable[[str], None]
) -> tuple[ModbusPlace, list[int], Transport]:
    """Where somebody answers, and the line that is open there: a board may take another opening as a reset."""
    refused: PortMissingError | None = None
    opened = 0
    # Most devices are left at unit 1: first that one at every rate, then the others.
    for units in (bounds.units[:1], bounds.units[1:]):
        for baud, parity in _lines(url, bounds) if units else ():
            span = f"unit {units[0]}" + (f" to {units[-1]}" if len(units) > 1 else "")
            tell(f"asking {span} at {baud} baud, parity {parity}")
            try:
                line = open_port(url, asking_profile(baud, parity))
            except PortMissingError as error:
                refused = error  # a port may not know this rate or parity
                continue
            opened += 1
            found = None
            try:
                found = _who_answers(AskedLine(line, now), units, ("tcp", "rtu") if "socket" in url else ("rtu",))
            finally:
                if found is None:
                    line.close()
            if found is not None:
                wire, answering = found
                return ModbusPlace(baud, parity, wire, answering[0]), answering, line
    if refused is not None and not opened:
        raise refused
    raise ListenError(
        f"nobody at {url!r} answered a Modbus request to unit {_spelled(bounds.units)} at "
        f"{', '.join(map(str, bounds.bauds))} baud; expected an answer or a refusal; check power, the two data wires "
        "(exchanged they stay silent) and the unit in the device's menu, then try --units or --baud"
    )


def _lines(url: str, bounds: ModbusBounds) -> Iterator[tuple[int, str]]:
    # A socket has no rate of its own.
    return (
        itertools.product(bounds.bauds[:1], ("none",))
        if "://" in url
        else itertools.product(bounds.bauds, bounds.parities)
    )


def _who_answers(asked: AskedLine, units: Sequence[int], wires: Sequence[str]) -> tuple[str, list[int]] | None:
    for wire in wires:
        answering = []
        for unit in units:
            words = read_words(asked, unit, wire, "holding", 0, 1, TRY_TIMEOUT)
            if words.words is not None or words.refusal is not None:
                answering.append(unit)
        if answering:
            return wire, answering
    return None


def _readable(
    asked: AskedLine, place: ModbusPlace, name: str, registers: range, tell: Callable[[str], None]
) -> list[range]:
    """Runs of registers of a table that the device lets read, none longer than a block."""
    tell(f"looking for {name} registers {registers[0]} to {registers[-1]} of unit {place.unit}")
    runs: list[range] = []
    waiting = [registers[n : n + BLOCK] for n in range(0, len(registers), BLOCK)]
    while waiting:
        block = waiting.pop(0)
        got = read_words(asked, place.unit, place.wire, name, block[0], len(block), READ_TIMEOUT)
        if got.words is not None:
            if runs and runs[-1].stop == block.start and len(runs[-1]) + len(block) <= BLOCK:
                runs[-1] = range(runs[-1].start, block.stop)
            else:
                runs.append(block)
        elif got.refusal == ILLEGAL_FUNCTION:
            return []
        elif len(block) > 1:
            half = len(block) // 2
            waiting[:0] = [block[:half], block[half:]]
    return runs


def _read_round(
    asked: AskedLine, place: ModbusPlace, readable: Mapping[str, list[range]], rounds: dict[Place, list[int]]
) -> None:
    for name, runs in readable.items():
        for run in runs:
            got = read_words(asked, place.unit, place.wire, name, run[0], len(run), READ_TIMEOUT)
            for address, word in zip(run, got.words or [], strict=False):
                rounds.setdefault((name, address), []).append(word)


def _answers(asked: AskedLine, heard: ModbusHeard) -> list[tuple[str, bytes, dict[str, float]]]:
    """The device's own answers to the questions of the profile: its samples."""
    spec = ModbusRegisters.model_validate(_decoding(heard) | {"register_map": tuple(_registers(heard))})
    dialogue = ModbusDialogue(spec)
    answers = []
    for question in dialogue.cycle():
        answer = asked.ask(dialogue, question)
        if answer.values:
            values = {str(name): number for name, number in answer.values.items()}
            answers.append((dialogue.name(question), asked.heard, values))
    return answers


def _registers(heard: ModbusHeard) -> list[object]:
    registers: list[object] = []
    for one in heard.chosen:
        register: dict[str, object] = {"name": _name(one), "address": one.address, "table": one.table, "type": one.type}
        if REGISTER_COUNT[one.type] == 2:
            register["order"] = one.order
        registers.append(register)
    return registers


def _decoding(heard: ModbusHeard) -> dict[str, object]:
    return {
        "kind": "modbus",
        "unit": heard.place.unit,
        "wire": heard.place.wire,
        "timeout": READ_TIMEOUT,
        "register_map": _registers(heard),
    }


def _name(guess: RegisterGuess) -> str:
    return "T" if guess.role == "temperature" else "p"


def propose_modbus_profile(heard: ModbusHeard, name: str) -> str:
    """A device profile in TOML for the registers that were found, with the device's own answers as samples.

    Raises
    ------
    ListenError
        Where no register looks like a temperature or a pressure of a room.
    """
    if not heard.chosen:
        raise ListenError(
            f"none of the {len(heard.rounds)} registers that can be read looks like a temperature or a pressure; "
            "expected one with the room's value; let the device show it, try other --registers, or take the registers "
            "from its manual and copy the profile modbus-registers"
        )
    place = heard.place
    parts = [
        HEADER,
        f"name = {toml(name)}",
        f"title = {toml(f'Found by asking: Modbus unit {place.unit}')}",
        'source = "asking for registers"',
        "rate = 1.0",
        f"\n[line]\nbaud = {place.baud}\nparity = {toml(place.parity)}",
        f"\n[decoding]\n{table(_decoding(heard))}",
    ]
    parts += [channel_text(one.role, _name(one), one.unit, one.reason, one.scale) for one in heard.chosen]
    by_name = {_name(one): one for one in heard.chosen}
    for topic, data, values in heard.answers:
        readings = ", ".join(
            f'{by_name[key].role} = "{by_name[key].scale * number:.9g} {by_name[key].unit}"'
            for key, number in values.items()
        )
        parts.append(f"\n[[sample]]\nask = {toml(topic)}\nhex = {toml(data.hex(' '))}\nreadings = {{ {readings} }}")
    return proved("\n".join(parts) + "\n")


def _spelled(units: Sequence[int]) -> str:
    return f"{units[0]} to {units[-1]}" if len(units) > 1 else str(units[0])


def spelled_place(heard: ModbusHeard) -> str:
    """Where the device is, for people."""
    place = heard.place
    return f"unit {place.unit} answers at {place.baud} baud, parity {place.parity} (Modbus {place.wire.upper()})"
