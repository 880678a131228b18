"""Books on every frame of a bench: what its line did with it, whether it arrived, what the run file made of it.

The line notes each byte that it throws away or hands to the system; the raw journal of the recorder holds each byte
that arrived; the run file holds the readings.  Laid side by side, every frame that was sent has one fate, and every
loss must have been told: by the mark for a gap on the reading that follows, or by a notice that counts what was
refused.
"""

from __future__ import annotations

import functools
import itertools
import operator
import os
import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from acquire.journal import Entry
from acquire.record import Trace
from drivers.readings import PRESSURE, TEMPERATURE, Quality, Received
from sim.device import SimulatedBench
from sim.lines import PseudoTerminalLine

NOBODY, PULLED = "sent while nobody had the port open", "sent as the cable was pulled"
DROPPED_FIRST = "dropped by the system as the port was opened"
DROPPED_LAST = "dropped by the system as the cable was pulled"
DROPPED_WITHIN = "dropped by the system in the midst of a connection"
BEFORE, AFTER = "sent before the recorder had the port open", "sent after the run was closed"
RECORDED, SPOILT = "recorded", "spoilt on the line and refused"
NEIGHBOUR = "refused with a spoilt or torn one that it was joined to"
#: What no mishap of the line explains.
LOST, UNTOLD = "arrived sound but not recorded", "missing without being told of"
INVENTED, UNSENT = "bytes received but never sent", "readings recorded but never received"
BAD = (LOST, UNTOLD, INVENTED, UNSENT, DROPPED_WITHIN)

LONGEST_HOLE = 100  # frames that arrived and were not recorded, in a row
ALIKE = 4

SOUND = re.compile(rb"\$(SAT,\d+,([-\d.]+),([-\d.]+))\*([0-9A-Fa-f]{2})")


class WireFrame(bytes):
    """A frame as it goes over the line, with what it was before the line spoilt it."""

    sound: bytes


@dataclass
class Sent:
    """A frame and its place in the stream of all bytes that the bench said."""

    begin: int
    end: int
    sound: bytes
    wire: bytes

    @property
    def spoilt(self) -> bool:
        return self.sound != self.wire


@dataclass
class Connection:
    """What the system took between the moment a cable was put in and the moment it was pulled."""

    stretches: list[tuple[int, int]] = field(default_factory=list)  # of the stream of all bytes
    data: bytearray = field(default_factory=bytearray)

    def places(self) -> np.ndarray:
        """Where each byte of `data` stands in the stream of all bytes."""
        return np.concatenate([np.arange(*stretch) for stretch in self.stretches] or [np.empty(0, np.int64)])


class WatchedLine(PseudoTerminalLine):
    """A pseudo-terminal that notes what becomes of each byte."""

    def __init__(self) -> None:
        self.said = 0  # bytes so far
        self.thrown: list[tuple[int, int, str]] = []
        self.connections: list[Connection] = []
        super().__init__()

    def plug_in(self) -> None:
        before = self._fd
        super().plug_in()
        if self._fd != before:
            self.connections.append(Connection())

    def hang_up(self) -> None:
        if self._fd >= 0:
            self._throw(self._left, PULLED)
        super().hang_up()

    def send(self, data: bytes) -> None:
        self.said += len(data)
        super().send(data)

    def flush(self) -> None:
        """As of the line itself, with a note of each byte."""
        if not self._listened_to():
            self._throw(self._left, NOBODY)
            self._left = b""
        if not self._left:
            return
        first = self.said - len(self._left)
        try:
            taken = os.write(self._fd, self._left)
        except BlockingIOError:
            return
        except OSError:
            self._throw(self._left, PULLED)
            self._left = b""
            return
        self.connections[-1].stretches.append((first, first + taken))
        self.connections[-1].data += self._left[:taken]
        self._left = self._left[taken:]

    def _throw(self, data: bytes, why: str) -> None:
        if data:
            first = self.said - len(data)
            self.thrown.append((first, first + len(data), why))


def watch(bench: SimulatedBench) -> list[Sent]:
    """From now on every frame of this bench is noted in the list that is given back."""
    transmitter = bench._transmitter
    spoil, taken_until = transmitter._spoilt, transmitter.taken_until
    sent: list[Sent] = []
    said = 0

    def spoilt(frame: bytes) -> bytes:
        wire = WireFrame(spoil(frame))
        wire.sound = frame
        return wire

    def taken(time: float) -> list[bytes]:
        nonlocal said
        pieces = taken_until(time)
        for piece in pieces:
            if isinstance(piece, WireFrame):
                sent.append(Sent(said, said + len(piece), piece.sound, bytes(piece)))
            said += len(piece)
        return pieces

    transmitter._spoilt = spoilt  # type: ignore[method-assign]
    transmitter.taken_until = taken  # type: ignore[method-assign]
    return sent


#: What can become of a byte on the line; the first, that it arrived.
ON_LINE = ("", NOBODY, PULLED, DROPPED_FIRST, DROPPED_LAST, DROPPED_WITHIN)


