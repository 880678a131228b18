"""What binary frames and JSON lines say. No I/O, no clock."""

from __future__ import annotations

import json
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from drivers.blocks import Row, Table
from drivers.frames import FrameRun, Spoilt
from drivers.text_fields import Rows
from drivers.wire_spec import JsonLines, Packed

_CODES = {
    "u8": "u1", "i8": "i1", "u16": "u2", "i16": "i2", "u32": "u4", "i32": "i4", "u64": "u8", "i64": "i8",
    "f32": "f4", "f64": "f8",
}  # fmt: skip


class PackedReader:
    """Numbers at fixed places of binary frames; one array operation per batch."""

    protected = False

    def __init__(self, spec: Packed, fields: Sequence[str]) -> None:
        order = "<" if spec.order == "little" else ">"
        names, formats, offsets, place = [], [], [], 0
        for one in spec.fields:
            if one.type == "skip":
                place += one.count
                continue
            code = np.dtype(order + _CODES[one.type])
            names.append(one.name)
            formats.append(code)
            offsets.append(place)
            place += code.itemsize
        self._layout = np.dtype({"names": names, "formats": formats, "offsets": offsets, "itemsize": spec.size})
        self._fields = list(fields)

    def read(self, frames: Sequence[bytes]) -> Rows:
        """Read a batch of frames."""
        rows = Rows()
        size = self._layout.itemsize
        if isinstance(frames, FrameRun) and frames.rows.shape[1] == size:
            rows.packed = self._table(np.ascontiguousarray(frames.rows).view(self._layout).ravel())
            return rows
        whole = [frame for frame in frames if len(frame) == size]
        if len(whole) < len(frames):
            rows.spoilt.extend(
                Spoilt(frame, f"{len(frame)} bytes where the layout has {size}")
                for frame in frames
                if len(frame) != size
            )
        if whole:
            rows.packed = self._table(np.frombuffer(b"".join(whole), dtype=self._layout))
        return rows

    def _table(self, items: NDArray[np.void]) -> Table:
        numbers = np.empty((len(items), len(self._fields)))
        for place, name in enumerate(self._fields):
            numbers[:, place] = items[name]
        return Table(numbers)


class _Refused(Exception):
    """A JSON line that is grammatical for the library but not for us."""


def _no_constant(word: str) -> float:
    raise _Refused(f"{word} is no JSON number")


def _unique(pairs: list[tuple[str, object]]) -> dict[str, object]:
    found = dict(pairs)
    if len(found) < len(pairs):
        raise _Refused("a key twice in one object")
    return found


class JsonReader:
    """One JSON object per line (RFC 8259). `null` is "no value"; numbers in quotes are refused."""

    protected = False

    def __init__(self, spec: JsonLines, fields: Sequence[str]) -> None:
        self._paths = [field.split(".") for field in fields]
        self._partial = spec.partial
        # Whole numbers as float too: a noise line of 4000 digits must not cost quadratic time.
        self._decoder = json.JSONDecoder(
            object_pairs_hook=_unique, parse_constant=_no_constant, parse_int=float, parse_float=float
        )

    def read(self, frames: Sequence[bytes]) -> Rows:
        """Read a batch of lines."""
        rows = Rows()
        for frame in frames:
            try:
                row = self._row(self._decoder.decode(frame.decode("utf-8")))
            except _Refused as error:
                rows.spoilt.append(Spoilt(frame, str(error)))
            except UnicodeDecodeError:
                rows.spoilt.append(Spoilt(frame, "no UTF-8"))
            except (json.JSONDecodeError, RecursionError):
                rows.spoilt.append(Spoilt(frame, "no JSON object"))
            else:
                if all(number is None for number in row):
                    rows.skipped += 1
                else:
                    rows.values.append(row)
        return rows

    def _row(self, found: object) -> Row:
        if not isinstance(found, dict):
            raise _Refused("no JSON object")
        return tuple(self._number(found, path) for path in self._paths)

    def _number(self, found: object, path: Sequence[str]) -> float | None:
        for key in path:
            if not isinstance(found, dict) or key not in found:
                if self._partial:
                    return None
                raise _Refused(f"no field {'.'.join(path)}")
            found = found[key]
        if found is None:
            return float("nan")
        if not isinstance(found, float):
            raise _Refused(f"field {'.'.join(path)} is no number")
        return found
