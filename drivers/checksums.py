"""Checksums of text and binary frames."""

from __future__ import annotations

import binascii
import functools
import operator
import zlib
from collections.abc import Callable


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
