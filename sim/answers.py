"""A simulated device that only answers: text questions (IEEE 488.2, SCPI) and Modbus registers (RTU and TCP)."""

from __future__ import annotations

import math
import struct
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from sim.encode import Moment, as_type, numbers
from sim.raw_numbers import NotSpeakableError
from sim.wire_checks import CHECKS

if TYPE_CHECKING:
    from drivers.profile import DeviceProfile

LONGEST_QUESTION = 512  # bytes kept of a question that does not end
_REGISTERS = {"u16": 1, "i16": 1, "u32": 2, "i32": 2, "f32": 2}
_CODES = {"u16": ">H", "i16": ">h", "u32": ">I", "i32": ">i", "f32": ">f"}
_MOST_REGISTERS = 125  # Modbus application protocol V1.1b3, 6.3 and 6.4
_ILLEGAL_FUNCTION, _ILLEGAL_ADDRESS, _ILLEGAL_VALUE = 1, 2, 3  # the same, section 7


class TextAnswerer:
    """Answers the questions of a profile with decoding kind "asked"."""

    def __init__(self, profile: DeviceProfile) -> None:
        self._profile: Any = profile
        self._spec: Any = profile.decoding
        self._heard = bytearray()
        self._errors: list[str] = []
        expected = profile.identity.idn
        self.identity = expected or "satline,simulated bench,0,1"

    def reset(self) -> None:
        """As after power-on."""
        self._heard.clear()
        self._errors.clear()

    def answer(self, data: bytes, moment: Moment) -> bytes:
        """Take bytes from the line; returns what the device says to them."""
        self._heard += data
        said = []
        while (end := self._heard.find(b"\n")) >= 0:
            question = bytes(self._heard[:end]).decode("ascii", "replace").strip()
            del self._heard[: end + 1]
            if question:
                said.append(self._one(question, moment))
        del self._heard[:-LONGEST_QUESTION]
        return b"".join(said)

    def _one(self, question: str, moment: Moment) -> bytes:
        end = self._spec.end.encode()
        upper = question.upper()
        if upper == "*IDN?":
            return self.identity.encode() + end if self._spec.identify else b""
        if upper == "*CLS":
            self._errors.clear()
            return b""
        if self._spec.errors and upper == self._spec.errors.upper():
            return (self._errors.pop(0) if self._errors else '0,"No error"').encode() + end
        for asked in self._spec.ask:
            if upper == asked.text.upper():
                fields = numbers(self._profile, moment)
                return ",".join(_scientific(fields.get(name, moment.count)) for name in asked.fields).encode() + end
        if upper not in (text.upper() for text in self._spec.begin):
            self._errors.append('-113,"Undefined header"')  # SCPI 1999 volume 2, 21.8.9
            self._errors = self._errors[-10:]
        return b""


def _scientific(number: float) -> str:
    # SCPI 1999 volume 1, 7.2.1.5: a device without a number says 9.91E37.
    return f"{number:+.6E}" if math.isfinite(number) else "9.91E37"


class ModbusAnswerer:
    """Answers reads of the registers of a profile with decoding kind "modbus"."""

    def __init__(self, profile: DeviceProfile) -> None:
        self._profile: Any = profile
        self._spec: Any = profile.decoding
        self._heard = bytearray()

    def reset(self) -> None:
        """As after power-on."""
        self._heard.clear()

    def answer(self, data: bytes, moment: Moment) -> bytes:
        """Take bytes from the line; returns what the device says to them."""
        self._heard += data
        said = b""
        while True:
            taken = self._take_tcp() if self._spec.wire == "tcp" else self._take_rtu()
            if taken is None:
                return said
            head, unit, request = taken
            if unit != self._spec.unit:
                continue
            reply = bytes([unit]) + self._reply(request, moment)
            if self._spec.wire == "tcp":
                said += head + struct.pack(">HH", 0, len(reply)) + reply
            else:
                said += reply + CHECKS["crc16-modbus"][1](reply).to_bytes(2, "little")

    def _take_rtu(self) -> tuple[bytes, int, bytes] | None:
        # Requests to read have eight bytes. What does not fit is skipped byte by byte until something does.
        while len(self._heard) >= 8:
            frame = bytes(self._heard[:8])
            if CHECKS["crc16-modbus"][1](frame[:6]).to_bytes(2, "little") == frame[6:]:
                del self._heard[:8]
                return b"", frame[0], frame[1:6]
            del self._heard[0]
        return None

    def _take_tcp(self) -> tuple[bytes, int, bytes] | None:
        if len(self._heard) < 7:
            return None
        transaction, protocol, length = bytes(self._heard[:2]), *struct.unpack(">HH", self._heard[2:6])
        if protocol != 0 or not 2 <= length <= 254:
            self._heard.clear()
            return None
        if len(self._heard) < 6 + length:
            return None
        frame = bytes(self._heard[6 : 6 + length])
        del self._heard[: 6 + length]
        return transaction, frame[0], frame[1:]

    def _reply(self, request: bytes, moment: Moment) -> bytes:
        function = request[0]
        if function not in (3, 4):
            return bytes([function | 0x80, _ILLEGAL_FUNCTION])
        if len(request) != 5:
            return bytes([function | 0x80, _ILLEGAL_VALUE])
        first, count = struct.unpack(">HH", request[1:5])
        if not 1 <= count <= _MOST_REGISTERS:
            return bytes([function | 0x80, _ILLEGAL_VALUE])
        words = self._words("holding" if function == 3 else "input", moment)
        wanted = range(first, first + count)
        if any(address not in words for address in wanted):
            return bytes([function | 0x80, _ILLEGAL_ADDRESS])
        return bytes([function, 2 * count]) + b"".join(words[address] for address in wanted)

    def _words(self, table: str, moment: Moment) -> Mapping[int, bytes]:
        fields = numbers(self._profile, moment)
        words: dict[int, bytes] = {}
        for register in self._spec.register_map:
            if register.table != table:
                continue
            number = as_type(fields.get(register.name, moment.count), register.type)
            data = struct.pack(_CODES[register.type], number)
            if register.order in ("BADC", "DCBA"):
                data = b"".join(data[n : n + 2][::-1] for n in range(0, len(data), 2))
            if register.order in ("CDAB", "DCBA"):
                data = data[2:] + data[:2] if len(data) == 4 else data
            for offset in range(_REGISTERS[register.type]):
                words[register.address + offset] = data[2 * offset : 2 * offset + 2]
        return words


def make_answerer(profile: DeviceProfile) -> TextAnswerer | ModbusAnswerer:
    """The device of a profile that is asked.

    Raises
    ------
    NotSpeakableError
        For a way of asking that is not known here.
    """
    kind = profile.decoding.kind
    if kind == "asked":
        return TextAnswerer(profile)
    if kind == "modbus":
        return ModbusAnswerer(profile)
    raise NotSpeakableError(f"found a profile that decodes {kind!r}; expected 'asked' or 'modbus'")
