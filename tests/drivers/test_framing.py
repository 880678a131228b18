"""Frames: the same whatever the cuts, bounded, nothing silently dropped."""

import pytest
from cobs import cobs
from hypothesis import given, settings
from hypothesis import strategies as st

from drivers.binary_framing import NOISE_RUN, cobs_decode
from drivers.checksums import CHECKSUMS, crc16_ccitt
from drivers.framing import make_framer
from drivers.wire_spec import BinaryFrames, CobsFrames, TextLines

TINY = TextLines(kind="lines", longest=8)
CRLF = TextLines(kind="lines", end="\r\n", longest=8)
BINARY = BinaryFrames(kind="binary", sync="A55A", payload=3, crc="crc16-ccitt")
COUNTED = BinaryFrames(kind="binary", sync="A5", payload="byte", crc="sum8", crc_from_sync=True)
COBS = CobsFrames(kind="cobs", longest=16, crc="crc16-ccitt")
# Few symbols and tiny limits: random bytes over all 256 values almost never put an end mark next to the length
# limit, where the mistakes are.
LETTERS = {
    "lines": "x\r\n",
    "crlf": "x\r\n",
    "binary": "\x5a\xa5\x01",
    "counted": "\xa5\x00\x01\x02",
    "cobs": "\x00\x01\x02\x03",
}
SPECS = {"lines": TINY, "crlf": CRLF, "binary": BINARY, "counted": COUNTED, "cobs": COBS}


def framed(spec, pieces):
    framer = make_framer(spec)
    whole, spoilt = [], []
    for piece in pieces:
        frames = framer.feed(piece)
        whole += frames.whole
        spoilt += frames.spoilt
    frames = framer.quiet()
    return [*whole, *frames.whole], spoilt + frames.spoilt, framer.rest()


@pytest.mark.parametrize("name", SPECS)
@settings(max_examples=150, deadline=None)
@given(data=st.data())
def test_frames_do_not_depend_on_the_cuts(name, data):
    stream = data.draw(st.text(LETTERS[name], max_size=40)).encode("latin-1")
    cuts = sorted(data.draw(st.lists(st.integers(0, len(stream)), max_size=5)))
    pieces = [stream[a:b] for a, b in zip([0, *cuts], [*cuts, len(stream)], strict=True)]
    assert framed(SPECS[name], pieces) == framed(SPECS[name], [stream])
    assert framed(SPECS[name], [stream[n : n + 1] for n in range(len(stream))]) == framed(SPECS[name], [stream])


@pytest.mark.parametrize("end", [b"\n", b"\r", b"\r\n", b"\n\r"])
def test_any_usual_line_end_ends_a_line(end):
    assert framed(TINY, [b"abc" + end + b"def" + end])[0] == [b"abc", b"def"]


def test_only_the_stated_end_ends_a_line():
    assert framed(CRLF, [b"ab\ncd\r\nef\r"]) == ([b"ab\ncd"], [], b"ef\r")


def test_a_line_as_long_as_the_limit_is_whole_and_one_byte_more_is_spoilt():
    whole, spoilt, _ = framed(TINY, [b"12345678\n123456789\nx\n"])
    assert whole == [b"12345678", b"x"]
    assert [one.reason for one in spoilt] == ["a line of 9 bytes, longer than 8"]


def test_a_line_that_was_too_long_does_not_spoil_the_next():
    pieces = [b"1234567", b"89012", b"345\nab", b"c\n"]
    whole, spoilt, _ = framed(TINY, pieces)
    assert whole == [b"abc"]
    assert [one.data for one in spoilt] == [b"123456789012345"]


def frame(payload: bytes) -> bytes:
    return b"\xa5\x5a" + payload + crc16_ccitt(payload).to_bytes(2, "little")


def test_binary_frames_are_found_between_noise():
    stream = b"noise" + frame(b"abc") + frame(b"def") + b"\xa5\x5a"
    whole, spoilt, rest = framed(BINARY, [stream])
    assert whole == [b"abc", b"def"]
    assert [one.data for one in spoilt] == [b"noise"]
    assert rest == b"\xa5\x5a"


def test_a_good_frame_inside_what_looked_like_one_is_still_found():
    whole, spoilt, _ = framed(BINARY, [b"\xa5\x5a\xa5" + frame(b"abc")[1:] + frame(b"abc") + frame(b"xyz")])
    assert whole == [b"abc", b"abc", b"xyz"]
    assert [one.data for one in spoilt] == [b"\xa5\x5a"]


