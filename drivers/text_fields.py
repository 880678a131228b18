"""What the fields of a text frame say: strict grammars, no I/O, no clock.

Every reader turns frames into rows of numbers, one number per wanted field: NaN where the device says that it has
none, None where a partial line leaves the field out. A frame that does not fit its grammar is spoilt, never guessed.
`float()` alone would let through "1_000", "infinity" and digits of other scripts; the patterns here do not.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from drivers.blocks import Row, Table
from drivers.checksums import crc16_ccitt, xor8
from drivers.frames import Spoilt
from drivers.wire_spec import Delimited, Named, Sentence

#: Lengths are bounded so that no pattern can take long over noise.
NUMBER = r"[+-]?(?:\d{1,20}(?:\.\d{0,20})?|\.\d{1,20})(?:[eE][+-]?\d{1,3})?"


@dataclass(slots=True)
class Rows:
    """What a batch of frames says. `restarts` holds positions in `values` before which the device began anew."""

    values: list[Row] = field(default_factory=list)
    spoilt: list[Spoilt] = field(default_factory=list)
    restarts: list[int] = field(default_factory=list)
    skipped: int = 0  # comments, foreign sentences: rightly framed, not for us
    packed: Table | None = None  # rows that came as an array; `values` is then empty

    def table(self) -> Table | None:
        """The rows as an array; None where there are none."""
        if self.packed is not None:
            return self.packed
        return Table.of(self.values) if self.values else None


class TextReader:
    """The common part: comments, banner, checksum."""

    def __init__(self, spec: Delimited | Named | Sentence) -> None:
        self._ignore = tuple(text.encode() for text in spec.ignore if text)
        self._banner = spec.banner.encode()
        self._checksum = spec.checksum
        self.protected = spec.checksum != "none"

    def read(self, frames: Sequence[bytes]) -> Rows:
        """Read a batch of frames."""
        rows = Rows()
        for frame in frames:
            if self._banner and frame.startswith(self._banner):
                rows.restarts.append(len(rows.values))
            elif self._ignore and frame.startswith(self._ignore):
                self._comment(frame, rows)
            else:
                self._read_one(frame, rows)
        return rows

    def _comment(self, frame: bytes, rows: Rows) -> None:
        rows.skipped += 1

    def _read_one(self, frame: bytes, rows: Rows) -> None:
        raise NotImplementedError

    def _checked(self, frame: bytes, rows: Rows) -> bytes | None:
        """The part before the checksum, or None with the frame put among the spoilt."""
        if self._checksum == "none":
            return frame
        body, star, digits = frame.rpartition(b"*")
        if not star:
            rows.spoilt.append(Spoilt(frame, "no '*' and checksum at the end"))
            return None
        wanted = b"%02X" % xor8(body) if self._checksum == "xor" else b"%04X" % crc16_ccitt(body)
        if digits.strip().upper() != wanted:
            text = wanted.decode()
            rows.spoilt.append(Spoilt(frame, f"checksum {digits[:8]!r} where the bytes give {text}"))
            return None
        return body


def _number_pattern(decimal: str, no_value: Sequence[str]) -> str:
    number = NUMBER if decimal == "." else NUMBER.replace(r"\.", ",")
    return "|".join([number, *(re.escape(text) for text in sorted(no_value, key=len, reverse=True) if text)])


class _Columns:
    """A pattern for numbers in columns, and the way from its groups to the wanted fields."""

    def __init__(self, spec: Delimited | Sentence, fields: Sequence[int]) -> None:
        separator = getattr(spec, "separator", ",")
        self._comma = spec.decimal == ","
        number = _number_pattern(spec.decimal, spec.no_value)
        if separator == "space":
            glue, other, pad = "[ \t]+", "[^ \t]+", ""
        else:
            glue = re.escape(separator)
            other, pad = f"[^{glue}]*", "" if separator == "\t" else "[ \t]*"
        columns = spec.columns or max(fields)
        parts = [f"{pad}({number}){pad}" if n in fields else other for n in range(1, columns + 1)]
        self.text = glue.join(parts)
        self._pattern = re.compile(self.text.encode())
        place = {column: group for group, column in enumerate(sorted(set(fields)), start=1)}
        self._groups = [place[column] for column in fields]
        self.expected = f"{columns} columns divided by {separator!r}, numbers in {', '.join(map(str, sorted(place)))}"

    def row(self, body: bytes) -> Row | None:
        match = self._pattern.fullmatch(body)
        return None if match is None else self.of(match)

    def of(self, match: re.Match[bytes]) -> Row:
        """The wanted fields of a match whose first groups are this pattern's."""
        return tuple([_value(match[group], self._comma) for group in self._groups])


def _value(token: bytes, comma: bool) -> float:
    try:
        return float(token.replace(b",", b".") if comma else token)
    except ValueError:
        return float("nan")  # the pattern lets only numbers and the profile's no-value texts through


