"""Checksums of text and binary frames."""

from __future__ import annotations

import binascii
import functools
import operator


def xor8(data: bytes) -> int:
    """Exclusive or of all bytes, as NMEA 0183 takes it between `$` and `*`."""
    return functools.reduce(operator.xor, data, 0)


def crc16_ccitt(data: bytes) -> int:
    """CRC-16/IBM-3740 ("CCITT-FALSE"): polynomial 0x1021, start 0xFFFF; check value of "123456789" is 0x29B1."""
    return binascii.crc_hqx(data, 0xFFFF)
