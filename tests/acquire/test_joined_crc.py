"""The sum over many frames, against zlib's own over the very bytes."""

from __future__ import annotations

import zlib

import numpy as np
import pytest

from acquire.joined_crc import RESIDUE, expected_crc, moved

MARK = b"MARK"


def frames(sizes, seed=0):
    rng = np.random.default_rng(seed)
    out = []
    for size in sizes:
        body = rng.bytes(size)
        out.append(MARK + body + zlib.crc32(body).to_bytes(4, "little"))
    return out


def places(made):
    ends = np.cumsum([len(one) for one in made])
    return np.concatenate([[0], ends[:-1]]).astype(np.int64), int(ends[-1])


def test_a_sum_is_moved_as_zlib_would_go_on():
    one, other = b"first stretch", b"and another one, longer"
    assert moved(zlib.crc32(one), len(other)) ^ zlib.crc32(other) == zlib.crc32(one + other)


def test_anything_with_its_own_sum_has_the_residue():
    for made in frames([0, 1, 5, 1000]):
        assert zlib.crc32(made[len(MARK) :]) == RESIDUE


@pytest.mark.parametrize(
    "sizes", [[0], [3], [0, 0], [1, 2, 3], [300] * 500, [70_000, 1, 255, 256, 65_536], [1 << 24, 5]]
)
def test_the_sum_over_frames_needs_their_places_only(sizes):
    made = frames(sizes)
    assert expected_crc(*places(made), MARK) == zlib.crc32(b"".join(made))


def test_any_changed_bit_shows():
    made = frames([7, 30, 12, 200])
    data = b"".join(made)
    expected = expected_crc(*places(made), MARK)
    for place in range(8 * len(data)):
        spoilt = bytearray(data)
        spoilt[place // 8] ^= 1 << place % 8
        assert zlib.crc32(spoilt) != expected
