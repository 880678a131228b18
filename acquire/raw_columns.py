"""Reads a raw journal that is whole, a stretch at a time, as columns; `raw_frames` reads one that is not.

A day of two channels at 1 kHz is twenty million frames. Taking each apart by itself would take minutes, so only their
lengths are followed one by one and everything else is array work.
"""

from __future__ import annotations

import os
import struct
import zlib
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from acquire.joined_crc import RESIDUE, expected_crc
from acquire.raw_frames import Chunk, Header, Item, Reading, decoded
from acquire.raw_journal import HEAD, MAGIC, MAX_CONTENT, READINGS_HEAD, TAIL, Kind
from acquire.runfile.errors import NotARunFileError, first_line
from drivers.readings import CHANNELS, Readings, Received

STRETCH = 1 << 23  # bytes read at a time, unless a frame is longer
AROUND = HEAD.size + TAIL.size  # bytes of a frame beside its content
READING_BYTES = 25  # of one reading: time, value, raw, quality
SOUGHT = 1 << 20  # bytes searched at a time, so that they stay near the processor
_MAGIC_NUMBER = int.from_bytes(MAGIC, "little")
_LENGTH = struct.Struct("<I")
_LENGTH_AT = 9  # of a frame
_HEAD_FIELDS = np.dtype([("magic", "S4"), ("kind", "u1"), ("sequence", "<u4"), ("length", "<u4")])
_READINGS_FIELDS = np.dtype([("device", "u1"), ("channel", "u1"), ("u_time", "<f8"), ("n", "<u4")])
assert _HEAD_FIELDS.itemsize == HEAD.size
assert _READINGS_FIELDS.itemsize == READINGS_HEAD.size


class NotWhole(Exception):
    """Something in the raw journal is not frame after frame as it was written."""


@dataclass(frozen=True)
class Stretch:
    """Where some frames that follow each other lie."""

    place: int  # in the file
    size: int
    kinds: NDArray[np.uint8]
    lengths: NDArray[np.uint32]  # of the contents

    @property
    def starts(self) -> NDArray[np.int64]:
        """Of the frames, from the beginning of the stretch."""
        ends = np.cumsum(self.lengths.astype(np.int64) + AROUND)
        return ends - self.lengths - AROUND


@dataclass(frozen=True)
class Columns:
    """Readings of one channel that follow each other."""

    channel: str
    time: NDArray[np.float64]
    value: NDArray[np.float64]
    raw: NDArray[np.float64]
    quality: NDArray[np.uint8]
    steps: list[tuple[int, float]]  # row, beginning with 0, and the uncertainty of time from there on
    devices: list[str]  # that they came from, in the order of their first reading

    def __len__(self) -> int:
        return len(self.time)


