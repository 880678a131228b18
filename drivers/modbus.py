"""Talking with a Modbus device. Frames and messages by pymodbus, which is loaded only when such a device is used."""

from __future__ import annotations

import struct
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from drivers.errors import DriverError
from drivers.frames import Spoilt
from drivers.polling import Answer, Question
from drivers.wire_spec import ModbusRegisters, Register

if TYPE_CHECKING:
    from pymodbus.framer.base import FramerBase

REGISTER_COUNT = {"u16": 1, "i16": 1, "u32": 2, "i32": 2, "f32": 2}
_FORMATS = {"u16": ">H", "i16": ">h", "u32": ">I", "i32": ">i", "f32": ">f"}
LONGEST_REQUEST = 125  # registers; Modbus application protocol V1.1b3, 6.3

#: Modbus application protocol V1.1b3, section 7.
EXCEPTIONS = {
    1: "illegal function",
    2: "illegal data address",
    3: "illegal data value",
    4: "server device failure",
    5: "acknowledge",
    6: "server device busy",
    8: "memory parity error",
    10: "gateway path unavailable",
    11: "gateway target device failed to respond",
}


class ModbusMissingError(DriverError):
    """The package for Modbus is not installed, or too old."""

    def __init__(self, found: str) -> None:
        super().__init__(
            f"this profile speaks Modbus, but the package pymodbus is {found}; expected version 3.10 or later; "
            "run  pip install --upgrade 'satline[modbus]'"
        )


@dataclass(frozen=True, slots=True)
class Refused(Spoilt):
    """The device answered that it will not; `code` is that of its exception."""

    code: int


def registers_to_number(words: list[int], kind: str, order: str) -> float:
    """The number that registers hold.

    Parameters
    ----------
    words
        One or two registers as transmitted, 0 to 65535.
    kind
        u16, i16, u32, i32 or f32.
    order
        How the four bytes of a 32-bit number were sent: "ABCD" (most significant first), "CDAB", "BADC" or "DCBA".
        The standard does not say.
    """
    data = struct.pack(f">{len(words)}H", *words)
    if order in ("BADC", "DCBA"):
        data = b"".join(data[n + 1 : n + 2] + data[n : n + 1] for n in range(0, len(data), 2))
    if order in ("CDAB", "DCBA") and len(data) == 4:
        data = data[2:] + data[:2]
    return float(struct.unpack(_FORMATS[kind], data)[0])


class ModbusDialogue:
    """Reads the registers of a profile, neighbours in one request."""

    def __init__(self, spec: ModbusRegisters) -> None:
        self.timeout = spec.timeout
        self._spec = spec
        self._framer = _framer(spec.wire)
        self._transaction = 0

    def opening(self) -> list[Question]:
        """Nothing: the protocol has no opening."""
        return []

    def cycle(self) -> list[Question]:
        """One request for each run of neighbouring registers."""
        return [self._request(group) for group in grouped(self._spec.register_map)]

    def _request(self, group: list[Register]) -> Question:
        from pymodbus.pdu import register_message as messages

        self._transaction = self._transaction % 0xFFFF + 1
        kind = messages.ReadInputRegistersRequest if group[0].table == "input" else messages.ReadHoldingRegistersRequest
        first = group[0].address
        count = group[-1].address + REGISTER_COUNT[group[-1].type] - first
        message = kind(address=first, count=count, dev_id=self._spec.unit, transaction_id=self._transaction)
        return Question(self._framer.buildFrame(message), (self._transaction, group))

    def name(self, question: Question) -> str:
        """The name of its first register."""
        return _topic(question)[1][0].name

    def take(self, buffer: bytearray, question: Question) -> Answer | None:
        """A whole message with the right unit, function and length; an exception is told as what it is."""
        from pymodbus.exceptions import ModbusException

        transaction, group = _topic(question)
        try:
            used, message = self._framer.handleFrame(bytes(buffer), self._spec.unit, transaction)
        except (ModbusException, struct.error, IndexError):
            spoilt = Spoilt(bytes(buffer[:64]), "an answer that is no Modbus message")
            buffer.clear()
            return Answer(spoilt=spoilt)
        taken = bytes(buffer[:used])
        del buffer[:used]
        if message is None:
            # A wrong checksum uses bytes up; an unfinished frame does not.
            return Answer(spoilt=Spoilt(taken[:64], "wrong checksum or another unit's answer")) if used else None
        return self._numbers(message, group, taken)

    def _numbers(self, message: Any, group: list[Register], taken: bytes) -> Answer:
        if message.isError():
            code = getattr(message, "exception_code", 0)
            text = EXCEPTIONS.get(code, "unknown")
            reason = f"the device refuses (exception {code}, {text}) registers from {group[0].address}"
            return Answer(spoilt=Refused(taken[:64], reason, code))
        words = list(message.registers)
        first = group[0].address
        wanted = group[-1].address + REGISTER_COUNT[group[-1].type] - first
        if len(words) != wanted:
            return Answer(spoilt=Spoilt(taken[:64], f"{len(words)} registers where {wanted} were asked for"))
        values: dict[int | str, float] = {}
        for register in group:
            at = register.address - first
            own = words[at : at + REGISTER_COUNT[register.type]]
            values[register.name] = registers_to_number(own, register.type, register.order)
        return Answer(values)

    def unanswered(self, buffer: bytearray, question: Question) -> Answer:
        """The time for an answer is over: silence, or bytes that never became a message."""
        if buffer:
            return Answer(spoilt=Spoilt(bytes(buffer[:64]), "bytes that are no whole Modbus message"))
        return Answer(spoilt=Spoilt(b"", f"no answer from unit {self._spec.unit}"))


def grouped(registers: tuple[Register, ...]) -> list[list[Register]]:
    """Registers that one request can read: same table, next to each other. Never reads one that was not named."""
    groups: list[list[Register]] = []
    for register in sorted(registers, key=lambda one: (one.table, one.address)):
        if groups:
            last = groups[-1][-1]
            span = register.address + REGISTER_COUNT[register.type] - groups[-1][0].address
            adjoins = register.address == last.address + REGISTER_COUNT[last.type]
            if last.table == register.table and adjoins and span <= LONGEST_REQUEST:
                groups[-1].append(register)
                continue
        groups.append([register])
    return groups


def _topic(question: Question) -> tuple[int, list[Register]]:
    topic = question.topic
    if not isinstance(topic, tuple):
        raise ValueError(f"no question of ours: {topic!r}")
    return topic


def _framer(wire: str) -> FramerBase:
    try:
        from pymodbus.framer import FramerRTU, FramerSocket
        from pymodbus.pdu import DecodePDU
    except ImportError as error:
        raise ModbusMissingError("not installed") from error
    if not hasattr(FramerRTU, "handleFrame"):
        raise ModbusMissingError("too old")
    return (FramerSocket if wire == "tcp" else FramerRTU)(DecodePDU(False))