def fates_of_bytes(line: WatchedLine, chunks: Sequence[Received]) -> tuple[np.ndarray, int]:
    """For each byte that was said its place in `ON_LINE`; and how many bytes were received but never sent."""
    fate = np.full(line.said, ON_LINE.index(NOBODY), np.uint8)
    for begin, end, why in line.thrown:
        fate[begin:end] = ON_LINE.index(why)
    connections = line.connections
    arrived = [np.zeros(len(connection.data), bool) for connection in connections]
    current, at, invented = 0, 0, 0
    for chunk in chunks:
        for number in range(current, len(connections)):
            found = connections[number].data.find(chunk.data, at if number == current else 0)
            if found >= 0:
                current, at = number, found + len(chunk.data)
                arrived[number][found:at] = True
                break
        else:
            invented += len(chunk.data)
    for connection, came in zip(connections, arrived, strict=True):
        codes = np.full(len(came), ON_LINE.index(DROPPED_WITHIN), np.uint8)
        there = np.flatnonzero(came)
        codes[: there[0] if len(there) else None] = ON_LINE.index(DROPPED_FIRST)
        codes[there[-1] + 1 if len(there) else len(came) :] = ON_LINE.index(DROPPED_LAST)
        codes[came] = 0
        fate[connection.places()] = codes
    return fate, invented


@dataclass
class Books:
    """What became of every frame, and the losses that nobody told of."""

    fates: Counter[str]
    holes: int  # stretches of frames that are missing between two that were recorded
    told: Counter[str]  # notices of the recorder, by kind
    refused: int  # frames that the recorder says it refused
    examples: list[str]

    @property
    def bad(self) -> int:
        return sum(self.fates[kind] for kind in BAD)


def balance(
    sent: Sequence[Sent],
    line: WatchedLine,
    chunks: Sequence[Received],
    traces: Mapping[str, Trace],
    journal: Sequence[Entry],
) -> Books:
    """Lay the books side by side.

    Parameters
    ----------
    chunks
        All bytes that the recorder received, as its raw journal holds them.
    traces, journal
        Of the run file.
    """
    of_bytes, invented = fates_of_bytes(line, chunks)
    # a frame is read without the end of its line
    on_line = [ON_LINE[of_bytes[frame.begin : frame.begin + len(frame.wire.rstrip())].max()] for frame in sent]
    fate = list(on_line)
    rows = np.array([traces[TEMPERATURE].raw, traces[PRESSURE].raw]).T.tolist()
    marks = traces[TEMPERATURE].quality & np.uint8(Quality.AFTER_GAP)
    row_of: dict[int, int] = {}
    arrived = [number for number in range(len(sent)) if not fate[number] and numbers_of(sent[number].wire)]
    pairs = [numbers_of(sent[number].wire) for number in arrived]
    unsent = [pair for _, pair in unmatched(rows, pairs, lambda row, place: row_of.update({arrived[place]: row}))]
    for number in row_of:
        fate[number] = RECORDED
    for number, frame in enumerate(sent):
        if not fate[number]:
            beside = [n for n in (number - 1, number + 1) if 0 <= n < len(sent)]
            joined = any(sent[n].spoilt or on_line[n] for n in beside)
            fate[number] = SPOILT if frame.spoilt else NEIGHBOUR if joined else LOST
    first, last = min(row_of, default=len(sent)), max(row_of, default=-1)
    for number in range(first):
        if fate[number] == NOBODY:
            fate[number] = BEFORE
    for number in range(last + 1, len(sent)):
        if fate[number] not in (LOST, SPOILT, NEIGHBOUR):
            fate[number] = AFTER
    fates = Counter(fate)
    fates[INVENTED], fates[UNSENT] = invented, len(unsent)
    examples = [f"{fate[n]}: {sent[n].wire!r}" for n in range(len(sent)) if fate[n] in BAD][:10]
    examples += [f"{UNSENT}: {pair}" for pair in unsent[:10]]
    holes = 0
    for begin, end in _between(sorted(row_of)):
        missing = [fate[n] for n in range(begin + 1, end) if fate[n] not in (SPOILT, NEIGHBOUR)]
        holes += bool(missing)
        if missing and not marks[row_of[end]]:
            fates[UNTOLD] += len(missing)
            examples.append(f"{UNTOLD}: {Counter(missing)} before {sent[end].wire!r}")
    notices = [entry.data for entry in journal if entry.kind == "device"]
    told = Counter(str(data["event"]) for data in notices)
    refused = sum(int(data["count"]) for data in notices if data["event"] == "rejected")
    return Books(fates, holes, told, refused, examples)


def numbers_of(frame: bytes) -> list[float] | None:
    """The two numbers of a frame that can be read: the checksum is the exclusive or of all between $ and *."""
    found = SOUND.search(frame)
    if found is None or functools.reduce(operator.xor, found[1]) != int(found[4], 16):
        return None
    return [float(found[2]), float(found[3])]


def unmatched(rows: list, frames: list, matched: Callable[[int, int], None]) -> Iterator[tuple[int, list]]:
    """Lay rows beside the frames they came from, in order; gives back the rows that came from none.

    Numbers repeat, so where the two go apart they are joined again where `ALIKE` in a row agree, as near as possible.
    """
    row = place = 0
    while row < len(rows):
        if place < len(frames) and rows[row] == frames[place]:
            matched(row, place)
            row, place = row + 1, place + 1
            continue
        steps = sorted(itertools.product(range(20), range(LONGEST_HOLE)), key=lambda step: 20 * step[0] + step[1])
        for more_rows, more_frames in steps:
            alike = rows[row + more_rows : row + more_rows + ALIKE]
            if alike and alike == frames[place + more_frames : place + more_frames + len(alike)]:
                break
        else:
            more_rows, more_frames = 1, 1
        yield from ((row + n, rows[row + n]) for n in range(more_rows))
        row, place = row + more_rows, place + more_frames


def _between(numbers: Sequence[int]) -> Iterator[tuple[int, int]]:
    for before, after in itertools.pairwise(numbers):
        if after > before + 1:
            yield before, after