@dataclass
class RawColumns:
    """A raw journal whose frames were all found where they should be.

    Raises
    ------
    NotWhole
        When it is made or read: something is damaged. `raw_frames.items` gets out of it what there is.
    NotARunFileError
        The file cannot be read.

    Parameters
    ----------
    path
        The raw journal. An unfinished last frame, as a killed program leaves it, is passed over.
    """

    path: Path
    rows: dict[str, int] = field(default_factory=dict)  # channel -> readings, in the order of the first ones
    items: list[Item] = field(default_factory=list)  # everything that is neither readings nor received bytes
    devices: dict[int, str] = field(default_factory=dict)
    given: set[tuple[str, str]] = field(default_factory=set)  # (device, channel)
    _stretches: list[Stretch] = field(default_factory=list)

    def __post_init__(self) -> None:
        try:
            with open(self.path, "rb", buffering=0) as handle:
                self._walk(handle.fileno(), os.fstat(handle.fileno()).st_size)
        except OSError as error:
            raise NotARunFileError(
                f"{self.path} cannot be read: {first_line(error)}. Expected the raw journal of a run.", self.path
            ) from error
        if not self.items or not isinstance(self.items[0], Header):
            raise NotWhole("it does not begin with the header of a run")

    # Finding the frames

    def _walk(self, handle: int, size: int) -> None:
        place, sequence, most = 0, 0, STRETCH
        while place < size:
            data = _read(handle, place, min(most, size - place))
            starts, end = _frames_in(data)
            if len(starts):
                self._stretches.append(self._looked_at(data, starts, place, end, sequence))
                sequence += len(starts)
                place += end
                most = STRETCH
            elif place + len(data) < size and most <= MAX_CONTENT:
                most = MAX_CONTENT + AROUND  # a frame longer than usual
            elif place + len(data) < size or MAGIC in data[1:]:
                raise NotWhole(f"no frame at {place}")
            else:
                return  # torn

    def _looked_at(self, data: bytes, starts: NDArray[np.int64], place: int, end: int, sequence: int) -> Stretch:
        heads = _picked(data, starts, HEAD.size).view(_HEAD_FIELDS)
        expected = np.arange(sequence, sequence + len(starts), dtype=np.int64).astype(np.uint32)
        kinds = heads["kind"].copy()
        if (
            np.any(heads["magic"] != MAGIC)
            or np.any(heads["sequence"] != expected)
            or np.any(heads["length"] > MAX_CONTENT)
            or kinds.min() < min(Kind)
            or kinds.max() > max(Kind)
        ):
            raise NotWhole(f"frames between {place} and {place + end} do not follow each other")
        seldom = (kinds != Kind.READINGS) & (kinds != Kind.RECEIVED)
        for start, length in zip(starts[seldom].tolist(), heads["length"][seldom].tolist(), strict=True):
            item = self._item(data, start, length)
            if item is not None:
                self.items.append(item)
        chosen = kinds == Kind.READINGS
        about = _readings_heads(data, starts[chosen], heads["length"][chosen])
        for number, channel in enumerate(CHANNELS):
            rows = int(about["n"][about["channel"] == number].sum(dtype=np.int64))
            if rows:
                self.rows[channel] = self.rows.get(channel, 0) + rows
                givers = np.unique(about["device"][about["channel"] == number]).tolist()
                self.given |= {(self._device(giver), channel) for giver in givers}
        return Stretch(place, end, kinds, heads["length"].copy())

    def _item(self, data: bytes, start: int, length: int) -> Item | None:
        content = memoryview(data)[start + HEAD.size : start + HEAD.size + length]
        _check(data, start, length)
        try:
            return decoded(Kind(data[start + 4]), content, self.devices)
        except (ValueError, KeyError, TypeError, IndexError, struct.error) as error:
            raise NotWhole(f"a frame that cannot be understood: {first_line(error)}") from error

    # Reading them

    def columns(self) -> Iterator[Columns]:
        """All readings, each channel in order."""
        with open(self.path, "rb", buffering=0) as handle:
            for stretch, data in _ahead(lambda one: _checked(handle.fileno(), one), self._stretches):
                chosen = stretch.kinds == Kind.READINGS
                starts = stretch.starts[chosen]
                about = _readings_heads(data, starts, stretch.lengths[chosen])
                for number, channel in enumerate(CHANNELS):
                    ours = about["channel"] == number
                    if ours.any():
                        yield self._columns(channel, data, starts[ours], about[ours])

    def _columns(self, channel: str, data: bytes, starts: NDArray[np.int64], about: NDArray) -> Columns:
        n = about["n"].astype(np.int64)
        rows = np.cumsum(n) - n
        out: list[NDArray] = [np.empty(int(n.sum()), kind) for kind in ("<f8", "<f8", "<f8", "u1")]
        bodies = starts + HEAD.size + READINGS_HEAD.size
        for count in np.unique(n).tolist():
            if not count:
                continue
            same = n == count
            at = bodies[same]
            for column in out:
                width = count * column.itemsize
                _placed(column, rows[same], _picked(data, at, width))
                at = at + width
        filled = n > 0
        u_time = about["u_time"][filled]
        changed = np.flatnonzero(np.diff(u_time, prepend=np.nan) != 0)
        steps = list(zip(rows[filled][changed].tolist(), u_time[changed].tolist(), strict=True))
        _, first = np.unique(about["device"], return_index=True)
        devices = [self._device(number) for number in about["device"][np.sort(first)].tolist()]
        time, value, raw, quality = out
        return Columns(channel, time, value, raw, quality, steps, devices)

    def _device(self, number: int) -> str:
        return self.devices.get(number, f"device {number}")

    # Single frames

    @property
    def received_frames(self) -> int:
        """How many blocks of received bytes there are."""
        return sum(int((stretch.kinds == Kind.RECEIVED).sum()) for stretch in self._stretches)

    def first_received(self, most: int) -> list[Received]:
        """Received bytes from the beginning while they come to at most so many."""
        found: list[Received] = []
        for item in self._singles(Kind.RECEIVED, backwards=False):
            assert isinstance(item, Chunk)
            most -= len(item.received.data)
            if most < 0:
                break
            found.append(item.received)
        return found

    def last_received(self, most: int, device: str | None = None) -> list[Chunk]:
        """Received bytes at the end, of one device or all; the first of them may go beyond `most`."""
        found: list[Chunk] = []
        for item in self._singles(Kind.RECEIVED, device, backwards=True):
            assert isinstance(item, Chunk)
            found.append(item)
            most -= len(item.received.data)
            if most < 0:
                break
        return found[::-1]

    def last_readings(self, device: str, least: int) -> list[Readings]:
        """Blocks at the end of what this device gave, so that each of its channels has so many readings or all."""
        found: list[Readings] = []
        wanting = {channel: least for giver, channel in self.given if giver == device}
        for item in self._singles(Kind.READINGS, device, backwards=True):
            if not wanting:
                break
            assert isinstance(item, Reading)
            found.append(item.readings)
            channel = item.readings.channel
            if channel in wanting:
                wanting[channel] -= len(item.readings)
                if wanting[channel] <= 0:
                    del wanting[channel]
        return found[::-1]

    def _singles(self, kind: Kind, device: str | None = None, *, backwards: bool) -> Iterator[Item]:
        order = -1 if backwards else 1
        numbers = [number for number, name in self.devices.items() if device in (None, name)]
        with open(self.path, "rb", buffering=0) as handle:
            for stretch in self._stretches[::order]:
                data = _read(handle.fileno(), stretch.place, stretch.size)
                chosen = stretch.kinds == kind
                starts, lengths = stretch.starts[chosen], stretch.lengths[chosen]
                if device is not None:
                    theirs = np.isin(np.frombuffer(data, np.uint8)[starts + HEAD.size], numbers)
                    starts, lengths = starts[theirs], lengths[theirs]
                for start, length in zip(starts[::order].tolist(), lengths[::order].tolist(), strict=True):
                    item = self._item(data, start, length)
                    assert item is not None
                    yield item


