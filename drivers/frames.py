"""Where a frame begins and ends: the common records, and frames with an end mark.

Every framer keeps three promises: the frames do not depend on how the bytes were cut into chunks; memory is
bounded by the longest frame; what is thrown away is handed back as spoilt, never silently dropped.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol, overload

import numpy as np
from numpy.typing import NDArray

SHOWN = 64  # bytes that are kept of a frame that is too long


@dataclass(frozen=True, slots=True)
class Spoilt:
    """Bytes that are not a frame or not a reading, and why."""

    data: bytes
    reason: str


class FrameRun(Sequence[bytes]):
    """Frames of one length as the rows of an array, shape (n, length): no object for each frame."""

    __slots__ = ("rows",)

    def __init__(self, rows: NDArray[np.uint8]) -> None:
        self.rows = rows

    def __len__(self) -> int:
        return len(self.rows)

    @overload
    def __getitem__(self, place: int) -> bytes: ...
    @overload
    def __getitem__(self, place: slice) -> FrameRun: ...
    def __getitem__(self, place: int | slice) -> bytes | FrameRun:
        return FrameRun(self.rows[place]) if isinstance(place, slice) else self.rows[place].tobytes()


@dataclass(slots=True)
class Frames:
    """What one chunk completed: whole frames in order, and what had to be thrown away."""

    whole: Sequence[bytes] = field(default_factory=list)
    spoilt: list[Spoilt] = field(default_factory=list)
    held: bool = False  # whether the first whole one had arrived with an earlier chunk


class Framer(Protocol):
    """Cuts a stream into frames.

    `protected`: a checksum of its own vouches for every frame. `holding`: a frame is whole, but what follows has
    still to say that it ended where it seemed to.
    """

    protected: bool
    holding: bool

    def feed(self, chunk: bytes) -> Frames:
        """Take bytes; give back what they completed."""
        ...

    def quiet(self) -> Frames:
        """The line fell silent: what is whole ended there. Give back what was held for it."""
        ...

    def rest(self) -> bytes:
        """The bytes of the unfinished frame; forgets them."""
        ...


class EndMarkFramer:
    """Frames with an end mark, bounded in length. Empty frames are none.

    Parameters
    ----------
    end
        The end mark.
    longest
        Longest frame without its end.  [bytes]
    also
        A byte that ends a frame as well; each end then stands alone, so that a pair of them in two chunks makes an
        empty frame, which is none.
    """

    protected = False
    holding = False

    def __init__(self, end: bytes, longest: int, also: bytes = b"") -> None:
        self._end = end
        self._also = also
        self._keep = len(end) - 1
        self._longest = longest
        self._rest = b""
        self._overflow = 0  # bytes thrown away of a frame that is too long and has not ended
        self._head = b""

    def feed(self, chunk: bytes) -> Frames:
        """Take bytes; give back the frames that they completed, without their ends."""
        whole: list[bytes] = []
        frames = Frames(whole)
        data = self._rest + (chunk.replace(self._also, self._end) if self._also else chunk)
        *pieces, self._rest = data.split(self._end)
        if pieces and not self._overflow and max(map(len, pieces)) <= self._longest:
            whole += [piece for piece in pieces if piece]
        else:
            for piece in pieces:
                self._finish(piece, whole, frames.spoilt)
        if len(self._rest) > self._longest + self._keep:
            self._shorten()
        return frames

    def _finish(self, piece: bytes, whole: list[bytes], spoilt: list[Spoilt]) -> None:
        length = self._overflow + len(piece)
        if length > self._longest:
            head = (self._head + piece)[:SHOWN]
            spoilt.append(Spoilt(head, f"a line of {length} bytes, longer than {self._longest}"))
        elif piece:
            whole.append(piece)
        self._overflow, self._head = 0, b""

    def _shorten(self) -> None:
        # The last bytes stay: they may be the first part of an end mark. At least one byte more than the limit
        # is counted as thrown away, so that the verdict does not depend on the chunks.
        cut = len(self._rest) - self._keep
        self._head = (self._head + self._rest[:cut])[:SHOWN]
        self._overflow += cut
        self._rest = self._rest[cut:]

    def quiet(self) -> Frames:
        """Nothing is ever held: the end mark says all."""
        return Frames()

    def rest(self) -> bytes:
        """The bytes of the unfinished frame; forgets them."""
        left = self._head + self._rest
        self._rest, self._overflow, self._head = b"", 0, b""
        return left
