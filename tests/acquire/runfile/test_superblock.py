"""The superblock is read and mended in pure Python; the checksum against published values and against the library."""

from __future__ import annotations

import h5py
import pytest

from acquire.runfile.superblock import SuperblockError, lookup3, mended, read_superblock


@pytest.mark.parametrize(
    ("text", "checksum"),
    [
        # Bob Jenkins, lookup3.c (public domain), driver5(): hashlittle with initial value 0 (from memory)
        (b"", 0xDEADBEEF),
        (b"Four score and seven years ago", 0x17770551),
    ],
)
def test_the_checksum_is_lookup3(text, checksum):
    assert lookup3(text) == checksum


@pytest.mark.parametrize("length", range(45))
def test_the_checksum_depends_on_every_byte(length):
    data = bytearray(range(45))
    changed = bytearray(data)
    changed[length] ^= 1
    assert lookup3(bytes(data)) != lookup3(bytes(changed))


def test_it_agrees_with_the_library(tmp_path):
    path = tmp_path / "x.h5"
    with h5py.File(path, "w", libver=("v110", "v110")) as file:
        file["a"] = [1, 2, 3]
    found = read_superblock(path.read_bytes()[:96])
    assert found.checksum_ok
    assert found.version == 3
    assert found.flags == 0
    assert found.end_of_file == path.stat().st_size


def test_mending_sets_the_length_and_clears_the_mark(tmp_path):
    path = tmp_path / "x.h5"
    with h5py.File(path, "w", libver=("v110", "v110")) as file:
        file["a"] = [1, 2, 3]
        file.flush()
        data = path.read_bytes()[:48]
    new = mended(data, 12345)
    found = read_superblock(new)
    assert (found.flags, found.end_of_file, found.checksum_ok) == (0, 12345, True)
    assert new[:11] == data[:11]


@pytest.mark.parametrize(
    ("data", "text"),
    [
        (b"", "is empty"),
        (b"x" * 48, "is not an HDF5 file"),
        (b"\x89HDF\r\n\x1a\n\x03\x08", "is cut off after 10 bytes"),
        (b"\x89HDF\r\n\x1a\n\x03\x04" + b"\0" * 40, "has addresses of 4 bytes"),
    ],
)
def test_other_beginnings_are_refused(data, text):
    with pytest.raises(SuperblockError, match=text):
        read_superblock(data)


def test_old_versions_have_no_mark_to_clear():
    data = b"\x89HDF\r\n\x1a\n\x00\x08" + b"\0" * 40
    assert read_superblock(data).flags == 0
    with pytest.raises(SuperblockError, match="version 0"):
        mended(data, 48)