def _ahead(work: Callable[[Stretch], bytes], stretches: Sequence[Stretch]) -> Iterator[tuple[Stretch, bytes]]:
    """What `work` makes of each, the next one worked on by another thread while one is looked at."""
    with ThreadPoolExecutor(1, thread_name_prefix="reading") as other:
        coming = None
        for stretch, following in zip(stretches, [*stretches[1:], None], strict=True):
            data = work(stretch) if coming is None else coming.result()
            coming = other.submit(work, following) if following is not None else None
            yield stretch, data


def _checked(handle: int, stretch: Stretch) -> bytes:
    """The bytes of a stretch whose readings are as they were written."""
    data = _read(handle, stretch.place, stretch.size)
    _check_chosen(data, stretch, stretch.kinds == Kind.READINGS)
    return data


def _read(handle: int, place: int, size: int) -> bytes:
    os.lseek(handle, place, os.SEEK_SET)
    parts = []
    while size:
        part = os.read(handle, size)
        if not part:
            raise NotWhole("it became shorter while it was read")
        parts.append(part)
        size -= len(part)
    return parts[0] if len(parts) == 1 else b"".join(parts)


def _frames_in(data: bytes) -> tuple[NDArray[np.int64], int]:
    """Where frames begin, each where the one before ends, and where the last whole one ends."""
    starts = _places_of_magic(data)
    if len(starts) and starts[0] == 0 and len(data) - starts[-1] >= HEAD.size:
        lengths = _picked(data, starts, HEAD.size).view(_HEAD_FIELDS)["length"].astype(np.int64)
        ends = starts + lengths + AROUND
        if np.array_equal(ends[:-1], starts[1:]):
            if ends[-1] <= len(data):
                return starts, int(ends[-1])
            return starts[:-1], int(starts[-1])
    return _follow(data)  # the sequence stands inside a content too, or something is damaged


