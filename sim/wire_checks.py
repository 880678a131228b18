"""Checksums and byte stuffing of a simulated device, bit by bit from their definitions."""

from __future__ import annotations


def crc(data: bytes, *, width: int, polynomial: int, start: int, reflected: bool, final: int = 0) -> int:
    """Cyclic redundancy check, one bit at a time (Williams, A painless guide to CRC error detection, 1993)."""
    top, mask, register = 1 << (width - 1), (1 << width) - 1, start
    for byte in data:
        if reflected:
            byte = int(f"{byte:08b}"[::-1], 2)
        register ^= byte << (width - 8)
        for _ in range(8):
            register = ((register << 1) ^ (polynomial if register & top else 0)) & mask
    if reflected:
        register = int(f"{register:0{width}b}"[::-1], 2)
    return register ^ final


#: name in a profile: (bytes, function)
CHECKS = {
    "none": (0, lambda data: 0),
    "crc16-ccitt": (2, lambda data: crc(data, width=16, polynomial=0x1021, start=0xFFFF, reflected=False)),
    "crc16-modbus": (2, lambda data: crc(data, width=16, polynomial=0x8005, start=0xFFFF, reflected=True)),
    "crc32": (
        4,
        lambda data: crc(data, width=32, polynomial=0x04C11DB7, start=0xFFFFFFFF, reflected=True, final=0xFFFFFFFF),
    ),
    "sum8": (1, lambda data: sum(data) % 256),
    "xor8": (1, lambda data: xor(data)),
}


def xor(data: bytes) -> int:
    """Exclusive or of all bytes."""
    # Folding one big number is several times faster than going byte by byte.
    value = int.from_bytes(data, "little")
    for width in (1 << n for n in range(max(value.bit_length() - 1, 8).bit_length() - 1, 2, -1)):
        value = (value & ((1 << width) - 1)) ^ (value >> width)
    return value


def cobs(data: bytes) -> bytes:
    """Consistent overhead byte stuffing without the zero that ends a frame (Cheshire and Baker, 1999)."""
    out = bytearray()
    for number, part in enumerate(data.split(b"\0")):
        del number
        while len(part) >= 254:
            out += b"\xff" + part[:254]
            part = part[254:]
        out += bytes([len(part) + 1]) + part
    return bytes(out)
