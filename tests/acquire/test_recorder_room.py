"""Room on disks and shared drives, told in sentences."""

from __future__ import annotations

import shutil
from collections import namedtuple

import pytest

from acquire import recorder_room as room
from acquire.recorder_room import Ballast, bytes_needed, network_kind, network_warning, room_warning, size_text

MOUNTS = """\
/dev/sda1 / ext4 rw 0 0
server:/data /home/lab nfs4 rw 0 0
//server/share /mnt/my\\040share cifs rw 0 0
/dev/sdb1 /home/lab/local ext4 rw 0 0
tmpfs /home/laboratory tmpfs rw 0 0
"""


@pytest.mark.parametrize(
    ("folder", "kind"),
    [
        ("/home/lab/runs", "nfs4"),
        ("/home/lab", "nfs4"),
        ("/mnt/my share/x", "cifs"),
        ("/home/lab/local/x", ""),
        ("/home/laboratory", ""),
        ("/var/x", ""),
    ],
)
def test_the_drive_that_a_folder_is_on_decides(folder, kind):
    assert network_kind(folder, MOUNTS) == kind


def test_a_network_drive_is_warned_about_with_the_way_out():
    text = network_warning("/home/lab/runs", MOUNTS)
    assert text.startswith("/home/lab/runs is on a network drive (nfs4).")
    assert text.endswith("Record on a local disk and copy the file there afterwards.")
    assert network_warning("/var/x", MOUNTS) == ""


def test_the_room_for_a_class_run_and_for_a_day_at_1_khz():
    # 35 minutes of two channels at 10 readings a second; a day of two channels at 1000
    assert 16e6 < bytes_needed(20, 35 * 60) < 25e6
    assert 12e9 < bytes_needed(2000, 86400) < 20e9


def usage(monkeypatch, free):
    monkeypatch.setattr(room.shutil, "disk_usage", lambda _: namedtuple("u", "total used free")(10**12, 0, free))


def test_little_room_is_warned_about_early(monkeypatch):
    usage(monkeypatch, 150 << 20)
    assert room_warning("/x").startswith("only 157 MB are free on the disk of /x. Free some, or record to a folder")


def test_less_room_than_the_run_needs_is_warned_about(monkeypatch):
    usage(monkeypatch, 5 << 30)
    assert room_warning("/x", 8e9).startswith("only 5.4 GB are free on the disk of /x; this run will need about 8.0 GB")
    assert room_warning("/x", 4e9) == ""


def test_a_folder_that_is_gone_gives_no_warning_of_room(tmp_path):
    assert room_warning(tmp_path / "gone") == ""


@pytest.mark.parametrize(("count", "text"), [(12, "12 bytes"), (3400, "3 kB"), (157e6, "157 MB"), (2.5e9, "2.5 GB")])
def test_sizes_in_words(count, text):
    assert size_text(count) == text


def test_there_is_always_another_folder_to_go_on_in(tmp_path):
    first, second = room.default_fallbacks(tmp_path)
    assert str(tmp_path / "user") in str(first)  # the user's own, here the test's
    assert room.default_fallbacks(first) == (second,)


def test_the_reserve_takes_room_and_gives_it_back(tmp_path):
    ballast = Ballast(tmp_path / "reserve", 3 << 20)
    assert ballast.lay()
    assert ballast.path.stat().st_blocks * 512 >= 3 << 20
    assert ballast.drop()
    assert not ballast.drop()
    assert list(tmp_path.iterdir()) == []


def test_without_room_for_the_reserve_nothing_is_left_behind(tmp_path):
    assert not Ballast(tmp_path / "none" / "reserve").lay()
    assert shutil.disk_usage(tmp_path).free > 0


def test_what_is_told_before_a_run_names_room_and_network(tmp_path, monkeypatch) -> None:
    from acquire import recorder_room

    assert recorder_room.folder_warnings(tmp_path, 20.0) == []
    monkeypatch.setattr(recorder_room, "free_bytes", lambda folder: 1_000_000)
    (told,) = recorder_room.folder_warnings(tmp_path, 20.0)
    assert "only 1.0 GB are free" in told or "only 1 MB are free" in told
    assert "this run will need about" in told
