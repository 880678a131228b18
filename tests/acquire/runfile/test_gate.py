"""A file that takes the HDF5 library down is refused in words, and what is known is not looked at again."""

from __future__ import annotations

import os
import signal
import subprocess
import sys

import h5py
import pytest

from acquire.runfile import gate, looking
from acquire.runfile.errors import DamagedFileError, NotARunFileError
from acquire.runfile.reader import read_run
from acquire.runfile.superblock import lookup3
from tests.acquire.runfile.sample_run import closed_run

POPEN = subprocess.Popen


@pytest.fixture
def strange(tmp_path, monkeypatch):
    """A closed run that this program knows nothing of."""
    path = tmp_path / "run.h5"
    closed_run(path, 5)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setattr(gate, "_remembered", None)
    return path


def looking_by(monkeypatch, code):
    """Let the process that looks run this instead; returns the commands that were started."""
    started = []

    def popen(command, **options):
        started.append(command)
        return POPEN([sys.executable, "-c", code] if code else command, **options)

    monkeypatch.setattr(gate, "_the_looker", None)
    monkeypatch.setattr(gate.subprocess, "Popen", popen)
    return started


@pytest.fixture(autouse=True)
def _end_the_looker(monkeypatch):
    before = gate._the_looker
    yield
    if gate._the_looker is not None and gate._the_looker is not before:
        gate._the_looker.close()
        gate._the_looker = None


def test_what_passed_is_known_by_its_content_also_to_the_next_start(strange, tmp_path, monkeypatch):
    started = looking_by(monkeypatch, "")
    record = read_run(strange)
    copy = tmp_path / "copy.h5"
    copy.write_bytes(strange.read_bytes())
    monkeypatch.setattr(gate, "_remembered", None)  # as after a new start
    gate._the_looker.close()
    assert read_run(copy).points == record.points
    assert len(started) == 1


def test_what_this_program_wrote_is_not_looked_at(tmp_path, monkeypatch):
    started = looking_by(monkeypatch, "")
    path = tmp_path / "own.h5"
    closed_run(path, 5)
    read_run(path)
    assert started == []


def test_a_file_that_takes_the_library_down_is_refused_and_the_next_is_opened(strange, tmp_path, monkeypatch):
    looking_by(monkeypatch, f"import os, sys; sys.stdin.readline(); os.kill(os.getpid(), {int(signal.SIGSEGV)})")
    with pytest.raises(DamagedFileError, match=r"made the HDF5 library break off \(signal SIGSEGV\); .*untouched copy"):
        read_run(strange)
    looking_by(monkeypatch, "")
    assert read_run(strange).points


def test_a_library_that_never_comes_back_is_ended(strange, monkeypatch):
    monkeypatch.setattr(gate, "PATIENCE", 0.3)
    looking_by(monkeypatch, "import signal; signal.pause()")
    with pytest.raises(DamagedFileError, match="busy without an end"):
        read_run(strange)


@pytest.mark.skipif(sys.platform == "win32", reason="Windows bounds the time on the wall only")
def test_a_library_that_goes_round_in_circles_is_ended_by_the_time_it_used(strange, monkeypatch):
    looking_by(monkeypatch, f"import os, sys; sys.stdin.readline(); os.kill(os.getpid(), {int(signal.SIGXCPU)})")
    with pytest.raises(DamagedFileError, match="busy without an end"):
        read_run(strange)


@pytest.mark.skipif(sys.platform == "win32", reason="Windows bounds the time on the wall only")
def test_a_look_has_seconds_of_the_processor_and_more_for_a_large_file():
    said = subprocess.run(
        [sys.executable, "-c", f"""
import resource, time
from acquire.runfile import looking
for size in (0, {int(20 * looking.BYTES_PER_SECOND)}):
    looking._allow(size)
    print(resource.getrlimit(resource.RLIMIT_CPU)[0] - time.process_time())
"""],
        capture_output=True, text=True, check=True,
    ).stdout.split()  # fmt: skip
    small, large = map(float, said)
    # whole seconds only, rounded up
    assert looking.MOST_SECONDS - 0.5 <= small <= looking.MOST_SECONDS + 1.0
    assert 19.5 <= large - small <= 21.0


def test_a_changed_file_is_looked_at_again(strange, monkeypatch):
    started = looking_by(monkeypatch, "")
    read_run(strange)
    gate._the_looker.close()
    with h5py.File(strange, "r+") as file:
        file["entry/points/temperature"][0] = 1.0
    read_run(strange)
    assert len(started) == 2


def test_a_large_file_is_known_by_place_size_and_times(strange, monkeypatch):
    monkeypatch.setattr(gate, "HASHED", 100)
    first = gate._key(strange)
    assert gate._key(strange) == first
    os.utime(strange, ns=(1, 1))
    assert gate._key(strange) != first


def test_a_list_grown_too_long_begins_anew(strange, tmp_path, monkeypatch):
    read_run(strange)
    listed = tmp_path / "cache" / "satline" / "files-that-open.txt"
    assert len(listed.read_text().split()) == 1
    monkeypatch.setattr(gate, "MOST_REMEMBERED", 10)
    monkeypatch.setattr(gate, "_remembered", None)
    assert gate._known() == set()
    assert not listed.exists()


def forged_header(path, name):
    """Overwrite a part of the header of this object with its checksum computed again, so that HDF5 believes it."""
    with h5py.File(path, "r") as file:
        place = h5py.h5o.get_info(file[name].id).addr
    data = bytearray(path.read_bytes())
    assert data[place : place + 4] == b"OHDR"
    end = next(
        end for end in range(place + 16, place + 2000)
        if int.from_bytes(data[end : end + 4], "little") == lookup3(bytes(data[place:end]))
    )  # fmt: skip
    data[place + 30 : end] = b"\xff" * (end - place - 30)
    data[end : end + 4] = lookup3(bytes(data[place:end])).to_bytes(4, "little")
    path.write_bytes(data)


@pytest.mark.parametrize("name", ["entry/points/u_temperature", "entry/overview_pressure/figures_64", "entry/seal"])
def test_nonsense_with_a_right_checksum_is_left_to_verify(strange, name):
    forged_header(strange, name)
    with pytest.raises(DamagedFileError, match=r"a part of it cannot be read: .* 'satline verify .*--repair"):
        read_run(strange)


def test_the_looking_process_says_what_is_no_run_file(tmp_path):
    path = tmp_path / "other.h5"
    with h5py.File(path, "w", libver=("v110", "v110")) as file:
        file["x"] = 1
    with pytest.raises(NotARunFileError, match="without our schema version"):
        gate.Looker.look(gate._looker(), path)
    with pytest.raises(NotARunFileError, match="without our schema version"):
        looking.look(path)
