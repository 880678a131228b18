"""What a profile may say about frames and fields on the wire."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar, Literal, Self

from pydantic import Field, model_validator

from drivers.tomlfile import Record

#: Longest line by default: a line of readings has some 30 bytes, a banner some 80; the rest is room.
LINE_LIMIT = 512


class TextLines(Record):
    """Frames that end with a line end. "any" takes LF, CR and CRLF, also mixed."""

    kind: Literal["lines"]
    end: str = Field(default="any", min_length=1, max_length=8)
    longest: int = Field(default=LINE_LIMIT, ge=8, le=65536)


Crc = Literal["none", "crc16-ccitt", "crc16-modbus", "crc32", "sum8", "xor8"]


class CobsFrames(Record):
    """Frames by consistent overhead byte stuffing, ended by a zero byte (Cheshire and Baker, 1999)."""

    kind: Literal["cobs"]
    longest: int = Field(default=LINE_LIMIT, ge=8, le=65536)
    #: Checksum at the end of the frame, over all before it.
    crc: Crc = "none"
    crc_order: Literal["big", "little"] = "little"


class BinaryFrames(Record):
    """Frames that begin with fixed bytes and have a known length.

    Layout: sync, [length byte], payload, [checksum]. The length byte counts the payload.
    """

    kind: Literal["binary"]
    #: The first bytes of each frame, in hex.
    sync: str = Field(pattern=r"^([0-9a-fA-F]{2}){1,8}$")
    #: Bytes of payload; "byte": the byte after the sync tells.
    payload: int | Literal["byte"] = Field()
    crc: Crc = "none"
    crc_order: Literal["big", "little"] = "little"
    #: Whether the checksum covers the sync bytes too (it always covers the length byte).
    crc_from_sync: bool = False

    @model_validator(mode="after")
    def _has_room(self) -> Self:
        if self.payload != "byte" and not 1 <= self.payload <= 1024:
            raise ValueError('expected payload of 1 to 1024 bytes, or "byte"')
        return self


Framing = TextLines | CobsFrames | BinaryFrames


class _Fields(Record):
    asks: ClassVar[bool] = False
    framings: ClassVar[tuple[str, ...]] = ("lines",)

    def check_framing(self, framing: Framing) -> None:
        """Raise ValueError where these fields cannot stand in such frames."""
        if framing.kind not in self.framings:
            raise ValueError(f"expected framing kind {' or '.join(self.framings)} for this decoding")

    def check_fields(self, fields: Sequence[int | str], clock: int | str | None) -> None:
        """Raise ValueError where a field's name cannot be one of this decoding."""
        raise NotImplementedError


def _expect_numbers(fields: Sequence[int | str | None]) -> None:
    for field in fields:
        if field is not None and (isinstance(field, str) or field < 1):
            raise ValueError(f"expected fields counted from 1, not {field!r}")


def _expect_names(fields: Sequence[int | str | None]) -> None:
    for field in fields:
        if field is not None and (isinstance(field, int) or not field):
            raise ValueError(f"expected fields by name in quotes, not {field!r}")


def _expect_known(fields: Sequence[int | str | None], names: Sequence[str]) -> None:
    if len(set(names)) < len(names):
        raise ValueError("expected each field name once")
    for field in fields:
        if field is not None and field not in names:
            raise ValueError(f"expected one of the fields {', '.join(names)}, not {field!r}")


class _TextFields(_Fields):
    decimal: Literal[".", ","] = "."
    #: Lines that begin so are skipped without counting as spoilt.
    ignore: tuple[str, ...] = ("#",)
    #: A line that begins so is sent when the device starts.
    banner: str = ""
    #: Texts in place of a number by which the device says that it has none.
    no_value: tuple[str, ...] = ("nan", "NaN", "NAN", "inf", "-inf", "OL", "OVLD", "---", "ERR", "null")
    #: After the last field, `*` and this checksum of all before it as upper-case hex digits.
    checksum: Literal["none", "xor", "crc16"] = "none"


class Delimited(_TextFields):
    """Numbers in fixed columns, counted from 1: `21.84,101.32`."""

    kind: Literal["delimited"]
    #: "space": any run of spaces and tabs.
    separator: Literal[",", ";", "\t", "|", "space"] = ","
    #: How many columns a whole line has; by default as many as are used.
    columns: int | None = Field(default=None, ge=1, le=256)

    def check_fields(self, fields: Sequence[int | str], clock: int | str | None) -> None:
        """Columns are numbers within the stated count."""
        _expect_numbers([*fields, clock])
        highest = max(int(one) for one in (*fields, clock) if one is not None)
        if self.columns is not None and highest > self.columns:
            raise ValueError(f"expected fields up to column {self.columns}, not {highest}")
        if self.decimal == "," and self.separator == ",":
            raise ValueError("expected another separator than the decimal comma")


class Named(_TextFields):
    """Numbers with names: `T=21.84 p=101.32`, also with `:` and separated by spaces, commas or semicolons."""

    kind: Literal["named"]
    #: Whether a line may leave fields out.
    partial: bool = False
    #: Unit letters that may follow a number directly, for example ["C", "kPa"].
    suffixes: tuple[str, ...] = ()

    def check_fields(self, fields: Sequence[int | str], clock: int | str | None) -> None:
        """Fields are names."""
        _expect_names([*fields, clock])


