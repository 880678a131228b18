"""Where a frame begins and ends: the common records, and frames with an end mark.

Every framer keeps three promises: the frames do not depend on how the bytes were cut into chunks; memory is
bounded by the longest frame; what is thrown away is handed back as spoilt, never silently dropped.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Protocol


@dataclass(frozen=True, slots=True)
class Spoilt:
    """Bytes that are not a frame or not a reading, and why."""

    data: bytes
    reason: str


@dataclass(slots=True)
class Frames:
    """What one chunk completed: whole frames in order, and what had to be thrown away."""

    whole: list[bytes] = field(default_factory=list)
    spoilt: list[Spoilt] = field(default_factory=list)


class Framer(Protocol):
    """Cuts a stream into frames. `protected`: a checksum of its own vouches for every frame."""

    protected: bool

    def feed(self, chunk: bytes) -> Frames:
        """Take bytes; give back what they completed."""
        ...

    def rest(self) -> bytes:
        """The bytes of the unfinished frame; forgets them."""
        ...


class EndMarkFramer:
    """Frames with an end mark, bounded in length. Empty frames are none.

    Parameters
    ----------
    end
        Pattern of the end mark.
    mark_length
        Its length in bytes.
    longest
        Longest frame without its end.  [bytes]
    """

    protected = False

    def __init__(self, end: bytes, mark_length: int, longest: int) -> None:
        self._end = re.compile(end)
        self._keep = mark_length - 1
        self._longest = longest
        self._buffer = bytearray()
        self._overflow = 0  # bytes thrown away of a line that is too long and has not ended
        self._head = b""

    def feed(self, chunk: bytes) -> Frames:
        """Take bytes; give back the lines that they completed, without their ends."""
        frames = Frames()
        self._buffer += chunk
        start = 0
        for match in self._end.finditer(self._buffer):
            self._finish(bytes(self._buffer[start : match.start()]), frames)
            start = match.end()
        if start:
            del self._buffer[:start]
        if len(self._buffer) > self._longest + self._keep:
            self._shorten()
        return frames

    def _finish(self, line: bytes, frames: Frames) -> None:
        length = self._overflow + len(line)
        if length > self._longest:
            head = (self._head + line)[:64]
            frames.spoilt.append(Spoilt(head, f"a line of {length} bytes, longer than {self._longest}"))
        elif line:
            frames.whole.append(line)
        self._overflow, self._head = 0, b""

    def _shorten(self) -> None:
        # The last bytes stay: they may be the first part of an end mark. At least one byte more than the limit
        # is counted as thrown away, so that the verdict does not depend on the chunks.
        cut = len(self._buffer) - self._keep
        self._head = (self._head + self._buffer[:cut])[:64]
        self._overflow += cut
        del self._buffer[:cut]

    def rest(self) -> bytes:
        """The bytes of the unfinished line; forgets them."""
        left = self._head + bytes(self._buffer)
        self._buffer.clear()
        self._overflow, self._head = 0, b""
        return left
