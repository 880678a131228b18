"""The form of an unknown binary stream, where a checksum gives it away: COBS, or sync bytes with a fixed length."""

from __future__ import annotations

import itertools
import struct
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from drivers.binary_framing import cobs_decode, without_checksum
from drivers.checksums import CHECKSUMS

FEWEST_FRAMES = 4
BELIEVED = 0.8
LONGEST = 64  # bytes of a frame that is searched for; longer ones need the device's manual
_KINDS = ("crc16-ccitt", "crc16-modbus", "crc32", "sum8", "xor8")
_ORDERS = ("little", "big")


@dataclass
class BinaryGuess:
    """Tables of a profile, numbers by field, whole frames as they came."""

    framing: dict[str, object]
    decoding: dict[str, object]
    columns: dict[int | str, list[float]]
    samples: list[bytes]
    share: float
    reason: str


def guess_binary(data: bytes) -> BinaryGuess | None:
    """The form whose checksum is right in nearly every frame, or None. Without a checksum nothing is guessed."""
    return _cobs(data) or _synced(data)


def _cobs(data: bytes) -> BinaryGuess | None:
    pieces = [piece for piece in data.split(b"\x00")[1:-1] if piece]
    bodies = [(piece, body) for piece in pieces for body in [cobs_decode(piece)] if body]
    for kind in _KINDS:
        for order in _ORDERS:
            good = [
                (piece, payload)
                for piece, body in bodies
                for payload in [without_checksum(body, kind, order)]
                if payload
            ]
            if len(good) >= max(FEWEST_FRAMES, BELIEVED * len(pieces)):
                framing = {"kind": "cobs", "crc": kind, "crc_order": order}
                samples = [piece + b"\x00" for piece, _ in good]
                reason = f"{len(good)} COBS frames with a right {kind}"
                return _with_layout(framing, [payload for _, payload in good], samples, len(good) / len(pieces), reason)
    return None


def _synced(data: bytes) -> BinaryGuess | None:
    data = data[:8192]  # enough for the frames that count; the search is for every length
    for length in range(4, LONGEST + 1):
        for starts in _period_starts(data, length):
            sync = data[starts[0] : starts[0] + 2]
            for kind, order, from_sync in itertools.product(_KINDS, _ORDERS, (False, True)):
                guess = _checked(data, starts, length, sync, kind, order, from_sync)
                if guess is not None:
                    return guess
    return None


def _period_starts(data: bytes, length: int) -> Iterator[list[int]]:
    """Where two bytes repeat at every `length`, for each pair that does nearly always."""
    for first in range(length):
        places = range(first, len(data) - length + 1, length)
        if len(places) < FEWEST_FRAMES:
            return
        pair, count = Counter(data[place : place + 2] for place in places).most_common(1)[0]
        # Zero bytes repeat in the upper half of many a number; they make a poor sync.
        if count >= BELIEVED * len(places) and pair[0] != 0:
            yield [place for place in places if data[place : place + 2] == pair]


def _checked(
    data: bytes, starts: list[int], length: int, sync: bytes, kind: str, order: str, from_sync: bool
) -> BinaryGuess | None:
    extra = sync if from_sync else b""
    good = []
    for start in starts:
        payload = without_checksum(data[start + 2 : start + length], kind, order, extra)
        if payload:
            good.append((data[start : start + length], payload))
    if len(good) < max(FEWEST_FRAMES, BELIEVED * len(starts)):
        return None
    framing: dict[str, object] = {
        "kind": "binary",
        "sync": sync.hex().upper(),
        "payload": length - 2 - CHECKSUMS[kind][1],
        "crc": kind,
        "crc_order": order,
    }
    if from_sync:
        framing["crc_from_sync"] = True
    reason = f"{len(good)} frames of {length} bytes after {sync.hex(' ').upper()} with a right {kind}"
    return _with_layout(framing, [one for _, one in good], [one for one, _ in good], len(good) / len(starts), reason)


def _with_layout(
    framing: Mapping[str, object], payloads: list[bytes], samples: list[bytes], share: float, reason: str
) -> BinaryGuess | None:
    size = Counter(map(len, payloads)).most_common(1)[0][0]
    payloads = [payload for payload in payloads if len(payload) == size]
    best: tuple[int, list[dict[str, object]], dict[int | str, list[float]], str] | None = None
    for order in _ORDERS:
        fields, columns = _layout(payloads, size, order)
        if best is None or len(columns) > best[0]:
            best = (len(columns), fields, columns, order)
    if best is None or not best[2]:
        return None
    decoding: dict[str, object] = {"kind": "packed", "order": best[3], "fields": best[1]}
    return BinaryGuess(dict(framing), decoding, best[2], samples, share, reason)


def _layout(
    payloads: list[bytes], size: int, order: str
) -> tuple[list[dict[str, object]], dict[int | str, list[float]]]:
    """Floats that hold still and whole numbers that only go up, from the front; what is neither is left out."""
    mark = "<" if order == "little" else ">"
    fields: list[dict[str, object]] = []
    columns: dict[int | str, list[float]] = {}
    place = 0
    while place < size:
        for kind, code in (("f32", "f"), ("u32", "I"), ("u16", "H")):
            width = struct.calcsize(code)
            if place + width > size:
                continue
            numbers = [struct.unpack_from(mark + code, payload, place)[0] for payload in payloads]
            if (_steady_floats if kind == "f32" else _rising)(numbers):
                name = f"{kind}_at_{place}"
                fields.append({"name": name, "type": kind})
                columns[name] = [float(number) for number in numbers]
                place += width
                break
        else:
            fields.append({"type": "skip"})
            place += 1
    return fields, columns


def _steady_floats(numbers: Sequence[float]) -> bool:
    """Of one size that people use, and not jumping about."""
    size = [abs(number) for number in numbers]
    return all(1e-3 < one < 1e7 for one in size) and max(size) < 1.5 * min(size)


def _rising(numbers: Sequence[int]) -> bool:
    steps = [after - before for before, after in itertools.pairwise(numbers)]
    return bool(steps) and all(step > 0 for step in steps) and max(steps) <= 20 * min(steps)
