"""Says whether a run file is intact, altered or incomplete, and mends what a crash left, always on a copy."""

from __future__ import annotations

import contextlib
import shutil
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from acquire.file_lock import is_held
from acquire.raw_journal import raw_journal_path
from acquire.runfile.access import MALFORMED, open_for_reading
from acquire.runfile.checks import ALTERED, DAMAGED, INCOMPLETE, Fault, check_journal, check_seal, check_streams
from acquire.runfile.errors import (
    DamagedFileError,
    FileInUseError,
    NotARunFileError,
    RunFileError,
    WriteFailedError,
    first_line,
)
from acquire.runfile.reader import RunFile
from acquire.runfile.rebuild import close_rebuilt, rebuild
from acquire.runfile.salvage import salvage
from acquire.runfile.superblock import SIZE, SuperblockError, mended, read_superblock
from acquire.whereabouts import moved_words

INTACT, UNREADABLE, RECORDING = "intact", "unreadable", "being recorded"


@dataclass(frozen=True)
class VerifyReport:
    """What `verify` found."""

    path: str
    state: str  # "intact" | "altered" | "damaged" | "incomplete" | "unreadable" | "being recorded"
    faults: tuple[Fault, ...]
    advice: str
    readings: Mapping[str, int] = field(default_factory=dict)  # channel -> rows
    entries: int = 0
    sealed_at: str = ""
    content: str = ""  # the hash that stands for the sealed content
    raw_journal: str = ""  # where the raw journal lies, when there is one

    @classmethod
    def from_dict(cls, data: Mapping[str, Any]) -> VerifyReport:
        """What `as_dict` gave."""
        return cls(
            data["path"],
            data["state"],
            tuple(Fault(**fault) for fault in data["faults"]),
            data["advice"],
            data["readings"],
            data["entries"],
            data["sealed_at"],
            data["content_sha256"],
            data["raw_journal"],
        )

    @property
    def intact(self) -> bool:
        return self.state == INTACT

    def as_dict(self) -> dict[str, Any]:
        """For `--json`."""
        return {
            "path": self.path,
            "state": self.state,
            "faults": [{"kind": f.kind, "where": f.where, "text": f.text} for f in self.faults],
            "advice": self.advice,
            "readings": dict(self.readings),
            "entries": self.entries,
            "sealed_at": self.sealed_at,
            "content_sha256": self.content,
            "raw_journal": self.raw_journal,
        }


def verify(path: str | Path) -> VerifyReport:
    """Look at everything in the file; never raises for what is wrong with it.

    A file made to do harm can crash the library and so this process: one from strangers goes to `apart.verify_apart`,
    unless it was opened before, which sends it through `gate`.

    Raises
    ------
    NotARunFileError
        There is no such file, or it is no HDF5 file or not one of ours.
    """
    path = Path(path)
    raw = raw_journal_path(path)
    raw_text = str(raw) if raw.exists() else ""
    if is_held(path) or is_held(raw):
        return VerifyReport(str(path), RECORDING, (), "Verify it once the run is closed.", raw_journal=raw_text)
    faults: list[Fault] = []
    try:
        faults += _check_superblock(path)
        run = RunFile(path, unlooked=True)
    except NotARunFileError as error:
        if raw_text and path.exists():
            return _unreadable(path, raw_text, str(error))
        raise
    except RunFileError as error:
        return _unreadable(path, raw_text, str(error))
    with contextlib.suppress(*MALFORMED), run:
        return _verify_open(run, path, faults, raw_text)
    return _unreadable(path, raw_text, f"{path} broke off while it was read")


def _verify_open(run: RunFile, path: Path, faults: list[Fault], raw_text: str) -> VerifyReport:
    file = run.hdf
    seal = None
    if not run.sealed:
        why = "its writer was killed" if run.killed else "the run was not closed"
        faults.append(Fault(INCOMPLETE, "", f"there is no seal: {why}"))
    else:
        faults += check_seal(file)
        with contextlib.suppress(RunFileError):  # `check_seal` has said so
            seal = run.seal()
        with contextlib.suppress(*MALFORMED):
            if "end_time" not in file["entry"]:
                faults.append(Fault(INCOMPLETE, "", "the run ended without being closed; this file was mended later"))
    faults += check_journal(file)
    faults += check_streams(file)
    readings: dict[str, int] = {}
    entries = 0
    with contextlib.suppress(RunFileError):
        readings = {channel: run.rows(channel) for channel in run.channels}
        entries = len(run.journal_lines()[0])
    kinds = {fault.kind for fault in faults}
    state = next((kind for kind in (ALTERED, DAMAGED, INCOMPLETE) if kind in kinds), INTACT)
    return VerifyReport(
        str(path),
        state,
        tuple(faults),
        _advice(state, path, raw_text),
        readings,
        entries,
        seal.sealed_at if seal else "",
        seal.content if seal else "",
        raw_text,
    )