def _places_of_magic(data: bytes) -> NDArray[np.int64]:
    """Everywhere where the four bytes stand, in order: where the first one does, then whether the others follow."""
    found = []
    every = np.frombuffer(data, np.uint8)[: max(0, len(data) - len(MAGIC) + 1)]
    for begin in range(0, len(every), SOUGHT):
        places = np.flatnonzero(every[begin : begin + SOUGHT] == MAGIC[0]) + begin
        found.append(places[_picked(data, places, len(MAGIC)).view("<u4") == _MAGIC_NUMBER])
    return np.concatenate(found) if found else np.empty(0, np.int64)


def _follow(data: bytes) -> tuple[NDArray[np.int64], int]:
    """The same, from one frame to the next."""
    starts: list[int] = []
    at, last = 0, len(data)
    while at + AROUND <= last:
        after = at + AROUND + _LENGTH.unpack_from(data, at + _LENGTH_AT)[0]
        if after > last:
            break
        starts.append(at)
        at = after
    return np.array(starts, np.int64), at


def _readings_heads(data: bytes, starts: NDArray[np.int64], lengths: NDArray[np.uint32]) -> NDArray:
    if np.any(lengths < READINGS_HEAD.size):
        raise NotWhole("a frame of readings without its head")
    about = _picked(data, starts + HEAD.size, READINGS_HEAD.size).view(_READINGS_FIELDS)
    if np.any(lengths != READINGS_HEAD.size + READING_BYTES * about["n"].astype(np.int64)):
        raise NotWhole("a frame of readings that holds another number of them than it says")
    if np.any(about["channel"] >= len(CHANNELS)):
        raise NotWhole("readings of a channel that is not known")
    return about


def _check_chosen(data: bytes, stretch: Stretch, chosen: NDArray[np.bool_]) -> None:
    """See that these frames are as they were written: all at once, and one by one where some frame is not."""
    starts = stretch.starts
    if zlib.crc32(data) == expected_crc(starts, len(data), MAGIC):
        return
    for start, length in zip(starts[chosen].tolist(), stretch.lengths[chosen].tolist(), strict=True):
        _check(data, start, length)


def _check(data: bytes, start: int, length: int) -> None:
    if zlib.crc32(memoryview(data)[start + len(MAGIC) : start + AROUND + length]) != RESIDUE:
        raise NotWhole("a frame whose checksum is wrong")


def _picked(data: bytes, places: NDArray[np.int64], width: int) -> NDArray[np.void]:
    """So many bytes from each of these places."""
    kind = np.dtype((np.void, width))
    if not len(places):
        return np.empty(0, kind)
    everywhere = np.ndarray((len(data) - width + 1,), kind, data, 0, (1,))
    return everywhere[places]


def _placed(column: NDArray, rows: NDArray[np.int64], values: NDArray[np.void]) -> None:
    """Put each of the values at its row."""
    everywhere = np.ndarray(
        ((column.nbytes - values.itemsize) // column.itemsize + 1,), values.dtype, column, 0, (column.itemsize,)
    )
    everywhere[rows] = values
