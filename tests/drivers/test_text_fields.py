"""Fields of text frames: what passes, what is refused and why."""

import math
import time as real_time

import pytest

from drivers.checksums import crc16_ccitt
from drivers.text_fields import DelimitedReader, NamedReader, SentenceReader
from drivers.wire_spec import Delimited, Named, Sentence


def delimited(fields=(1, 2), **settings):
    return DelimitedReader(Delimited(kind="delimited", **settings), list(fields))


def named(fields=("T", "p"), **settings):
    return NamedReader(Named(kind="named", **settings), list(fields))


@pytest.mark.parametrize(
    ("settings", "frame", "row"),
    [
        ({}, b"21.84,101.32", (21.84, 101.32)),
        ({}, b" +21.84 ,\t-1e2 ", (21.84, -100.0)),
        ({}, b".5,5.", (0.5, 5.0)),
        ({"separator": "space"}, b"21.84  \t 101.32", (21.84, 101.32)),
        ({"separator": "\t"}, b"21.84\t101.32", (21.84, 101.32)),
        ({"separator": ";", "decimal": ","}, b"21,84;101,32", (21.84, 101.32)),
        ({"columns": 4}, b"21.84,101.32,on,", (21.84, 101.32)),
    ],
)
def test_columns_are_read(settings, frame, row):
    assert delimited(**settings).read([frame]).values == [row]


def test_columns_come_in_the_order_that_is_asked_for():
    assert delimited((3, 1)).read([b"1,2,3"]).values == [(3.0, 1.0)]


@pytest.mark.parametrize(
    "frame", [b"21.84", b"21.84,101.32,7", b"21.84;101.32", b"a,b", b"21.84,,101.32", b"21,84,101,32"]
)
def test_a_line_with_other_columns_is_refused(frame):
    rows = delimited().read([frame])
    assert rows.values == []
    assert rows.spoilt[0].reason == "not 2 columns divided by ',', numbers in 1, 2"


def test_comments_are_skipped_and_not_counted_as_spoilt():
    rows = delimited().read([b"# hello", b"1,2"])
    assert (rows.values, rows.spoilt, rows.skipped) == ([(1.0, 2.0)], [], 1)


def test_a_crc_at_the_end_is_asked_for_and_taken_off():
    body = b"21.84,101.32"
    reader = delimited(checksum="crc16")
    assert reader.read([body + b"*%04X" % crc16_ccitt(body)]).values == [(21.84, 101.32)]
    assert reader.read([body]).spoilt[0].reason == "no '*' and checksum at the end"
    assert "where the bytes give" in reader.read([body + b"*0000"]).spoilt[0].reason


@pytest.mark.parametrize(
    "frame",
    [
        b"T=21.84 p=101.32",
        b"p:101.32;T:21.84",
        b"T = 21.84, p = 101.32",
        b"x=on T=21.84 p=101.32 y=1",
        b"T=21.84C p=101.32 kPa",
    ],
)
def test_names_are_found_in_any_order(frame):
    assert named(suffixes=("C", "kPa")).read([frame]).values == [(21.84, 101.32)]


@pytest.mark.parametrize(
    ("frame", "reason"),
    [
        (b"T=21.84", "no field p"),
        (b"T=21.84 T=21.85 p=1", "field T twice"),
        (b"T=2l.84 p=101", "b'2l.84' is no number"),
        (b"T=21.84 hello p=101", "text between the fields that is no NAME=NUMBER"),
        (b"T=21.84 p=101 hello", "text after the fields that is no NAME=NUMBER"),
        (b"hello", "text after the fields that is no NAME=NUMBER"),
        (b"T=21.84X p=101", "b'21.84X' is no number"),
    ],
)
def test_what_is_no_name_and_number_is_refused(frame, reason):
    rows = named().read([frame])
    assert rows.values == []
    assert rows.spoilt[0].reason == reason


def test_partial_lines_leave_fields_out_only_where_the_profile_says_so():
    rows = named(partial=True).read([b"T=21.84", b"p=101.32", b"z=3"])
    assert rows.values == [(21.84, None), (None, 101.32)]
    assert rows.skipped == 1


def test_a_decimal_comma_is_read_where_the_profile_says_so():
    assert named(decimal=",").read([b"T=21,84 p=101,32"]).values == [(21.84, 101.32)]


def test_a_word_for_no_value_is_no_number():
    row = delimited().read([b"OL,101.32"]).values[0]
    assert math.isnan(row[0])
    assert row[1] == 101.32


SENTENCE = SentenceReader(Sentence(kind="sentence", address="SENV", columns=2), [1, 2])


def test_a_sentence_that_ran_into_the_next_is_refused_and_the_next_is_read():
    rows = SENTENCE.read([b"$SENV,21.8$SENV,21.84,101.32*30"])
    assert rows.values == [(21.84, 101.32)]
    assert [one.data for one in rows.spoilt] == [b"$SENV,21.8"]


def test_noise_that_looks_like_a_comment_does_not_hide_the_sentence_that_it_runs_into():
    rows = SENTENCE.read([b"#\x07x$SENV,21.84,101.32*30", b"# about $SENV"])
    assert (rows.values, rows.skipped) == ([(21.84, 101.32)], 1)
    assert [one.data for one in rows.spoilt] == [b"#\x07x"]


def test_a_foreign_sentence_is_skipped_only_when_it_is_whole():
    rows = SENTENCE.read([b"$GPGLL,4916.45,N,12311.12,W,225444,A*31", b"$GPGLL,4916.45,N,12311.12,W,225444,A*32"])
    assert (rows.skipped, len(rows.spoilt)) == (1, 1)


@pytest.mark.parametrize(
    "reader",
    [delimited(columns=8), delimited(separator="space", columns=8), named(suffixes=("C", "degC", "kPa")), SENTENCE],
)
@pytest.mark.parametrize(
    "noise",
    [b"1" * 4096, b" " * 4096, b"T=" * 2048, b"1," * 2048, b"T=1 " * 1024 + b"!", b"$SENV," * 700, b"1e1e" * 1024],
)
def test_no_pattern_hangs_on_noise(reader, noise):
    began = real_time.process_time()
    reader.read([noise])
    # linear patterns take microseconds here; one that tries every split of 4096 bytes would take hours
    assert real_time.process_time() - began < 0.5
