"""The first bytes of an HDF5 file, read and mended in pure Python; knows nothing of what is inside.

HDF5 marks a file in its superblock while it is open for writing.  After a kill the mark stays and libraries refuse
the file.  Clearing the mark with the usual tool truncates such a file to a stale length (measured: 332 kB to 12 kB);
here the mark is cleared, the end of the file is set to its true length, and the checksum is computed again.

Source: HDF5 File Format Specification version 3.0, section II.A (superblock versions 2 and 3); the checksum is
Bob Jenkins' lookup3 "hashlittle" with initial value 0, as that specification says.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass

from acquire.runfile import refusals

SIGNATURE = b"\x89HDF\r\n\x1a\n"
SIZE = 48  # bytes of a version 2 or 3 superblock with 8-byte addresses
OPEN_FOR_WRITE, OPEN_FOR_SWMR = 1, 4
OPEN_FLAGS = OPEN_FOR_WRITE | OPEN_FOR_SWMR


class SuperblockError(ValueError):
    """The first bytes are not those of a file we write; the text says what was found."""


@dataclass(frozen=True)
class Superblock:
    version: int
    flags: int  # consistency flags: 0 closed, 1 open for writing, 5 open for writing with readers
    end_of_file: int  # address
    checksum_ok: bool


def read_superblock(data: bytes) -> Superblock:
    """Read it from the first bytes of a file.

    Raises
    ------
    SuperblockError
        Empty, cut short, no HDF5 file, or a superblock version that we never write.
    """
    if not data:
        raise SuperblockError(refusals.EMPTY)
    if data[:8] != SIGNATURE:
        raise SuperblockError(refusals.NO_HDF5)
    if len(data) < SIZE:
        raise SuperblockError(refusals.CUT.format(count=len(data)))
    if data[8] not in (2, 3):
        # versions 0 and 1 have no flags; such a file may be read, we just did not write it
        return Superblock(data[8], 0, 0, True)
    if data[9] != 8:
        raise SuperblockError(refusals.ADDRESSES.format(count=data[9]))
    end_of_file = struct.unpack_from("<Q", data, 28)[0]
    stored = struct.unpack_from("<I", data, 44)[0]
    return Superblock(data[8], data[11], end_of_file, stored == lookup3(data[:44]))


def mended(data: bytes, length: int) -> bytes:
    """The superblock with the open mark cleared and the end of the file at `length`.

    Parameters
    ----------
    data
        The first 48 bytes of the file.
    length
        Bytes in the file.
    """
    found = read_superblock(data)
    if found.version not in (2, 3):
        raise SuperblockError(f"has a superblock of version {found.version}, which has no open mark")
    head = bytearray(data[:44])
    head[11] = 0
    struct.pack_into("<Q", head, 28, length)
    return bytes(head) + struct.pack("<I", lookup3(bytes(head)))


def lookup3(data: bytes) -> int:
    """32-bit checksum of these bytes."""

    def rotated(value: int, by: int) -> int:
        return ((value << by) | (value >> (32 - by))) & 0xFFFFFFFF

    mask = 0xFFFFFFFF
    a = b = c = (0xDEADBEEF + len(data)) & mask
    rest = data
    while len(rest) > 12:
        x, y, z = struct.unpack_from("<III", rest)
        a, b, c = (a + x) & mask, (b + y) & mask, (c + z) & mask
        a = ((a - c) & mask) ^ rotated(c, 4)
        c = (c + b) & mask
        b = ((b - a) & mask) ^ rotated(a, 6)
        a = (a + c) & mask
        c = ((c - b) & mask) ^ rotated(b, 8)
        b = (b + a) & mask
        a = ((a - c) & mask) ^ rotated(c, 16)
        c = (c + b) & mask
        b = ((b - a) & mask) ^ rotated(a, 19)
        a = (a + c) & mask
        c = ((c - b) & mask) ^ rotated(b, 4)
        b = (b + a) & mask
        rest = rest[12:]
    if not rest:
        return c
    x, y, z = struct.unpack("<III", rest.ljust(12, b"\0"))
    a, b, c = (a + x) & mask, (b + y) & mask, (c + z) & mask
    c = ((c ^ b) - rotated(b, 14)) & mask
    a = ((a ^ c) - rotated(c, 11)) & mask
    b = ((b ^ a) - rotated(a, 25)) & mask
    c = ((c ^ b) - rotated(b, 16)) & mask
    a = ((a ^ c) - rotated(c, 4)) & mask
    b = ((b ^ a) - rotated(a, 14)) & mask
    return ((c ^ b) - rotated(b, 24)) & mask
