"""`verify` tells intact, altered and incomplete apart and says where; `repair` works on a copy and loses nothing."""

from __future__ import annotations

import dataclasses
import json
import os
import shutil
import subprocess
import sys

import h5py
import numpy as np
import pytest

from acquire.journal import Entry, Journal
from acquire.raw_journal import RawJournal, raw_journal_path
from acquire.runfile.errors import DamagedFileError, FileInUseError, NotARunFileError
from acquire.runfile.integrity import clear_open_mark, repair, verify
from acquire.runfile.reader import read_run
from acquire.runfile.superblock import lookup3
from acquire.runfile.writer import RunFileWriter
from drivers.readings import PRESSURE, TEMPERATURE
from tests.acquire.runfile.sample_run import END, HEADER, POINTS, block, closed_run, entry, joined, record_run

VALUE = "entry/instrument/manometer/value_log/value"


@pytest.fixture(scope="module")
def closed(tmp_path_factory):
    path = tmp_path_factory.mktemp("closed") / "run.h5"
    given, journal = closed_run(path, 60)
    return path, given, journal


@pytest.fixture
def path(tmp_path, closed):
    """A copy of the closed run, to be spoilt."""
    return shutil.copy(closed[0], tmp_path / "run.h5")


KILLED = """
import sys, os
sys.path.insert(0, {root!r})
from tests.acquire.runfile.sample_run import HEADER, record_run
from acquire.runfile.superblock import lookup3
from acquire.runfile.writer import RunFileWriter
writer = RunFileWriter({path!r}, HEADER)
record_run(writer, 30)
os.kill(os.getpid(), 9)
"""


@pytest.fixture(scope="module")
def killed_once(tmp_path_factory):
    path = tmp_path_factory.mktemp("killed") / "run.h5"
    done = subprocess.run([sys.executable, "-c", KILLED.format(root=os.getcwd(), path=str(path))], check=False)
    assert done.returncode == -9
    return path


@pytest.fixture
def killed(tmp_path, killed_once):
    return shutil.copy(killed_once, tmp_path / "run.h5")


def test_an_untouched_file_is_intact(closed):
    report = verify(closed[0])
    assert (report.state, report.faults) == ("intact", ())
    assert report.readings == {TEMPERATURE: 600, PRESSURE: 600}
    assert report.entries == 6
    assert report.sealed_at == END
    assert len(report.content) == 64
    json.dumps(report.as_dict())


def change_value(file):
    file[VALUE][100] += 0.001


def change_unit(file):
    file[VALUE].attrs["units"] = "kPa"


def change_point(file):
    file["entry/points/temperature"][0] += 0.1


def change_result(file):
    file["entry/result_1/figures/enthalpy_vap"][()] = 40000.0


def delete_result(file):
    del file["entry/result_1"]


def add_something(file):
    file["entry/extra"] = 1.0


def cut_a_row(file):
    file[VALUE].resize(599, axis=0)


def change_plan(file):
    del file["entry/plan_text/data"]
    file["entry/plan_text/data"] = np.bytes_('liquid = "water"\n')


def redirect_link(file):
    del file["entry/trace_pressure/pressure"]
    file["entry/trace_pressure/pressure"] = h5py.SoftLink("/entry/instrument/thermometer/value_log/value")


@pytest.mark.parametrize(
    ("change", "where"),
    [
        (change_value, f"/{VALUE}"),
        (change_unit, f"/{VALUE}"),
        (change_point, "/entry/points/temperature"),
        (change_result, "/entry/result_1/figures/enthalpy_vap"),
        (delete_result, "/entry/result_1"),
        (add_something, "/entry/extra"),
        (cut_a_row, f"/{VALUE}"),
        (change_plan, "/entry/plan_text/data"),
        (redirect_link, "/entry/trace_pressure/pressure"),
    ],
)
def test_a_change_after_sealing_is_found_and_located(path, change, where):
    with h5py.File(path, "r+") as file:
        change(file)
    report = verify(path)
    assert report.state == "altered"
    assert where in {fault.where for fault in report.faults}
    assert "Look for an untouched copy" in report.advice


def test_repacking_with_another_compression_keeps_it_intact(path, tmp_path):
    other = tmp_path / "other.h5"
    with h5py.File(path) as source, h5py.File(other, "w") as target:
        for key, value in source.attrs.items():
            target.attrs[key] = value
        source.copy("entry", target, expand_refs=False)
        values = source[VALUE][()]
        attrs = dict(source[VALUE].attrs)
        del target[VALUE]
        target.create_dataset(VALUE, data=values, compression="gzip", compression_opts=9, maxshape=(None,))
        for key in ("units", "long_name"):
            target[VALUE].attrs[key] = attrs[key]
    assert verify(other).faults == ()


def rewrite_entry(file, row, entry):
    """A forger who changes one line in place, same length."""
    journal = file["entry/journal"]
    start = int(journal["end"][row - 1]) if row else 0
    line = entry.canonical().encode() + b"\n"
    assert start + len(line) == journal["end"][row]
    journal["lines"][start : start + len(line)] = np.frombuffer(line, np.uint8)


