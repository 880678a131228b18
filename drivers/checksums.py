"""Checksums of text and binary frames."""

from __future__ import annotations

import binascii
import functools
import operator
import zlib
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray


def xor8(data: bytes) -> int:
    """Exclusive or of all bytes, as NMEA 0183 takes it between `$` and `*`."""
    return functools.reduce(operator.xor, data, 0)


def crc16_ccitt(data: bytes) -> int:
    """CRC-16/IBM-3740 ("CCITT-FALSE"): polynomial 0x1021, start 0xFFFF; check value of "123456789" is 0x29B1."""
    return binascii.crc_hqx(data, 0xFFFF)


def _table(polynomial: int) -> tuple[int, ...]:
    rows = []
    for byte in range(256):
        for _ in range(8):
            byte = byte >> 1 ^ (polynomial if byte & 1 else 0)
        rows.append(byte)
    return tuple(rows)


_MODBUS = _table(0xA001)


def crc16_modbus(data: bytes) -> int:
    """CRC-16/MODBUS: polynomial 0x8005 reflected, start 0xFFFF; check value of "123456789" is 0x4B37."""
    crc = 0xFFFF
    for byte in data:
        crc = crc >> 8 ^ _MODBUS[(crc ^ byte) & 0xFF]
    return crc


#: Name in a profile -> (function, bytes on the wire).
CHECKSUMS: dict[str, tuple[Callable[[bytes], int], int]] = {
    "crc16-ccitt": (crc16_ccitt, 2),
    "crc16-modbus": (crc16_modbus, 2),
    "crc32": (zlib.crc32, 4),
    "sum8": (lambda data: sum(data) & 0xFF, 1),
    "xor8": (xor8, 1),
}


class RowChecksum:
    """One kind of checksum of many messages of one length at once.

    All kinds but the sum are straight lines over bits: the checksum of a message is that of zeros, changed by what
    each of its bytes changes alone. One table of that for each place makes array work of it, a few times faster than
    a call for each message.

    Parameters
    ----------
    kind
        A name of `CHECKSUMS`.
    length
        Bytes of each message, without its checksum.
    before
        Bytes that the checksum covers and that stand before each message.
    """

    def __init__(self, kind: str, length: int, before: bytes = b"") -> None:
        function = CHECKSUMS[kind][0]
        zeros = bytes(length)
        self._sums = kind == "sum8"
        self._base = np.uint32(function(before + zeros))
        self._changes = np.zeros(256 * length, dtype=np.uint32)
        self._places = 256 * np.arange(length, dtype=np.intp)[:, np.newaxis]
        for place in range(0 if self._sums else length):
            row = self._changes[256 * place : 256 * (place + 1)]
            for bit in range(8):
                message = zeros[:place] + bytes([1 << bit]) + zeros[place + 1 :]
                row[1 << bit : 2 << bit] = row[: 1 << bit] ^ np.uint32(function(before + message)) ^ self._base

    def of(self, rows: NDArray[np.uint8]) -> NDArray[np.uint32]:
        """The checksum of each row; shape (n,) for rows of shape (n, length)."""
        if self._sums:
            return (rows.sum(axis=1, dtype=np.uint32) + self._base) & np.uint32(0xFF)
        return np.bitwise_xor.reduce(self._changes.take(rows.T + self._places), axis=0) ^ self._base
