"""Chunks of a fast stream put together before they are decoded: what decoding costs is mostly the same for few bytes.

Bytes are passed on as received at once; only making readings of them waits. A slow stream is never made to wait.
"""

from __future__ import annotations

from drivers.decoding import Decoded, make_decoder
from drivers.profile import DeviceProfile

LONGEST = 0.012  # [s] that a chunk waits: less than the consumer's own step of 20 ms
DENSE = 0.015  # [s] between chunks, above which a stream is slow and nothing is gained by waiting
MOST = 8_192  # [bytes] from which decoding costs by the byte


class Gathering:
    """Chunks that wait for each other.

    Examples
    --------
    >>> gathering = Gathering()
    >>> [gathering.add(b"x", t) for t in (1.0, 1.005, 1.010, 1.020)]
    [True, False, False, True]
    """

    def __init__(self, longest: float = LONGEST) -> None:
        self._longest = longest
        self._chunks: list[bytes] = []
        self._size = 0
        self._first = 0.0
        self._last = float("-inf")

    def __bool__(self) -> bool:
        return bool(self._chunks)

    def add(self, chunk: bytes, arrival: float) -> bool:
        """Take a chunk; whether what there is should be decoded now."""
        dense = arrival - self._last < DENSE
        self._last = arrival
        if not self._chunks:
            self._first = arrival
        self._chunks.append(chunk)
        self._size += len(chunk)
        return not dense or self._size >= MOST or arrival - self._first >= self._longest

    def take(self) -> tuple[bytes, float]:
        """All of it, and when its last byte arrived."""
        data = b"".join(self._chunks)
        self._chunks, self._size = [], 0
        return data, self._last


class PatientDecoder:
    """A decoder that is fed chunks of a fast stream a few at a time.

    Where the only time of a reading is its arrival, chunks are not put together: it would be lost.
    """

    def __init__(self, profile: DeviceProfile, device: str) -> None:
        self._decoder = make_decoder(profile, device, joined_midway=True)
        self._gathering = Gathering(0.0 if profile.clock.kind == "arrival" else LONGEST)

    def begin_again(self) -> None:
        """The line was opened again after a loss."""
        self._decoder.begin(joined_midway=True, after_gap=True)

    def began_quietly(self) -> None:
        """See `Decoder`."""
        self._decoder.began_quietly()

    @property
    def waiting(self) -> bool:
        """Whether something waits for more, or for `fell_silent`."""
        return bool(self._gathering) or self._decoder.holding

    def feed(self, chunk: bytes, arrival: float) -> list[Decoded]:
        """Take a chunk; give back what it and those before it hold, or nothing yet."""
        return self._decode() if self._gathering.add(chunk, arrival) else []

    def fell_silent(self) -> list[Decoded]:
        """Nothing more came for a while."""
        return self._decode() + self._decoder.fell_silent()

    def close(self, arrival: float) -> list[Decoded]:
        """The stream has ended."""
        return self._decode() + self._decoder.close(arrival)

    def _decode(self) -> list[Decoded]:
        return self._decoder.feed(*self._gathering.take()) if self._gathering else []
