"""Binary frames: sync bytes with a known length and a checksum, and COBS."""

from __future__ import annotations

import numpy as np

from drivers.checksums import CHECKSUMS
from drivers.frames import EndMarkFramer, Frames, Spoilt
from drivers.wire_spec import BinaryFrames, CobsFrames

#: Bytes of noise that are put into one report. Also bounds what a framer keeps of it.
NOISE_RUN = 256
#: Frames in one chunk from which array work is cheaper than a loop (measured).
ARRAY_FROM = 12


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

    def __init__(self, spec: CobsFrames) -> None:
        self._spec = spec
        self._marks = EndMarkFramer(b"\x00", spec.longest)
        self.protected = spec.crc != "none"

    def feed(self, chunk: bytes) -> Frames:
        """Take bytes; give back the payloads that they completed."""
        stuffed = self._marks.feed(chunk)
        frames = Frames(spoilt=stuffed.spoilt)
        for frame in stuffed.whole:
            body = cobs_decode(frame)
            if not body:
                frames.spoilt.append(Spoilt(frame, "no COBS frame"))
                continue
            payload = without_checksum(body, self._spec.crc, self._spec.crc_order)
            if payload is None:
                frames.spoilt.append(Spoilt(body, f"wrong {self._spec.crc}"))
            else:
                frames.whole.append(payload)
        return frames

    def rest(self) -> bytes:
        """The bytes of the unfinished frame; forgets them."""
        return self._marks.rest()


class BinaryFramer:
    """Frames that begin with sync bytes.

    After a frame that fails its checksum the search goes on one byte later, so that a good frame inside what
    looked like one is still found. Without a checksum, sync bytes inside the payload can mislead it; the profile
    then says so by having none.
    """

    def __init__(self, spec: BinaryFrames) -> None:
        self._spec = spec
        self._sync = bytes.fromhex(spec.sync)
        self._sync_row = np.frombuffer(self._sync, dtype=np.uint8)
        self._check = CHECKSUMS[spec.crc][1] if spec.crc != "none" else 0
        self._length = 0 if spec.payload == "byte" else len(self._sync) + spec.payload + self._check
        self.protected = spec.crc != "none"
        self._buffer = bytearray()
        self._noise = bytearray()
        self._failed = False

    def feed(self, chunk: bytes) -> Frames:
        """Take bytes; give back the payloads that they completed."""
        frames = Frames()
        buffer = self._buffer
        buffer += chunk
        at = self._good_run(frames) if self._spec.payload != "byte" and not self._noise else 0
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
            if payload is None:
                self._failed = True
                at = self._skip(at, start + 1, frames)
                continue
            self._tell_noise(frames)
            frames.whole.append(payload)
            at = end
        del buffer[:at]
        return frames

    def _good_run(self, frames: Frames) -> int:
        """Frames of fixed length that follow each other without fault, the usual case; where the first other begins."""
        length, head, end = self._length, len(self._sync), self._length - self._check
        data = bytes(self._buffer)
        count = len(data) // length
        if count < ARRAY_FROM:
            return 0
        table = np.frombuffer(data, dtype=np.uint8, count=count * length).reshape(count, length)
        good = (table[:, :head] == self._sync_row).all(axis=1)
        if self._check:
            function = CHECKSUMS[self._spec.crc][0]
            begin = 0 if self._spec.crc_from_sync else head
            found = [function(data[at + begin : at + end]) for at in range(0, count * length, length)]
            order = "<" if self._spec.crc_order == "little" else ">"
            stored = np.ascontiguousarray(table[:, end:]).view(f"{order}u{self._check}").ravel()
            good &= stored == np.array(found)
        run = count if good.all() else int(np.argmin(good))
        frames.whole += [data[at + head : at + end] for at in range(0, run * length, length)]
        return run * length

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
            reason = f"wrong {self._spec.crc}" if self._failed else "bytes outside any frame"
            frames.spoilt.append(Spoilt(bytes(self._noise), reason))
            self._noise.clear()
        self._failed = False

    def rest(self) -> bytes:
        """The bytes of the unfinished frame and of noise not told yet; forgets them."""
        left = bytes(self._noise + self._buffer)
        self._noise.clear()
        self._buffer.clear()
        return left
