"""The raw journal keeps whole frames through cuts, flips and a full disk, and never gives back a wrong one."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from acquire import raw_journal
from acquire.journal import Journal
from acquire.raw_frames import Chunk, Damage, Ended, Header, Reading, frames, is_being_written, items
from acquire.raw_journal import Kind, RawJournal, frame, raw_journal_path
from acquire.runfile.errors import FileInUseError, NotARunFileError, RunFileExistsError, WriteFailedError
from drivers.readings import PRESSURE, TEMPERATURE, Received
from tests.acquire.runfile.sample_run import block, entry


@pytest.fixture
def path(tmp_path):
    return tmp_path / "run.h5.raw"


def contents(path, damage=None):
    return [(kind, bytes(content)) for kind, content in frames(path, damage)]


def test_everything_comes_back_in_order_and_equal(path):
    journal = RawJournal(path, {"title": "é"})
    received = Received(1.25, b"$SAT,1\r\n\x00\xff")
    readings = block(PRESSURE, 3.0, u_time=0.25)
    note = entry(Journal(), 3, text="Wasser °C", third=1 / 3)
    journal.received("probe", received)
    journal.readings("probe", readings)
    journal.entries([note])
    journal.received("gauge", received)
    journal.ended({"end_time": "x"})
    journal.close()
    header, chunk, reading, stored_note, second, ended = list(items(path))
    assert header == Header({"title": "é"})
    assert chunk == Chunk("probe", received)
    assert second == Chunk("gauge", received)
    assert stored_note == note
    assert ended == Ended({"end_time": "x"})
    assert isinstance(reading, Reading)
    assert (reading.device, reading.readings.channel, reading.readings.u_time) == ("probe", PRESSURE, 0.25)
    for name in ("time", "value", "raw", "quality"):
        assert getattr(reading.readings, name).tobytes() == getattr(readings, name).tobytes()


def test_a_frame_is_on_the_disk_when_the_call_returns(path):
    journal = RawJournal(path, {})
    journal.received("probe", Received(0.0, b"abc"))
    assert path.stat().st_size == journal.size
    assert contents(path)[-1][1].endswith(b"abc")
    journal.close()


def test_an_existing_file_is_refused_and_left_alone(path):
    path.write_bytes(b"precious")
    with pytest.raises(RunFileExistsError):
        RawJournal(path, {})
    assert path.read_bytes() == b"precious"


def test_cut_at_any_byte_it_gives_back_exactly_the_whole_frames_before_the_cut(path):
    whole = [frame(Kind.RECEIVED, n, bytes([n]) * n) for n in range(12)]
    data = b"".join(whole)
    ends = np.cumsum([len(item) for item in whole])
    for cut in range(len(data) + 1):
        path.write_bytes(data[:cut])
        damage = Damage()
        found = contents(path, damage)
        n = int(np.searchsorted(ends, cut, "right"))
        assert [content for _, content in found] == [bytes([k]) * k for k in range(n)]
        assert damage.torn == cut - (ends[n - 1] if n else 0)
        assert damage.skipped == []


@given(where=st.integers(0, 10_000), flip=st.integers(1, 255), content=st.binary(max_size=40))
def test_one_spoilt_byte_costs_one_frame_and_nothing_wrong_comes_back(tmp_path_factory, where, flip, content):
    path = tmp_path_factory.mktemp("raw") / "raw"
    # content with the magic inside is the nasty case: looking for the next frame must not be fooled
    bodies = [content, b"ZRJ1" * 3, b"ZRJ1" + content, b"", content * 2, b"last"]
    data = bytearray(b"".join(frame(Kind.RECEIVED, n, body) for n, body in enumerate(bodies)))
    data[where % len(data)] ^= flip
    path.write_bytes(bytes(data))
    damage = Damage()
    found = [body for _, body in contents(path, damage)]
    assert len(found) == len(bodies) - 1
    left = iter(bodies)
    assert all(any(body == other for other in left) for body in found)  # a subsequence: none altered, none invented
    assert damage.torn or damage.skipped


@given(st.lists(st.sampled_from([b"ZRJ1", b"Z", b"R", b"\x03", b"\0\0\0\0", frame(Kind.ENTRY, 0, b"{}")]), max_size=30))
def test_any_mixture_of_frames_and_rubbish_is_read_to_its_end(tmp_path_factory, parts):
    path = tmp_path_factory.mktemp("raw") / "raw"
    path.write_bytes(b"".join(parts))
    assert len(contents(path)) == sum(len(part) > 4 for part in parts)


def test_frames_are_found_across_the_reading_buffer(path, monkeypatch):
    monkeypatch.setattr("acquire.raw_frames.BUFFER", 16)
    bodies = [os.urandom(n % 40) for n in range(200)]
    path.write_bytes(b"xx".join(frame(Kind.RECEIVED, n, body) for n, body in enumerate(bodies)))
    damage = Damage()
    assert [body for _, body in contents(path, damage)] == bodies
    assert [length for _, length in damage.skipped] == [2] * 199


def test_missing_frames_are_counted(path):
    path.write_bytes(frame(Kind.RECEIVED, 0, b"a") + frame(Kind.RECEIVED, 3, b"b"))
    damage = Damage()
    assert len(contents(path, damage)) == 2
    assert damage.missing == 2
    assert damage.sentences() == ["2 frames are missing"]


def test_a_damaged_length_asks_for_no_memory(path):
    data = bytearray(frame(Kind.RECEIVED, 0, b"a") + frame(Kind.RECEIVED, 1, b"b"))
    data[9:13] = b"\xff\xff\xff\xff"
    path.write_bytes(bytes(data))
    assert [body for _, body in contents(path)] == [b"b"]


def test_a_full_disk_is_told_and_leaves_whole_frames_only(path, monkeypatch):
    journal = RawJournal(path, {})
    journal.received("probe", Received(0.0, b"before"))
    size = path.stat().st_size
    write = os.write

    def nearly_full(handle, data):
        if len(data) > 7:
            return write(handle, data[:7])
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(raw_journal.os, "write", nearly_full)
    with pytest.raises(WriteFailedError, match="No space left on device"):
        journal.received("probe", Received(1.0, b"too much"))
    monkeypatch.undo()
    assert path.stat().st_size == size
    journal.received("probe", Received(2.0, b"after"))
    journal.close()
    damage = Damage()
    found = [item.received.data for item in items(path, damage) if isinstance(item, Chunk)]
    assert found == [b"before", b"after"]
    assert (damage.torn, damage.skipped, damage.missing) == (0, [], 0)


def test_a_removed_folder_is_noticed(tmp_path):
    folder = tmp_path / "gone"
    journal = RawJournal(folder / "run.raw", {})
    assert journal.still_there()
    (folder / "run.raw").unlink()
    folder.rmdir()
    assert not journal.still_there()
    journal.close()


def test_another_process_sees_that_it_is_being_written(path):
    journal = RawJournal(path, {})
    assert is_being_written(path)
    journal.close()
    assert not is_being_written(path)
    assert not is_being_written(path.with_name("none"))


def test_a_long_block_is_cut_into_frames_and_joins_again(path, monkeypatch):
    monkeypatch.setattr(raw_journal, "MAX_CONTENT", 3200)
    journal = RawJournal(path, {})
    readings = block(TEMPERATURE, 0.0, 1000)
    journal.readings("probe", readings)
    journal.received("probe", Received(0.0, b"x" * 5000))
    journal.close()
    blocks = [item.readings for item in items(path) if isinstance(item, Reading)]
    assert len(blocks) == 10
    np.testing.assert_array_equal(np.concatenate([part.value for part in blocks]), readings.value)
    assert b"".join(item.received.data for item in items(path) if isinstance(item, Chunk)) == b"x" * 5000


def test_a_missing_file_is_refused_in_words(path):
    with pytest.raises(NotARunFileError, match=r"cannot be read: .*Expected the raw journal of a run"):
        list(items(path))


def test_the_second_writer_is_refused_politely(path):
    script = (
        "import os, sys; from acquire.file_lock import lock_file; "
        "h = os.open(sys.argv[1], os.O_RDWR); print(lock_file(h))"
    )
    journal = RawJournal(path, {})
    seen = subprocess.run([sys.executable, "-c", script, str(path)], capture_output=True, text=True, check=True)
    journal.close()
    assert seen.stdout.strip() == "False"


def test_a_name_that_another_process_reserved_is_refused(path, monkeypatch):
    monkeypatch.setattr(raw_journal, "lock_file", lambda handle: False)
    with pytest.raises(FileInUseError):
        RawJournal(path, {})


def test_it_lies_beside_its_run_file(tmp_path):
    assert raw_journal_path(tmp_path / "run.h5") == tmp_path / "run.h5.raw"


def test_readings_of_an_empty_block_leave_no_frame(path):
    journal = RawJournal(path, {})
    empty = replace(block(TEMPERATURE, 0.0, 1), **{n: np.empty(0) for n in ("time", "value", "raw", "quality")})
    journal.readings("probe", empty)
    journal.close()
    assert not [item for item in items(path) if isinstance(item, Reading)]
