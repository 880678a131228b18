"""Adds results and journal entries to a closed run; what is there is never changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import h5py

from acquire.journal import GENESIS, Entry
from acquire.runfile import layout
from acquire.runfile.closing import edit_copy, replace_checked
from acquire.runfile.errors import DamagedFileError, FileInUseError, WriteFailedError, first_line
from acquire.runfile.guarded import written_file
from acquire.runfile.journal_rows import append_entries
from acquire.runfile.reader import RunFile
from acquire.runfile.seal import digests, read_seal, write_seal
from acquire.runfile.tables import result_numbers, set_default_plot, write_result


def append_to_closed(
    path: str | Path,
    entries: Sequence[Entry],
    results: Sequence[Mapping[str, Any]],
    *,
    sealed_at: str,
    program: str = "",
) -> None:
    """Add journal entries and results to a closed run; nothing that is there is changed, and it is sealed again.

    The work is done on a copy that takes the file's place when it has been read back, so a crash leaves the old file.

    Parameters
    ----------
    entries
        They go on numbering and chaining where the stored journal ends.
    results
        `EnthalpyFit.as_dict()`, stored as `result_N` behind those that are there.
    sealed_at
        ISO 8601 date with offset.
    program
        What computed the results; by default the program that recorded the run.

    Raises
    ------
    FileInUseError
        The run is still being recorded.
    DamagedFileError
        The file no longer agrees with its seal: adding to it would hide that.
    WriteFailedError
    """
    path = Path(path)
    with RunFile(path) as run:
        if run.live:
            raise FileInUseError(path, alive=True)
        if run.killed:
            raise FileInUseError(path)
        file = run.hdf
        seal = read_seal(file)
        if seal is not None and digests(file) != seal.digests:
            raise DamagedFileError(
                f"{path} was altered after it was sealed; nothing was added, since a new seal would hide that. "
                f"'satline verify {path}' says where; work on an untouched copy.",
                path,
            )
        stored = len(run.journal_lines()[0])
        program = program or run.header().program
    if [entry.number for entry in entries] != list(range(stored, stored + len(entries))):
        raise ValueError(f"the journal holds {stored} entries; new ones must be numbered on from there")
    draft = edit_copy(path)
    try:
        with written_file(draft, "r+") as file:
            _append_closed(file, entries, results, program, sealed_at)
        replace_checked(draft, path)
    except (OSError, RuntimeError) as error:
        raise WriteFailedError(path, "adding to", first_line(error)) from error
    finally:
        draft.unlink(missing_ok=True)


def _append_closed(
    file: h5py.File, entries: Sequence[Entry], results: Sequence[Mapping[str, Any]], program: str, date: str
) -> None:
    journal, entry = file[layout.JOURNAL], file["entry"]
    rows = journal["end"].shape[0]
    previous = journal["sha256"][rows - 1].decode("ascii") if rows else GENESIS
    append_entries(journal, entries, previous, int(journal["end"][rows - 1]) if rows else 0)
    first = max(result_numbers(entry), default=0) + 1
    for number, result in enumerate(results, first):
        write_result(entry, number, result, program, date)
    set_default_plot(entry)
    write_seal(file, date)
