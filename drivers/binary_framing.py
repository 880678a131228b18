"""Binary frames: sync bytes with a known length and a checksum, and COBS."""

from __future__ import annotations

import functools

import numpy as np

from drivers.checksums import CHECKSUMS, RowChecksum
from drivers.frames import EndMarkFramer, FrameRun, Frames, Spoilt
from drivers.wire_spec import BinaryFrames, CobsFrames

#: Bytes of noise that are put into one report. Also bounds what a framer keeps of it.
NOISE_RUN = 256
#: Frames in one chunk from which array work is cheaper than a loop (measured).
ARRAY_FROM = 8
LONGEST_ROW = 256  # [bytes] of a frame for which the tables of array work are made
#: How often the same bytes must have followed a frame before they are taken for the device's habit: another kind of
#: frame, or a line end.
HABIT = 2
HABITS = 64  # kept at most

_row_checksum = functools.lru_cache(maxsize=32)(RowChecksum)


def without_checksum(body: bytes, kind: str, order: str, extra: bytes = b"") -> bytes | None:
    """The frame without its checksum; None where the checksum is wrong. `extra` stands before the body."""
    if kind == "none":
        return body
    function, size = CHECKSUMS[kind]
    if len(body) < size:
        return None
    payload = body[:-size]
    found = int.from_bytes(body[-size:], "big" if order == "big" else "little")
    return payload if function(extra + payload) == found else None


def cobs_decode(frame: bytes) -> bytes | None:
    """Undo COBS of one frame without its zero; None where the frame cannot be one."""
    out = bytearray()
    position = 0
    while position < len(frame):
        code = frame[position]
        block = frame[position + 1 : position + code]
        if code == 0 or len(block) != code - 1 or 0 in block:
            return None
        out += block
        position += code
        if code < 0xFF and position < len(frame):
            out.append(0)
    return bytes(out)


class CobsFramer:
    """Frames ended by a zero byte and stuffed so that they contain none."""

    holding = False

    def __init__(self, spec: CobsFrames) -> None:
        self._spec = spec
        self._marks = EndMarkFramer(b"\x00", spec.longest)
        self.protected = spec.crc != "none"

    def feed(self, chunk: bytes) -> Frames:
        """Take bytes; give back the payloads that they completed."""
        stuffed = self._marks.feed(chunk)
        whole: list[bytes] = []
        frames = Frames(whole, stuffed.spoilt)
        for frame in stuffed.whole:
            body = cobs_decode(frame)
            if not body:
                frames.spoilt.append(Spoilt(frame, "no COBS frame"))
                continue
            payload = without_checksum(body, self._spec.crc, self._spec.crc_order)
            if payload is None:
                frames.spoilt.append(Spoilt(body, f"wrong {self._spec.crc}"))
            else:
                whole.append(payload)
        return frames

    def quiet(self) -> Frames:
        """Nothing is ever held: the zero byte says all."""
        return Frames()

    def rest(self) -> bytes:
        """The bytes of the unfinished frame; forgets them."""
        return self._marks.rest()


