"""Run files written by earlier versions stay readable for ever.

The files in `run_files/` are never written again.  A change of the format that a reader of the same major version
cannot read gets a new major version; a file of every version that was released is added here.  The readings in them
follow from `tests/acquire/runfile/sample_run.py`; the SHA-256 below pin what was stored, whatever becomes of that.
"""

from __future__ import annotations

import hashlib
import shutil
from pathlib import Path

import h5py
import numpy as np
import pytest

from acquire.runfile.integrity import repair, verify
from acquire.runfile.reader import read_run
from acquire.runfile.rebuild import rebuild
from drivers.readings import PRESSURE, TEMPERATURE

FOLDER = Path(__file__).parent / "run_files"
NOW = "2031-03-05T08:00:00.000+01:00"


def digest(record):
    content = hashlib.sha256()
    for channel in (TEMPERATURE, PRESSURE):
        trace = record.traces[channel]
        for column in (trace.time, trace.value, trace.raw, trace.quality):
            content.update(column.tobytes())
    for entry in record.journal:
        content.update(entry.canonical().encode())
    return content.hexdigest()[:16]


CLOSED, KILLED, RAW = "d1328bc4ecb2aab8", "543425a82ac93b7e", "e192dbd89d356c96"
CLOSED_2 = "be2dc2cc82e6b3df"


def test_a_closed_file_of_version_1_0():
    path = FOLDER / "schema-1.0-closed.h5"
    record = read_run(path)
    assert digest(record) == CLOSED
    assert verify(path).intact
    assert [point.label for point in record.points] == ["1", "2"]
    assert record.points[1].reason == "bubbles; „leck“"
    assert record.baselines[1].pressure == 101400.5
    assert record.results[0]["enthalpy_vap"]["value"] == 36570.123456789
    assert record.truth == {"liquid": "n-heptane", "enthalpy_vap": 36585.0, "mishaps": []}
    assert record.title == "n-heptane, Übungsplatz 3"
    assert record.end_time == "2031-03-04T10:40:00.000+01:00"


def test_a_file_of_version_1_0_whose_writer_was_killed(tmp_path):
    path = Path(shutil.copy(FOLDER / "schema-1.0-killed.h5", tmp_path))
    assert digest(read_run(path)) == KILLED
    assert digest(read_run(repair(path, now_iso=NOW))) == KILLED


def test_a_raw_journal_of_version_1_0(tmp_path):
    made = rebuild(FOLDER / "schema-1.0.raw", tmp_path / "made.h5", now_iso=NOW)
    assert digest(read_run(made)) == RAW


def test_a_closed_file_of_version_2_0():
    path = FOLDER / "schema-2.0-closed.h5"
    with h5py.File(path, "r") as file:
        assert file["entry/instrument/manometer/value_log/raw_value"].dtype == "i4"
    record = read_run(path)
    assert digest(record) == CLOSED_2
    assert verify(path).intact
    for trace in record.traces.values():
        there = ~np.isnan(trace.raw)
        slope, offset = (1.0, 273.15) if trace.channel == TEMPERATURE else (1000.0, 0.0)
        np.testing.assert_array_equal(trace.raw[there] * slope + offset, trace.value[there])


def test_a_file_of_version_2_0_whose_writer_was_killed(tmp_path):
    path = Path(shutil.copy(FOLDER / "schema-2.0-killed.h5", tmp_path))
    assert digest(read_run(path)) == CLOSED  # the same run as the closed file of version 1.0
    assert digest(read_run(repair(path, now_iso=NOW))) == CLOSED


@pytest.mark.parametrize("path", sorted(FOLDER.iterdir()), ids=lambda path: path.name)
def test_the_samples_are_small(path):
    assert path.stat().st_size < 600_000