class DelimitedReader(TextReader):
    """Numbers in fixed columns: `21.84,101.32`."""

    def __init__(self, spec: Delimited, fields: Sequence[int]) -> None:
        super().__init__(spec)
        self._columns = _Columns(spec, fields)

    def _read_one(self, frame: bytes, rows: Rows) -> None:
        body = self._checked(frame, rows)
        if body is None:
            return
        row = self._columns.row(body.strip(b" \t"))
        if row is None:
            rows.spoilt.append(Spoilt(frame, f"not {self._columns.expected}"))
        else:
            rows.values.append(row)


class SentenceReader(TextReader):
    """`$ADDRESS,field,field*HH`. Sentences of other addresses are skipped when their checksum is right."""

    _frame = re.compile(rb"\$([A-Za-z0-9]{1,16})(?:,([^*$]*))?\*([0-9A-Fa-f]{2})[ \t]*")

    def __init__(self, spec: Sentence, fields: Sequence[int]) -> None:
        super().__init__(spec)
        self._address = spec.address.encode()
        self._columns = _Columns(spec, fields)
        # The usual sentence in one step; whatever does not fit takes the long way and learns why.
        self._usual = re.compile(rf"\${spec.address},{self._columns.text}\*([0-9A-F]{{2}})".encode())
        self._last = self._usual.groups

    def _comment(self, frame: bytes, rows: Rows) -> None:
        """Noise may look like the beginning of a comment and run into a whole sentence."""
        inside = Rows()
        if b"$" in frame:
            self._read_one(frame, inside)
        if inside.values:
            rows.values += inside.values
            rows.spoilt += inside.spoilt
        else:
            rows.skipped += 1

    def _read_one(self, frame: bytes, rows: Rows) -> None:
        usual = self._usual.fullmatch(frame)
        if usual is not None and int(usual[self._last], 16) == xor8(frame[1:-3]):
            rows.values.append(self._columns.of(usual))
            return
        # A line whose end got lost runs into the next one: what follows the last "$" is still whole.
        start = frame.rfind(b"$")
        if start > 0:
            rows.spoilt.append(Spoilt(frame[:start], "bytes before the '$' of a sentence"))
        sentence = frame[max(start, 0) :]
        match = self._frame.fullmatch(sentence)
        if match is None:
            rows.spoilt.append(Spoilt(sentence, "not $ADDRESS,fields*HH"))
            return
        address, body, digits = match.groups()
        found = xor8(sentence[1 : sentence.index(b"*")])
        if int(digits, 16) != found:
            rows.spoilt.append(Spoilt(sentence, f"checksum {digits.decode()} where the bytes give {found:02X}"))
        elif address != self._address:
            rows.skipped += 1
        elif (row := self._columns.row(body or b"")) is None:
            rows.spoilt.append(Spoilt(sentence, f"not {self._columns.expected}"))
        else:
            rows.values.append(row)


class NamedReader(TextReader):
    """`T=21.84 p=101.32`: numbers with names, in any order, each at most once."""

    def __init__(self, spec: Named, fields: Sequence[str]) -> None:
        super().__init__(spec)
        self._fields = [name.encode() for name in fields]
        self._partial = spec.partial
        self._comma = spec.decimal == ","
        gap = r"\s;|" if self._comma else r"\s;|,"
        suffix = "|".join(re.escape(text) for text in sorted(spec.suffixes, key=len, reverse=True))
        after = rf"(?:[ \t]+(?:{suffix})(?=$|[{gap}]))?" if suffix else ""
        self._gap = gap.replace(r"\s", " \t").encode()
        self._pair = re.compile(
            rf"(?:^|(?<=[{gap}]))([^{gap}=:]{{1,64}})[ \t]*[=:][ \t]*([^{gap}=:]{{1,64}}){after}(?=$|[{gap}])".encode()
        )
        number = _number_pattern(spec.decimal, spec.no_value)
        self._number = re.compile((rf"({number})(?:{suffix})?" if suffix else f"({number})").encode())

    def _read_one(self, frame: bytes, rows: Rows) -> None:
        body = self._checked(frame, rows)
        if body is None:
            return
        found, reason = self._pairs(body)
        missing = [name.decode() for name in self._fields if name not in found]
        if not reason and missing and not self._partial:
            reason = f"no field {' and '.join(missing)}"
        if not reason and len(missing) == len(self._fields):
            rows.skipped += 1
        elif reason:
            rows.spoilt.append(Spoilt(frame, reason))
        else:
            rows.values.append(tuple(found.get(name) for name in self._fields))

    def _pairs(self, body: bytes) -> tuple[dict[bytes, float], str]:
        found: dict[bytes, float] = {}
        end = 0
        for match in self._pair.finditer(body):
            name, token = match[1], match[2]
            if body[end : match.start()].strip(self._gap):
                return found, "text between the fields that is no NAME=NUMBER"
            end = match.end()
            if name not in self._fields:
                continue
            number = self._number.fullmatch(token)
            if number is None:
                return found, f"{token[:20]!r} is no number"
            if name in found:
                return found, f"field {name.decode()} twice"
            found[name] = _value(number[1], self._comma)
        if body[end:].strip(self._gap):
            return found, "text after the fields that is no NAME=NUMBER"
        return found, ""
