"""The CRC-32 of many checked frames in a row, worked out from where they lie alone; for checking them all at once.

CRC-32 is linear: moving a sum past n more bytes multiplies it by x^8n, and sums of stretches are then added without
carry (as in zlib's `crc32_combine`). A frame that ends with the CRC-32 of what is before it always has the same sum,
whatever it holds. So the sum over a whole stretch of frames depends on their places only, and one pass over the bytes
tells whether every frame is right: wrong ones pass once in 2^32, as with each by itself.
"""

from __future__ import annotations

import functools
import zlib

import numpy as np
from numpy.typing import NDArray

#: CRC-32 over anything with its own CRC-32 behind it, little-endian.
RESIDUE = 0x2144DF1C
_DIGITS = 4  # of a distance, to the base of 256: up to 4 GB


def moved(total: int, length: int) -> int:
    """A sum, past so many more bytes of another stretch."""
    zeros = bytes(length)
    return zlib.crc32(zeros, total) ^ zlib.crc32(zeros)


def expected_crc(starts: NDArray[np.int64], length: int, mark: bytes) -> int:
    """CRC-32 over frames that each begin with `mark` and end with the CRC-32 of what is between.

    Parameters
    ----------
    starts
        Of the frames; the first is 0, each begins where the one before ends.
    length
        Where the last one ends.
    """
    # At a place where one frame ends and the next begins, the sum of the first and that of the mark come together.
    between = moved(RESIDUE, len(mark)) ^ zlib.crc32(mark)
    total = _sum_of_moved(between, length - len(mark) - starts[1:])
    first = np.array([length - len(mark)], np.int64)
    return total ^ _sum_of_moved(zlib.crc32(mark), first) ^ RESIDUE


def _sum_of_moved(total: int, distances: NDArray[np.int64]) -> int:
    """One sum moved by each of these distances, added up."""
    values = np.full(len(distances), total, np.uint32)
    for digit in range(_DIGITS):
        chosen = (distances >> (8 * digit)) & 255
        if chosen.any():
            tables = _tables(digit)
            places = values.view(np.uint8).reshape(-1, 4) if len(values) else np.empty((0, 4), np.uint8)
            values = functools.reduce(
                np.bitwise_xor, (tables[chosen, byte, places[:, byte]] for byte in range(4))
            ).astype(np.uint32)
    return int(np.bitwise_xor.reduce(values, initial=np.uint32(0)))


@functools.cache
def _tables(digit: int) -> NDArray[np.uint32]:
    """What moving by d times 256^digit bytes makes of each byte of a sum: (d, byte, value)."""
    unit = _unit(digit)
    bits = np.array([1 << bit for bit in range(32)], np.uint32)
    images = np.empty((256, 32), np.uint32)  # of the 32 bits, for each d
    images[0] = bits
    step = _table_of(np.array([[unit(int(bit)) for bit in bits]], np.uint32))[0]
    for count in range(1, 256):
        images[count] = _apply(step, images[count - 1])
    return _table_of(images)


def _unit(digit: int):
    """Moving by 256^digit bytes."""
    if digit < 2:
        return lambda total: moved(total, 256**digit)
    previous = _tables(digit - 1)
    last, one = previous[255], previous[1]
    return lambda total: int(_apply(one, _apply(last, np.array([total], np.uint32)))[0])


def _apply(table: NDArray[np.uint32], values: NDArray[np.uint32]) -> NDArray[np.uint32]:
    places = np.ascontiguousarray(values, "<u4").view(np.uint8).reshape(-1, 4)
    return table[0, places[:, 0]] ^ table[1, places[:, 1]] ^ table[2, places[:, 2]] ^ table[3, places[:, 3]]


def _table_of(images: NDArray[np.uint32]) -> NDArray[np.uint32]:
    """(d, byte, value) -> image, from the images of the 32 bits for each d."""
    table = np.zeros((len(images), 4, 256), np.uint32)
    for bit in range(32):
        with_bit = np.flatnonzero((np.arange(256) >> (bit % 8)) & 1)
        table[:, bit // 8, with_bit] ^= images[:, bit : bit + 1]
    return table