class Sentence(_TextFields):
    """`$ADDRESS,field,field*HH` with the XOR of all between `$` and `*`, as NMEA 0183 frames it.

    Fields are counted from 1 after the address. Sentences of other addresses are skipped.
    """

    kind: Literal["sentence"]
    address: str = Field(pattern=r"^[A-Z0-9]{1,16}$")
    checksum: Literal["xor"] = "xor"
    columns: int | None = Field(default=None, ge=1, le=256)

    def check_fields(self, fields: Sequence[int | str], clock: int | str | None) -> None:
        """Fields are numbers."""
        _expect_numbers([*fields, clock])


class JsonLines(_Fields):
    """One JSON object per line. Fields are keys; `a.b` is key b of the object at key a."""

    kind: Literal["json"]
    #: Whether an object may leave fields out.
    partial: bool = False

    def check_fields(self, fields: Sequence[int | str], clock: int | str | None) -> None:
        """Fields are names."""
        _expect_names([*fields, clock])


class PackedField(Record):
    """One item of a packed frame. "skip" leaves out `count` bytes."""

    name: str = ""
    type: Literal["u8", "i8", "u16", "i16", "u32", "i32", "u64", "i64", "f32", "f64", "skip"]
    count: int = Field(default=1, ge=1, le=256)

    @model_validator(mode="after")
    def _is_named(self) -> Self:
        if (self.type == "skip") == bool(self.name):
            raise ValueError('expected a name for every field but "skip"')
        if self.type != "skip" and self.count != 1:
            raise ValueError("expected 'count' with type \"skip\" only")
        return self


#: Bytes of each type of a packed field.
PACKED_SIZE = {"u8": 1, "i8": 1, "u16": 2, "i16": 2, "u32": 4, "i32": 4, "u64": 8, "i64": 8, "f32": 4, "f64": 8}


class Packed(_Fields):
    """Numbers at fixed places of a binary frame, without padding."""

    framings: ClassVar[tuple[str, ...]] = ("binary", "cobs")

    kind: Literal["packed"]
    order: Literal["little", "big"] = "little"
    fields: tuple[PackedField, ...] = Field(min_length=1, max_length=64)

    @property
    def size(self) -> int:
        """Bytes of one frame."""
        return sum(one.count * PACKED_SIZE.get(one.type, 1) for one in self.fields)

    def check_fields(self, fields: Sequence[int | str], clock: int | str | None) -> None:
        """Fields are names of the layout."""
        _expect_names([*fields, clock])
        _expect_known([*fields, clock], [one.name for one in self.fields if one.name])

    def check_framing(self, framing: Framing) -> None:
        """The layout has the length of the payload."""
        super().check_framing(framing)
        if isinstance(framing, BinaryFrames) and framing.payload not in ("byte", self.size):
            raise ValueError(f"expected payload = {self.size}, the bytes of the layout, not {framing.payload}")


class TextQuestion(Record):
    """One question and the names of the numbers in its answer."""

    text: str = Field(min_length=1, max_length=256)
    fields: tuple[str, ...] = Field(min_length=1, max_length=32)


class Asked(_Fields):
    """A device that answers text questions (IEEE 488.2, SCPI). The profile's `rate` is the rate of asking."""

    asks: ClassVar[bool] = True

    kind: Literal["asked"]
    ask: tuple[TextQuestion, ...] = Field(min_length=1, max_length=16)
    #: Sent after opening, not answered.
    begin: tuple[str, ...] = ("*CLS",)
    #: Whether it answers `*IDN?`.
    identify: bool = True
    #: Question for its error queue after an answer that is none; empty: it has no queue.
    errors: str = "SYST:ERR?"
    end: str = Field(default="\n", min_length=1, max_length=4)
    timeout: float = Field(default=1.0, gt=0, le=30)  # [s]
    longest: int = Field(default=LINE_LIMIT, ge=16, le=65536)
    no_value: tuple[str, ...] = ("nan", "NaN", "NAN", "INF", "-INF", "NINF")

    def check_fields(self, fields: Sequence[int | str], clock: int | str | None) -> None:
        """Fields are names of answers; the device's clock cannot be asked for."""
        _expect_names(fields)
        if clock is not None:
            raise ValueError("expected no device clock for a device that is asked")
        _expect_known(fields, [name for one in self.ask for name in one.fields])


class Register(Record):
    """One number of a Modbus device. `address` counts from 0: manuals' 40001 is holding 0, 30001 is input 0."""

    name: str = Field(min_length=1)
    address: int = Field(ge=0, le=0xFFFF)
    table: Literal["holding", "input"] = "holding"
    type: Literal["u16", "i16", "u32", "i32", "f32"] = "u16"
    order: Literal["ABCD", "CDAB", "BADC", "DCBA"] = "ABCD"


class ModbusRegisters(_Fields):
    """A Modbus device, RTU on a line or TCP. The profile's `rate` is the rate of asking."""

    asks: ClassVar[bool] = True

    kind: Literal["modbus"]
    unit: int = Field(default=1, ge=0, le=255)
    wire: Literal["rtu", "tcp"] = "rtu"
    timeout: float = Field(default=0.5, gt=0, le=30)  # [s]
    register_map: tuple[Register, ...] = Field(min_length=1, max_length=64)

    def check_fields(self, fields: Sequence[int | str], clock: int | str | None) -> None:
        """Fields are names of registers; the device's clock cannot be asked for."""
        _expect_names(fields)
        if clock is not None:
            raise ValueError("expected no device clock for a device that is asked")
        _expect_known(fields, [one.name for one in self.register_map])


Decoding = Delimited | Named | Sentence | JsonLines | Packed | Asked | ModbusRegisters
