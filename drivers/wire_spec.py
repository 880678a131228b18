"""What a profile may say about frames and fields on the wire."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, ClassVar, Literal

from pydantic import Field

from drivers.tomlfile import Record

#: Longest line by default: a line of readings has some 30 bytes, a banner some 80; the rest is room.
LINE_LIMIT = 512


class TextLines(Record):
    """Frames that end with a line end. "any" takes LF, CR and CRLF, also mixed."""

    kind: Literal["lines"]
    end: str = Field(default="any", min_length=1, max_length=8)
    longest: int = Field(default=LINE_LIMIT, ge=8, le=65536)


Framing = Annotated[TextLines, Field()]


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


Decoding = Annotated[Delimited | Named | Sentence, Field()]