def _check_superblock(path: Path) -> list[Fault]:
    try:
        with open(path, "rb") as handle:
            found = read_superblock(handle.read(96))
        size = path.stat().st_size
    except (OSError, SuperblockError):
        return []  # opening it says so in words
    faults = []
    if not found.checksum_ok:
        faults.append(Fault(DAMAGED, "", "the first bytes of the file do not agree with their checksum"))
    elif found.version in (2, 3) and not found.flags and found.end_of_file > size:
        faults.append(Fault(DAMAGED, "", f"the file is cut off: {size} of {found.end_of_file} bytes are there"))
    return faults


def _unreadable(path: Path, raw: str, text: str) -> VerifyReport:
    advice = f"Run 'satline verify {path} --repair': it works on a copy."
    return VerifyReport(str(path), UNREADABLE, (Fault(DAMAGED, "", text),), advice, raw_journal=raw)


def _advice(state: str, path: Path, raw: str) -> str:
    elsewhere = moved_words(path)
    if elsewhere and state != INTACT:
        return elsewhere
    if state == INTACT:
        return ""
    if state == ALTERED:
        return "What was there before cannot be computed back. Look for an untouched copy or a backup."
    source = "rebuilds it from the raw journal" if raw else "mends what can be mended"
    return f"'satline verify {path} --repair' {source}, on a copy."


def repair(path: str | Path, *, now_iso: str) -> Path:
    """Make a readable, sealed copy beside a file that a crash left open, damaged or incomplete.

    From the raw journal where there is one (nothing is lost then), else from what the file itself still holds.
    Readings are copied as they are, never computed; the file given is not touched.

    Parameters
    ----------
    now_iso
        Date of the mending, for the seal.

    Returns
    -------
    Path
        The mended copy, a new name beside the file.

    Raises
    ------
    FileInUseError
        The run is being recorded.
    DamagedFileError
        Nothing can be read from it.
    NotARunFileError, WriteFailedError
    """
    path = Path(path)
    raw = raw_journal_path(path)
    if is_held(path) or is_held(raw):
        raise FileInUseError(path, alive=True)
    if not path.exists() and not raw.exists():
        raise NotARunFileError(f"{path} does not exist; expected a run file. Check the name and the folder.", path)
    target = _free_name(path)
    if raw.exists():
        with contextlib.suppress(DamagedFileError, NotARunFileError):
            return rebuild(raw, target, now_iso=now_iso)
    draft = path.with_name(path.name + ".mending")
    try:
        shutil.copyfile(path, draft)
        clear_open_mark(draft)
        with open_for_reading(draft, unlooked=True) as source:
            salvage(source, target)
        close_rebuilt(target, now_iso)
        return target
    except (OSError, RuntimeError) as error:
        raise WriteFailedError(target, "writing", first_line(error)) from error
    finally:
        draft.unlink(missing_ok=True)


def clear_open_mark(path: Path) -> bool:
    """Clear the mark of a file whose writer was killed; false when there was nothing to clear.  Works in place."""
    with open(path, "r+b") as handle:
        head = handle.read(96)
        try:
            found = read_superblock(head)
        except SuperblockError as error:
            raise NotARunFileError(f"{path} {error}; nothing in it can be mended.", path) from error
        if found.version not in (2, 3) or (found.flags == 0 and found.checksum_ok):
            return False
        length = handle.seek(0, 2)
        handle.seek(0)
        handle.write(mended(head[:SIZE], length))
    return True


def _free_name(path: Path) -> Path:
    for number in range(1, 1000):
        target = path.with_name(f"{path.stem}.mended{'' if number == 1 else f'-{number}'}{path.suffix}")
        if not target.exists():
            return target
    raise NotARunFileError(f"there are 999 mended copies beside {path}; move them away first.", path)