def test_an_edited_journal_line_breaks_the_chain_even_without_a_seal(path):
    old = read_run(path).journal[3]
    new = Entry(old.number, old.time, old.block, old.kind, "nosrep", old.given, old.text, old.data)
    with h5py.File(path, "r+") as file:
        rewrite_entry(file, 3, new)
        del file["entry/seal"]
    texts = [fault.text for fault in verify(path).faults]
    assert "the journal's chain is broken at entry 3" in texts


def test_a_readable_column_that_differs_from_its_line_is_found(path):
    with h5py.File(path, "r+") as file:
        file["entry/journal/actor"][2] = b"somebody"
        del file["entry/seal"]
    assert "the readable columns of entry 2 differ from its line" in [f.text for f in verify(path).faults]


def test_rows_that_were_never_written_are_found(path):
    with h5py.File(path, "r+") as file:
        for name in ("time", "value", "raw_value", "value_mask"):
            file[f"entry/instrument/manometer/value_log/{name}"].resize(610, axis=0)
        del file["entry/seal"]
    report = verify(path)
    assert report.state == "incomplete"
    assert any("10 rows of /entry/instrument/manometer/value_log were never written" in f.text for f in report.faults)


def test_a_file_cut_short_is_unreadable_in_words(path):
    os.truncate(path, os.path.getsize(path) - 5000)
    report = verify(path)
    assert report.state == "unreadable"
    assert "cannot be opened" in report.faults[0].text
    assert "--repair" in report.advice


@pytest.mark.parametrize(
    ("content", "found"),
    [(b"", "is empty"), (b"hello", "is not an HDF5 file"), (b"\x89HDF\r\n\x1a\n\x03", "is cut off")],
)
def test_what_is_no_run_file_is_refused(tmp_path, content, found):
    path = tmp_path / "x.h5"
    path.write_bytes(content)
    with pytest.raises(NotARunFileError, match=f"{found}.*expected a run file"):
        verify(path)


def test_a_foreign_hdf5_file_is_refused(tmp_path):
    path = tmp_path / "x.h5"
    with h5py.File(path, "w") as file:
        file["data"] = [1.0, 2.0]
    with pytest.raises(NotARunFileError, match="without our schema version"):
        verify(path)


def test_a_newer_major_version_is_refused_with_the_way_out(path):
    with h5py.File(path, "r+") as file:
        file["entry/satline/schema_version"][()] = "3.0"
    with pytest.raises(NotARunFileError, match=r"has schema version 3\.0.*Update satline"):
        read_run(path)


def test_a_killed_writer_leaves_an_incomplete_file_with_everything_flushed(killed):
    report = verify(killed)
    assert report.state == "incomplete"
    assert [fault.text for fault in report.faults] == ["there is no seal: its writer was killed"]
    assert report.readings == {TEMPERATURE: 300, PRESSURE: 300}


def test_repair_mends_a_copy_and_leaves_the_file_as_it_was(killed):
    before = killed.read_bytes()
    mended = repair(killed, now_iso=END)
    assert killed.read_bytes() == before
    assert mended.name == "run.mended.h5"
    run = read_run(mended)
    for second in range(30):
        np.testing.assert_array_equal(
            run.traces[PRESSURE].value[second * 10 : second * 10 + 10], block(PRESSURE, float(second)).value
        )
    assert len(run.journal) == 3
    assert run.end_time is None
    assert run.integrity == "sealed"
    report = verify(mended)
    assert report.state == "incomplete"
    assert [f.text for f in report.faults] == ["the run ended without being closed; this file was mended later"]
    assert repair(killed, now_iso=END).name == "run.mended-2.h5"
    assert sorted(os.listdir(killed.parent)) == ["run.h5", "run.mended-2.h5", "run.mended.h5"]


def test_clearing_the_open_mark_lets_plain_libraries_open_the_file(killed):
    with pytest.raises(OSError, match="already open for write"):
        h5py.File(killed, "r")
    assert clear_open_mark(killed)
    with h5py.File(killed, "r") as file:
        assert file[VALUE].shape == (300,)
    assert not clear_open_mark(killed)


def test_a_damaged_chunk_costs_its_rows_and_no_others(killed, tmp_path):
    with h5py.File(killed, "r", swmr=True) as file:
        info = file[VALUE].id.get_chunk_info(0)
        place = info.byte_offset
    with open(killed, "r+b") as handle:
        handle.seek(place + 80)
        byte = handle.read(1)
        handle.seek(place + 80)
        handle.write(bytes([byte[0] ^ 4]))
    report = verify(killed)
    assert report.state == "damaged"
    with pytest.raises(DamagedFileError, match="a part of it cannot be read"):
        read_run(killed)
    run = read_run(repair(killed, now_iso=END))
    assert set(run.traces) == {TEMPERATURE}
    assert len(run.traces[TEMPERATURE].time) == 300