class BinaryFramer:
    """Frames that begin with sync bytes.

    A checksum of 16 bits passes one in 65,536 frames whose bytes were shifted by a lost or an added one. Such a frame
    does not end where it seems to, so a frame is believed when it is followed by the sync bytes of the next, by what
    usually follows, or by silence. Until that is known it is held.

    After a frame that is not believed the search goes on one byte later, so that a good frame inside what looked like
    one is still found. Without a checksum, sync bytes inside the payload can mislead it; the profile then says so by
    having none.
    """

    def __init__(self, spec: BinaryFrames) -> None:
        self._spec = spec
        self._sync = bytes.fromhex(spec.sync)
        self._sync_row = np.frombuffer(self._sync, dtype=np.uint8)
        self._check = CHECKSUMS[spec.crc][1] if spec.crc != "none" else 0
        self._length = 0 if spec.payload == "byte" else len(self._sync) + spec.payload + self._check
        self.protected = spec.crc != "none"
        self.holding = False
        self._buffer = bytearray()
        self._noise = bytearray()
        self._why = ""  # the noise is noise, where it began like a frame
        self._followers: dict[bytes, int] = {}

    def feed(self, chunk: bytes) -> Frames:
        """Take bytes; give back the payloads that they completed."""
        self._buffer += chunk
        return self._search(quiet=False)

    def quiet(self) -> Frames:
        """See `Framer`."""
        return self._search(quiet=True) if self.holding else Frames()

    def _search(self, *, quiet: bool) -> Frames:
        frames = Frames(held=self.holding)
        self.holding = False
        buffer = self._buffer
        run = self._good_run()
        at = len(run) * self._length if run is not None else 0
        single: list[bytes] = []
        while True:
            start = buffer.find(self._sync, at)
            if start < 0:
                at = self._skip(at, max(at, len(buffer) - len(self._sync) + 1), frames)
                break
            at = self._skip(at, start, frames)
            end = self._end(start)
            if end is None or end > len(buffer):
                break
            payload = self._payload(start, end)
            believed = payload is not None and self._ends_there(end, quiet)
            if believed is None:
                self.holding = True
                break
            if payload is None or not believed:
                frames.held &= run is not None or bool(single)
                self._why = f"wrong {self._spec.crc}" if payload is None else "no frame begins where this one ends"
                at = self._skip(at, start + 1, frames)
                continue
            self._tell_noise(frames)
            single.append(payload)
            at = end
        del buffer[:at]
        frames.whole = single if run is None else [*run, *single] if single else run
        return frames

    def _ends_there(self, end: int, quiet: bool) -> bool | None:
        """Whether what follows the frame lets it be one; None where that has still to come."""
        size = len(self._sync)
        follower = bytes(self._buffer[end : end + size])
        if len(follower) == size:
            return follower == self._sync or self._is_usual(follower)
        if not quiet:
            return None
        usual = [self._sync, *(one for one, count in self._followers.items() if count >= HABIT)]
        return any(one.startswith(follower) for one in usual)

    def _is_usual(self, follower: bytes) -> bool:
        count = self._followers.get(follower, 0)
        if not count and len(self._followers) >= HABITS:
            self._followers.clear()
        self._followers[follower] = count + 1
        return count >= HABIT

    def _good_run(self) -> FrameRun | None:
        """Frames of fixed length that follow each other without fault, the usual case; None where they are few."""
        length, head, end = self._length, len(self._sync), self._length - self._check
        if not length or length > LONGEST_ROW or self._noise or len(self._buffer) < ARRAY_FROM * length:
            return None
        data = bytes(self._buffer)
        count = len(data) // length
        table = np.frombuffer(data, dtype=np.uint8, count=count * length).reshape(count, length)
        good = (table[:, :head] == self._sync_row).all(axis=1)
        if self._check:
            before = self._sync if self._spec.crc_from_sync else b""
            found = _row_checksum(self._spec.crc, end - head, before).of(table[:, head:end])
            order = "<" if self._spec.crc_order == "little" else ">"
            stored = np.ascontiguousarray(table[:, end:]).view(f"{order}u{self._check}").ravel()
            good &= stored == found
        run = count if good.all() else int(np.argmin(good))
        if not data.startswith(self._sync, run * length):
            run -= 1  # whether the last one ends there is judged with the others
        return FrameRun(table[:run, head:end]) if run > 0 else None

    def _end(self, start: int) -> int | None:
        head = start + len(self._sync)
        if self._spec.payload != "byte":
            return head + self._spec.payload + self._check
        if head >= len(self._buffer):
            return None
        return head + 1 + self._buffer[head] + self._check

    def _payload(self, start: int, end: int) -> bytes | None:
        head = start + len(self._sync)
        extra = self._sync if self._spec.crc_from_sync else b""
        body = without_checksum(bytes(self._buffer[head:end]), self._spec.crc, self._spec.crc_order, extra)
        if body is None or self._spec.payload != "byte":
            return body
        return body[1:]

    def _skip(self, begin: int, end: int, frames: Frames) -> int:
        noise = self._noise
        noise += self._buffer[begin:end]
        while len(noise) >= NOISE_RUN:
            frames.spoilt.append(Spoilt(bytes(noise[:NOISE_RUN]), "bytes outside any frame"))
            del noise[:NOISE_RUN]
        return end

    def _tell_noise(self, frames: Frames) -> None:
        if self._noise:
            frames.spoilt.append(Spoilt(bytes(self._noise), self._why or "bytes outside any frame"))
            self._noise.clear()
        self._why = ""

    def rest(self) -> bytes:
        """The bytes of the unfinished frame and of noise not told yet; forgets them."""
        left = bytes(self._noise + self._buffer)
        self._noise.clear()
        self._buffer.clear()
        return left
