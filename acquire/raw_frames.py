"""Reads a raw journal back, frame by frame, whatever happened to it."""

from __future__ import annotations

import json
import struct
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from acquire.file_lock import is_held
from acquire.journal import Entry
from acquire.raw_journal import HEAD, MAGIC, MAX_CONTENT, READINGS_HEAD, RECEIVED_HEAD, TAIL, Kind
from acquire.runfile.errors import DamagedFileError, NotARunFileError, first_line
from drivers.readings import CHANNELS, Readings, Received

BUFFER = 1 << 22  # bytes read at a time


@dataclass
class Damage:
    """What was found wrong while reading; empty for a file that is whole."""

    torn: int = 0  # bytes of an unfinished last frame
    skipped: list[tuple[int, int]] = field(default_factory=list)  # (place, length) of bytes that are no frames
    missing: int = 0  # frames whose sequence numbers were passed over

    def sentences(self) -> list[str]:
        out = [f"{length} bytes at {place} are damaged and were passed over" for place, length in self.skipped]
        if self.missing:
            out.append(f"{self.missing} frames are missing")
        return out


def frames(path: str | Path, damage: Damage | None = None) -> Iterator[tuple[Kind, memoryview]]:
    """Whole frames in order; what is damaged is passed over and noted in `damage`.

    Raises
    ------
    NotARunFileError
        The file cannot be read.
    """
    damage = Damage() if damage is None else damage
    expected = 0
    for place, kind, sequence, content in _scan(Path(path), damage):
        if sequence > expected:
            damage.missing += sequence - expected
        expected = sequence + 1
        try:
            known = Kind(kind)
        except ValueError:
            damage.skipped.append((place, len(content)))
            continue
        yield known, content


def _scan(path: Path, damage: Damage) -> Iterator[tuple[int, int, int, memoryview]]:
    try:
        handle = open(path, "rb")  # noqa: SIM115  (closed below, whatever the consumer does)
    except OSError as error:
        raise NotARunFileError(
            f"{path} cannot be read: {first_line(error)}. Expected the raw journal of a run.", path
        ) from error
    with handle:
        buffer, start = b"", 0  # `buffer` begins at byte `start` of the file
        place = 0
        bad_from: int | None = None
        while True:
            view = memoryview(buffer)
            at = place - start
            need = HEAD.size + TAIL.size
            content_length = 0
            whole = False
            if len(buffer) - at >= HEAD.size:
                magic, kind, sequence, content_length = HEAD.unpack_from(buffer, at)
                plausible = magic == MAGIC and content_length <= MAX_CONTENT
                need = HEAD.size + content_length + TAIL.size if plausible else 0
                if plausible and len(buffer) - at >= need:
                    end = at + HEAD.size + content_length
                    (stored,) = TAIL.unpack_from(buffer, end)
                    whole = zlib.crc32(view[at + 4 : end]) == stored
                    if whole:
                        if bad_from is not None:
                            damage.skipped.append((bad_from, place - bad_from))
                            bad_from = None
                        yield place, kind, sequence, view[at + HEAD.size : end]
                        place += need
                        continue
                    need = 0
            if need:  # more bytes are needed to tell
                more = handle.read(max(BUFFER, need))
                if more:
                    buffer, start = buffer[at:] + more, place
                    continue
                if at >= len(buffer):
                    break
                # the file ends within this frame: torn, unless a whole frame still follows in what is left
            bad_from = place if bad_from is None else bad_from
            following = buffer.find(MAGIC, at + 1)
            if following >= 0:
                place = start + following
                continue
            more = handle.read(BUFFER)
            keep = max(len(buffer) - len(MAGIC) + 1, at + 1)
            place = start + min(keep, len(buffer))
            if not more:
                place = start + len(buffer)
                break
            buffer, start = buffer[place - start :] + more, place
        if bad_from is not None:
            damage.torn = start + len(buffer) - bad_from


@dataclass(frozen=True)
class Reading:
    """A `READINGS` frame."""

    device: str
    readings: Readings


@dataclass(frozen=True)
class Chunk:
    """A `RECEIVED` frame."""

    device: str
    received: Received


@dataclass(frozen=True)
class Header:
    data: dict[str, Any]


@dataclass(frozen=True)
class Ended:
    data: dict[str, Any]


Item = Header | Chunk | Reading | Entry | Ended


def items(path: str | Path, damage: Damage | None = None) -> Iterator[Item]:
    """What the frames hold, in order.

    Raises
    ------
    NotARunFileError, DamagedFileError
        The latter where a frame is whole but holds what this program never writes.
    """
    devices: dict[int, str] = {}
    for kind, content in frames(path, damage):
        try:
            item = decoded(kind, content, devices)
        except (ValueError, KeyError, TypeError, IndexError, struct.error) as error:
            raise DamagedFileError(
                f"{path} holds a frame that cannot be understood: {first_line(error)}. "
                "It may come from a newer version; update satline to read it.",
                path,
            ) from error
        if item is not None:
            yield item


def decoded(kind: Kind, content: memoryview, devices: dict[int, str]) -> Item | None:
    if kind is Kind.RECEIVED:
        number, arrival = RECEIVED_HEAD.unpack_from(content)
        return Chunk(devices.get(number, f"device {number}"), Received(arrival, bytes(content[RECEIVED_HEAD.size :])))
    if kind is Kind.READINGS:
        number, channel, u_time, n = READINGS_HEAD.unpack_from(content)
        body = content[READINGS_HEAD.size :]
        if len(body) != 25 * n:
            raise ValueError(f"{len(body)} bytes for {n} readings")
        floats = np.frombuffer(body[: 24 * n], "<f8").reshape(3, n)
        quality = np.frombuffer(body[24 * n :], "u1")
        time, value, raw = (np.ascontiguousarray(row, np.float64) for row in floats)
        block = Readings(CHANNELS[channel], time, value, raw, quality.copy(), u_time)
        return Reading(devices.get(number, f"device {number}"), block)
    text = bytes(content).decode("utf-8")
    if kind is Kind.ENTRY:
        return Entry.from_canonical(text)
    data = json.loads(text)
    if kind is Kind.DEVICE:
        devices[int(data["number"])] = str(data["device"])
        return None
    return Header(data) if kind is Kind.HEADER else Ended(data)


def is_being_written(path: str | Path) -> bool:
    """Whether a living process holds the raw journal."""
    return is_held(path)