def test_repair_prefers_the_raw_journal_because_nothing_is_lost_in_it(killed):
    raw = RawJournal(raw_journal_path(killed), HEADER.__dict__)
    journal = Journal()
    for second in range(35):
        raw.readings("bench", block(PRESSURE, float(second)))
    raw.entries([entry(journal, 1, text="kept")])
    raw.close()
    run = read_run(repair(killed, now_iso=END))
    assert len(run.traces[PRESSURE].time) == 350
    assert [item.text for item in run.journal] == ["kept"]


def test_a_raw_journal_without_a_header_falls_back_to_the_file(killed):
    raw_journal_path(killed).write_bytes(b"rubbish")
    assert len(read_run(repair(killed, now_iso=END)).traces[PRESSURE].time) == 300


def test_a_run_that_is_being_recorded_is_neither_verified_nor_repaired(tmp_path):
    path = tmp_path / "run.h5"
    raw = RawJournal(raw_journal_path(path), HEADER.__dict__)
    writer = RunFileWriter(path, HEADER)
    assert verify(path).state == "being recorded"
    with pytest.raises(FileInUseError):
        repair(path, now_iso=END)
    writer.abandon()
    raw.close()


def test_repair_of_a_missing_file_is_refused(tmp_path):
    with pytest.raises(NotARunFileError, match="does not exist"):
        repair(tmp_path / "none.h5", now_iso=END)


def test_repair_of_rubbish_is_refused(tmp_path):
    path = tmp_path / "x.h5"
    path.write_bytes(b"rubbish" * 100)
    with pytest.raises(NotARunFileError, match="nothing in it can be mended"):
        repair(path, now_iso=END)
    assert os.listdir(tmp_path) == ["x.h5"]


def test_points_of_a_run_that_was_never_closed_come_from_its_journal(tmp_path):
    path = tmp_path / "run.h5"
    writer = RunFileWriter(path, HEADER)
    _, journal = record_run(writer, 20)
    data = dataclasses.asdict(POINTS[0])
    writer.append_entries([
        journal.append(time=15.0, block=15, kind="point", actor="program", given=False, text="", data=data)
    ])  # fmt: skip
    writer.flush()
    assert read_run(path).points == (POINTS[0],)
    writer.abandon()


def test_what_comes_back_equals_what_was_given_after_mending(closed, tmp_path):
    path, given, _ = closed
    copy = shutil.copy(path, tmp_path / "run.h5")
    run = read_run(repair(copy, now_iso=END))
    for channel, blocks in given.items():
        assert run.traces[channel].value.tobytes() == joined(blocks, "value").tobytes()


def zeroed(path, column):
    """A page that never reached the disk: zeros, and zeros have a checksum of zero."""
    with h5py.File(path, "r", swmr=True) as file:
        info = file[f"entry/instrument/manometer/value_log/{column}"].id.get_chunk_info(0)
    with open(path, "r+b") as handle:
        handle.seek(info.byte_offset)
        handle.write(bytes(info.size))


@pytest.mark.parametrize("column", ["value", "raw_value", "time"])
def test_a_page_of_zeros_is_not_taken_for_readings(killed, column):
    zeroed(killed, column)
    report = verify(killed)
    assert report.state == "damaged"
    assert any("300 rows" in fault.text and "not as they were written" in fault.text for fault in report.faults)
    with pytest.raises(DamagedFileError, match="300 pressure readings are not as they were written"):
        read_run(killed)
    run = read_run(repair(killed, now_iso=END))
    assert set(run.traces) == {TEMPERATURE}


def test_rows_behind_the_last_flush_that_was_finished_are_left_out(killed, tmp_path):
    clear_open_mark(killed)
    with h5py.File(killed, "r+") as file:
        for name in ("end", "crc32"):
            file[f"entry/instrument/manometer/recording/written/{name}"].resize(29, axis=0)
    # marked open again, as a kill in the middle of a flush leaves it
    data = bytearray(killed.read_bytes())
    data[11] = 5
    data[44:48] = lookup3(bytes(data[:44])).to_bytes(4, "little")
    killed.write_bytes(bytes(data))
    assert len(read_run(killed).traces[PRESSURE].time) == 290
    assert any("the last 10 rows" in fault.text for fault in verify(killed).faults)


def test_a_group_that_contains_itself_is_no_endless_walk(path):
    with h5py.File(path, "r+") as file:
        file["entry/points/again"] = file["entry"]
        file["entry/journal/again"] = file["entry/journal"]
    report = verify(path)
    assert report.state == "altered"
    assert {"/entry/points/again", "/entry/journal/again"} <= {fault.where for fault in report.faults}


def test_a_journal_that_cannot_even_be_opened_does_not_keep_the_readings_from_being_mended(killed):
    with h5py.File(killed, "r", swmr=True) as file:
        place = h5py.h5o.get_info(file["entry/journal"].id).addr
    data = bytearray(killed.read_bytes())
    data[place + 6] ^= 1
    killed.write_bytes(bytes(data))
    assert verify(killed).state == "damaged"
    run = read_run(repair(killed, now_iso=END))
    assert len(run.traces[PRESSURE].time) == 300
    assert run.journal == ()
