"""`satline verify` and `satline export` as a user meets them: words, files and exit status."""

from __future__ import annotations

import json
import os

import h5py
import pytest

from acquire.commands.main import main
from acquire.raw_journal import RawJournal, raw_journal_path
from acquire.runfile.integrity import repair, verify
from acquire.runfile.writer import RunFileWriter
from tests.acquire.runfile.sample_run import HEADER, block, closed_run, record_run


@pytest.fixture(autouse=True)
def _in_this_process(monkeypatch):
    """Another process a test would take most of the time; tests/acquire/runfile/test_apart.py has some."""
    monkeypatch.setattr("acquire.runfile.apart.verify_apart", verify)
    monkeypatch.setattr("acquire.runfile.apart.repair_apart", repair)


@pytest.fixture
def path(tmp_path):
    closed_run(tmp_path / "run.h5", 10)
    return tmp_path / "run.h5"


@pytest.fixture
def killed(tmp_path):
    """As a killed program leaves it: marked as open for writing."""
    path = tmp_path / "run.h5"
    writer = RunFileWriter(path, HEADER)
    record_run(writer, 10)
    data = path.read_bytes()
    writer.abandon()
    path.write_bytes(data)
    return path


def test_an_intact_file_is_said_to_be_so(path, capsys):
    assert main(["verify", str(path)]) == 0
    out = capsys.readouterr().out
    assert f"{path} is intact: complete, and nothing was changed since it was sealed." in out
    assert "readings: 100 temperature, 100 pressure; journal entries: 1" in out


def test_an_altered_file_is_located_and_gives_status_1(path, capsys):
    with h5py.File(path, "r+") as file:
        file["entry/instrument/manometer/value_log/value"][3] += 1
    assert main(["verify", str(path)]) == 1
    out = capsys.readouterr().out
    assert "is altered: it was changed after it was written" in out
    assert "/entry/instrument/manometer/value_log/value differs from what was sealed" in out
    assert main(["verify", str(path), "--repair"]) == 1
    assert os.listdir(path.parent) == ["run.h5"]


def test_a_killed_file_is_incomplete_and_mended_on_request(killed, capsys):
    assert main(["verify", str(killed)]) == 1
    assert "there is no seal: its writer was killed" in capsys.readouterr().out
    assert main(["verify", str(killed), "--repair"]) == 0
    out = capsys.readouterr().out
    assert f"The mended copy is {killed.with_name('run.mended.h5')}:" in out
    assert "readings: 100 temperature, 100 pressure; journal entries: 1" in out


def test_a_lost_run_file_is_made_from_its_raw_journal(tmp_path, capsys):
    path = tmp_path / "run.h5"
    raw = RawJournal(raw_journal_path(path), HEADER.__dict__)
    raw.readings("bench", block("pressure", 0.0))
    raw.close()
    assert main(["verify", str(path)]) == 1
    assert "--repair" not in capsys.readouterr().out
    assert main(["verify", str(path), "--repair"]) == 0
    assert "was made from the raw journal" in capsys.readouterr().out


def test_json_says_the_same(path, capsys):
    assert main(["verify", str(path), "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert document["state"] == "intact"
    assert document["readings"] == {"temperature": 100, "pressure": 100}


def test_what_is_no_run_file_is_refused_on_standard_error(tmp_path, capsys):
    (tmp_path / "x.h5").write_bytes(b"hello")
    assert main(["verify", str(tmp_path / "x.h5")]) == 1
    seen = capsys.readouterr()
    assert seen.out == ""
    assert "is not an HDF5 file; expected a run file" in seen.err


def test_export_lists_the_files_it_wrote(path, tmp_path, capsys):
    assert (
        main(["export", str(path), "--to", "xlsx-friendly-csv", "--decimal", "comma", "--out", str(tmp_path / "t")])
        == 0
    )
    seen = capsys.readouterr()
    written = seen.out.split()
    assert len(written) == 6
    assert f"satline fit {written[0]} --liquid 'n-heptane' --air 'sealed=295.1 K,101400.5 Pa'" in seen.err
    assert all(os.path.exists(name) for name in written)


@pytest.mark.parametrize(("form", "name"), [("json", "run.json"), ("hdf5", "run-plain.h5")])
def test_documents_go_beside_the_run_file(path, form, name, capsys):
    assert main(["export", str(path), "--to", form]) == 0
    assert capsys.readouterr().out.strip() == str(path.with_name(name))
    assert main(["export", str(path), "--to", form]) == 1
    assert "exists already" in capsys.readouterr().err


def test_a_decimal_comma_in_plain_csv_is_refused_because_its_cells_are_parted_by_commas(path, capsys):
    assert main(["export", str(path), "--decimal", "comma"]) == 1
    assert "--decimal comma goes with --to xlsx-friendly-csv" in capsys.readouterr().err