def shifted_frame_that_passes() -> bytes:
    """A frame without its last payload byte, chosen so that the next frame's first byte makes its checksum right."""
    for number in range(1 << 20):
        payload = number.to_bytes(3, "big")
        stored = crc16_ccitt(payload).to_bytes(2, "little")
        torn = b"\xa5\x5a" + payload[:1] + payload[2:] + stored
        if crc16_ccitt(torn[2:5]).to_bytes(2, "little") == torn[5:] + b"\xa5":
            return torn
    raise AssertionError("no such frame")


def test_a_shifted_frame_whose_checksum_happens_to_be_right_is_not_believed():
    torn = shifted_frame_that_passes()
    whole, spoilt, _ = framed(BINARY, [frame(b"abc") + torn + frame(b"def") + frame(b"xyz")])
    assert whole == [b"abc", b"def", b"xyz"]
    assert [(one.data, one.reason) for one in spoilt] == [(torn, "no frame begins where this one ends")]


def test_a_frame_is_held_until_the_next_begins_or_the_line_is_quiet():
    framer = make_framer(BINARY)
    assert (list(framer.feed(frame(b"abc")).whole), framer.holding) == ([], True)
    following = framer.feed(frame(b"def")[:2])
    assert (list(following.whole), following.held, framer.holding) == ([b"abc"], True, False)
    framer.feed(frame(b"def")[2:])
    silent = framer.quiet()
    assert (list(silent.whole), framer.holding) == ([b"def"], False)
    assert list(framer.quiet().whole) == []


def test_a_frame_that_runs_into_noise_is_refused_and_one_before_silence_is_not():
    whole, spoilt, _ = framed(BINARY, [frame(b"abc") + b"\x11\x22" + frame(b"def") + b"\xa5"])
    assert whole == [b"def"]
    assert [one.data for one in spoilt] == [frame(b"abc") + b"\x11\x22"]
    whole, _, _ = framed(BINARY, [frame(b"abc") + b"\x11"])
    assert whole == []


def test_what_follows_each_frame_is_learnt():
    # a line end behind each frame, or frames of another kind between them
    whole, _, _ = framed(BINARY, [(frame(b"abc") + b"\r\n") * 10])
    assert len(whole) == 8
    whole, _, _ = framed(BINARY, [(frame(b"abc") + b"\xb6\x6b12") * 10 + frame(b"abc")])
    assert len(whole) == 9


@pytest.mark.parametrize("crc", ["none", "crc16-ccitt", "crc16-modbus", "crc32", "sum8", "xor8"])
@pytest.mark.parametrize("order", ["little", "big"])
@pytest.mark.parametrize("from_sync", [True, False])
def test_many_frames_at_once_are_read_as_one_by_one(crc, order, from_sync):
    spec = BinaryFrames(kind="binary", sync="A55A", payload=3, crc=crc, crc_order=order, crc_from_sync=from_sync)
    function, size = CHECKSUMS.get(crc, (lambda data: 0, 0))
    frames = []
    for n in range(40):
        body = bytes([n, 7, 255 - n])
        covered = b"\xa5\x5a" + body if from_sync else body
        frames.append(b"\xa5\x5a" + body + function(covered).to_bytes(size, order))
    frames[30] = frames[30][:3] + b"\x99" + frames[30][4:]
    whole, spoilt, rest = framed(spec, [b"".join(frames)])
    assert (whole, spoilt, rest) == framed(spec, frames)
    assert len(whole) == (40 if crc == "none" else 39)


def test_a_length_byte_tells_the_payload():
    body = b"\xa5\x03abc"
    assert framed(COUNTED, [body + bytes([sum(body) & 0xFF])])[0] == [b"abc"]


def test_every_byte_of_noise_is_handed_back():
    noise = b"\x00" * (3 * NOISE_RUN + 7)
    _, spoilt, _ = framed(BINARY, [noise, frame(b"abc")])
    assert b"".join(one.data for one in spoilt) == noise


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=600))
def test_cobs_undoes_what_another_library_did(payload):
    assert cobs_decode(cobs.encode(payload)) == payload


@pytest.mark.parametrize("size", [1, 253, 254, 255, 256, 507, 508, 509, 762])
def test_cobs_undoes_long_blocks_without_a_zero(size):
    payload = bytes(1 + n % 255 for n in range(size))
    assert cobs_decode(cobs.encode(payload)) == payload
    assert cobs_decode(cobs.encode(payload + b"\0")) == payload + b"\0"


@settings(max_examples=200, deadline=None)
@given(st.text("\x01\x02\x03\xff\x00", max_size=8).map(lambda text: text.encode("latin-1")))
def test_cobs_refuses_what_another_library_refuses(stuffed):
    try:
        expected = cobs.decode(stuffed)
    except cobs.DecodeError:
        expected = None
    assert cobs_decode(stuffed) == expected
