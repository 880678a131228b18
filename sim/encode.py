"""What a simulated device sends under a device profile: the driver layer's wire forms, written from their descriptions.

Devices that talk by themselves are here; those that answer questions are in `answers`.
"""

from __future__ import annotations

import json
import math
import struct
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from sim.raw_numbers import NotSpeakableError, raw_number
from sim.wire_checks import CHECKS, cobs, xor

if TYPE_CHECKING:
    from drivers.profile import DeviceProfile

_TICKS = {"s": 1.0, "ms": 1e3, "us": 1e6}
_CODES = {"u8": "B", "i8": "b", "u16": "H", "i16": "h", "u32": "I", "i32": "i", "u64": "Q", "i64": "q", "f32": "f",
          "f64": "d"}  # fmt: skip


@dataclass
class Moment:
    """One sample inside the device: its clock, values in SI by channel, and how it is set (wrongly).

    `units` overrides the unit of a channel; `swapped` exchanges the numbers of temperature and pressure.
    """

    running: float
    values: Mapping[str, float]
    units: Mapping[str, str] = field(default_factory=dict)
    swapped: bool = False
    count: int = 0


def numbers(profile: DeviceProfile, moment: Moment) -> dict[int | str, float]:
    """The number of every field that stands for a channel or a cold junction."""
    room = moment.values.get("room_temperature", 294.65)
    air = moment.values.get("barometer", 101325.0)
    by_channel, fields = {}, {}
    for channel in profile.channel:
        value = moment.values[channel.channel]
        unit = moment.units.get(channel.channel, "")
        by_channel[channel.channel] = raw_number(channel, value, unit=unit, air=air, junction=room)
        junction = getattr(channel.conversion, "junction_field", None)
        if junction is not None:
            fields[junction] = room - 273.15
    if moment.swapped and {"temperature", "pressure"} <= by_channel.keys():
        by_channel["temperature"], by_channel["pressure"] = by_channel["pressure"], by_channel["temperature"]
    fields.update({channel.field: by_channel[channel.channel] for channel in profile.channel})
    return fields


def clock_ticks(profile: DeviceProfile, running: float) -> int:
    """What the device's counter shows after so many seconds."""
    clock = profile.clock
    # A hair is added so that 0.1 s times a whole number does not fall below the tick it means.
    ticks = math.floor(running * _TICKS[clock.unit] + 1e-6)
    return ticks % (1 << clock.bits) if clock.bits else ticks


class Talker:
    """A device that sends one frame per sample.

    Parameters
    ----------
    profile
        A profile whose device is not asked.

    Raises
    ------
    NotSpeakableError
        The profile's device answers questions only, or its form is not known here.
    """

    def __init__(self, profile: DeviceProfile) -> None:
        self.profile = profile
        kind = profile.decoding.kind
        makers = {
            "delimited": self._delimited,
            "named": self._named,
            "sentence": self._sentence,
            "json": self._json,
            "packed": self._packed,
        }
        if kind not in makers:
            raise NotSpeakableError(
                f"found a profile that decodes {kind!r}; expected one of {', '.join(makers)} for a device that "
                "talks by itself"
            )
        self._make = makers[kind]
        self._spec: Any = profile.decoding
        banner = getattr(self._spec, "banner", "")
        self.banner = f"{banner}, firmware 1".encode() + self._end() if banner else b""

    def frame(self, moment: Moment) -> bytes:
        """The bytes of one sample."""
        fields = numbers(self.profile, moment)
        clock = self.profile.clock
        if clock.kind == "device" and clock.field is not None:
            fields = {clock.field: clock_ticks(self.profile, moment.running), **fields}
        return self._make(fields, moment)

    def _end(self) -> bytes:
        end = getattr(self.profile.framing, "end", "any")
        return b"\r\n" if end == "any" else end.encode()

    def _text(self, number: float) -> str:
        if isinstance(number, int):
            return str(number)
        if not math.isfinite(number):
            words = getattr(self._spec, "no_value", ())
            return words[0] if words else "nan"
        return f"{number:.3f}".replace(".", getattr(self._spec, "decimal", "."))

    def _sum(self, body: bytes) -> bytes:
        kind = getattr(self._spec, "checksum", "none")
        if kind == "none":
            return body
        if kind == "xor":
            return body + b"*%02X" % xor(body)
        return body + b"*%04X" % CHECKS["crc16-ccitt"][1](body)

    def _columns(self, fields: Mapping[int | str, float]) -> list[str]:
        used = [int(name) for name in fields]
        columns = getattr(self._spec, "columns", None) or max(used)
        return [self._text(fields.get(column, 0)) for column in range(1, columns + 1)]

    def _delimited(self, fields: Mapping[int | str, float], moment: Moment) -> bytes:
        separator = "  " if self._spec.separator == "space" else self._spec.separator
        return self._sum(separator.join(self._columns(fields)).encode()) + self._end()

    def _sentence(self, fields: Mapping[int | str, float], moment: Moment) -> bytes:
        body = ",".join([self._spec.address, *self._columns(fields)]).encode()
        return b"$%b*%02X" % (body, xor(body)) + self._end()

    def _named(self, fields: Mapping[int | str, float], moment: Moment) -> bytes:
        body = " ".join(f"{name}={self._text(number)}" for name, number in fields.items())
        return self._sum(body.encode()) + self._end()

    def _json(self, fields: Mapping[int | str, float], moment: Moment) -> bytes:
        whole: dict[str, Any] = {}
        for name, number in fields.items():
            place = whole
            *path, last = str(name).split(".")
            for key in path:
                place = place.setdefault(key, {})
            place[last] = number if isinstance(number, int) else round(number, 4) if math.isfinite(number) else None
        return json.dumps(whole, separators=(", ", ": ")).encode() + self._end()

    def _packed(self, fields: Mapping[int | str, float], moment: Moment) -> bytes:
        order = "<" if self._spec.order == "little" else ">"
        payload = b""
        for item in self._spec.fields:
            if item.type == "skip":
                payload += bytes(item.count)
                continue
            number = fields.get(item.name, moment.count)
            payload += struct.pack(order + _CODES[item.type], as_type(number, item.type))
        return self._framed(payload)

    def _framed(self, payload: bytes) -> bytes:
        framing: Any = self.profile.framing
        size, check = CHECKS[framing.crc]
        if framing.kind == "cobs":
            return cobs(payload + check(payload).to_bytes(size, framing.crc_order)) + b"\0"
        sync = bytes.fromhex(framing.sync)
        body = bytes([len(payload)]) + payload if framing.payload == "byte" else payload
        covered = sync + body if framing.crc_from_sync else body
        return sync + body + check(covered).to_bytes(size, framing.crc_order)


def as_type(number: float, kind: str) -> float | int:
    """A number as it fits a field: whole and within its range, or a float."""
    if kind in ("f32", "f64"):
        return float(number)
    bits = int(kind[1:])
    if isinstance(number, int) and kind[0] == "u":
        return number % (1 << bits)
    low, high = (0, (1 << bits) - 1) if kind[0] == "u" else (-(1 << (bits - 1)), (1 << (bits - 1)) - 1)
    return min(max(round(number), low), high) if math.isfinite(number) else high
