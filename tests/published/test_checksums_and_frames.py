"""Check values of checksums and frames that others have published.

Sources: the catalogue of parametrised CRC algorithms (check value of "123456789" of each, from memory) with the
package fastcrc as a second route; the Modbus over serial line guide for the request 01 03 00 00 00 01; the NMEA 0183
sentence GPGLL as widely printed; the COBS article of Cheshire and Baker (1999) for 11 22 00 33.
"""

import zlib

import pytest
from fastcrc import crc16
from hypothesis import given
from hypothesis import strategies as st

from drivers.binary_framing import cobs_decode
from drivers.checksums import CHECKSUMS, crc16_ccitt, crc16_modbus, xor8

CHECK = b"123456789"


@pytest.mark.parametrize(
    ("name", "value"),
    [("crc16-ccitt", 0x29B1), ("crc16-modbus", 0x4B37), ("crc32", 0xCBF43926), ("sum8", 0xDD), ("xor8", 0x31)],
)
def test_the_check_value_of_a_checksum(name, value):
    assert CHECKSUMS[name][0](CHECK) == value


def test_the_modbus_request_carries_84_0a():
    assert crc16_modbus(bytes.fromhex("010300000001")).to_bytes(2, "little") == bytes.fromhex("840A")


def test_the_printed_nmea_sentence_has_checksum_31():
    assert xor8(b"GPGLL,4916.45,N,12311.12,W,225444,A") == 0x31


def test_the_printed_cobs_frame():
    assert cobs_decode(bytes.fromhex("0311220233")) == bytes.fromhex("11220033")


@given(st.binary(max_size=300))
def test_crcs_agree_with_another_library(data):
    assert crc16_ccitt(data) == crc16.ibm_3740(data)
    assert crc16_modbus(data) == crc16.modbus(data)
    assert CHECKSUMS["crc32"][0](data) == zlib.crc32(data)
