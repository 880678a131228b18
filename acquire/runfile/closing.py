"""Makes the closed file: compressed, with points and results, sealed, checked, put in the place of the live one."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import h5py
import numpy as np
from numpy.typing import NDArray

from acquire.record import Baseline, PointRecord
from acquire.runfile import codes, gate, layout
from acquire.runfile.access import open_for_reading, program_of, read_header, text_of
from acquire.runfile.columns import append_rows, checked
from acquire.runfile.errors import DamagedFileError, WriteFailedError, first_line
from acquire.runfile.guarded import written_file
from acquire.runfile.overview import FACTORS, level_names
from acquire.runfile.seal import digests, read_seal, write_seal
from acquire.runfile.skeleton import create_tree
from acquire.runfile.strings import set_attr, write_text
from acquire.runfile.tables import set_default_plot, write_baselines, write_points, write_result, write_truth
from drivers.readings import CHANNELS, PRESSURE, TEMPERATURE


def close_run(
    path: Path,
    end_time: str,
    points: Sequence[PointRecord],
    baselines: Sequence[Baseline],
    results: Sequence[Mapping[str, Any]],
    truth: Mapping[str, Any] | None,
    *,
    sealed_at: str | None = None,
) -> None:
    """Replace the recorded file by its closed form; on any trouble it stays as recorded.

    Raises
    ------
    WriteFailedError
        The closed file could not be written or read back (a full disk); the recorded one is untouched.
    """
    draft = path.with_name(path.name + ".closing")
    try:
        with open_for_reading(path, unlooked=True) as source, written_file(draft, "w") as target:
            copy_run(source, target)
            set_attr(target, "file_name", path.name)
            add_outcome(target["entry"], end_time, points, baselines, results, truth, sealed_at=sealed_at or end_time)
            write_seal(target, sealed_at or end_time)
        replace_checked(draft, path)
    except (OSError, RuntimeError) as error:
        raise WriteFailedError(path, "closing", first_line(error)) from error
    finally:
        draft.unlink(missing_ok=True)


def add_outcome(
    entry: h5py.Group,
    end_time: str,
    points: Sequence[PointRecord],
    baselines: Sequence[Baseline],
    results: Sequence[Mapping[str, Any]],
    truth: Mapping[str, Any] | None,
    *,
    sealed_at: str,
) -> None:
    """What a closed file holds beside the readings and the journal."""
    if end_time:  # a mended file has none, so that everyone can see that the run was never closed
        write_text(entry, "end_time", end_time)
    write_points(entry, points)
    write_baselines(entry, baselines)
    program = program_of(entry)
    for number, result in enumerate(results, 1):
        write_result(entry, number, result, program, sealed_at)
    if truth is not None:
        write_truth(entry, truth)
    set_default_plot(entry)


def copy_run(source: h5py.File, target: h5py.File) -> None:
    """Header, readings, journal and overview levels into a new file; channels without readings are left out."""
    used = [
        channel
        for channel in CHANNELS
        if channel in (TEMPERATURE, PRESSURE) or source[layout.log_path(channel)]["time"].shape[0]
    ]
    rows = {
        channel: min(source[layout.log_path(channel)][name].shape[0] for name in layout.COLUMNS) for channel in used
    }
    shared = _shared_times(source, rows)
    divisors = {
        channel: divisor
        for channel in used
        if (divisor := codes.divisor_for(_slices(source[layout.log_path(channel)]["raw_value"], rows[channel])))
    }
    identifier = text_of(source["entry/entry_identifier_uuid"])
    create_tree(
        target,
        read_header(source),
        channels=used,
        compress=True,
        identifier=identifier,
        shared_times=shared,
        divisors=divisors,
    )
    last = 0.0
    for channel in used:
        log, overview = layout.log_path(channel), layout.overview_path(channel)
        for name in layout.COLUMNS:
            if name == "raw_value" and channel in divisors:
                for part in _slices(source[log][name], rows[channel]):
                    append_rows(target[log][name], codes.encoded(part, divisors[channel]))
            elif name != "time" or channel not in shared:
                _copy_column(source[log][name], target[log][name], rows[channel])
        recording = layout.recording_path(channel)
        _copy_group(source[recording], target[recording])
        for factor in FACTORS:
            time, figures = level_names(factor)
            for name in (figures,) if channel in shared else (time, figures):
                _copy_column(source[overview][name], target[overview][name], rows[channel] // factor)
        target[recording]["devices"][()] = source[recording]["devices"][()]
        if rows[channel]:
            last = max(last, float(source[log]["time"][rows[channel] - 1]))
    _copy_group(source[layout.RECEIVED], target[layout.RECEIVED], streams=("bytes",))
    _copy_group(source[layout.JOURNAL], target[layout.JOURNAL], streams=("lines",))
    target["entry/collection_time"][()] = last


def _shared_times(source: h5py.File, rows: Mapping[str, int]) -> dict[str, str]:
    """Channel -> an earlier channel with the same times, bit for bit."""
    shared: dict[str, str] = {}
    for channel, count in rows.items():
        for other in rows:
            if other == channel:
                break
            if count and other not in shared and rows[other] == count and _same_times(source, channel, other, count):
                shared[channel] = other
                break
    return shared


def _same_times(source: h5py.File, one: str, other: str, rows: int) -> bool:
    pairs = zip(*(_slices(source[layout.log_path(channel)]["time"], rows) for channel in (one, other)), strict=True)
    return all(np.array_equal(first.view(np.int64), second.view(np.int64)) for first, second in pairs)


def _slices(column: h5py.Dataset, rows: int) -> Iterator[NDArray]:
    column = checked(column)
    for start in range(0, rows, layout.SLICE_ROWS):
        yield column[start : min(rows, start + layout.SLICE_ROWS)]


def _copy_group(source: h5py.Group, target: h5py.Group, *, streams: Sequence[str] = ()) -> None:
    names = [name for name in source if name in target and name not in streams and source[name].ndim]
    rows = min(source[name].shape[0] for name in names)
    for name in names:
        _copy_column(source[name], target[name], rows)
    for name in streams:
        end = int(source["end"][rows - 1]) if rows else 0
        _copy_column(source[name], target[name], end)


def _copy_column(source: h5py.Dataset, target: h5py.Dataset, rows: int) -> None:
    for part in _slices(source, rows):
        append_rows(target, part)


def replace_checked(draft: Path, path: Path) -> None:
    """Read the draft back against its own seal, make it durable, then give it the name in one step."""
    check_read_back(draft)
    sync_file(draft)
    os.replace(draft, path)
    sync_folder(path.parent)
    gate.remember(path)


def check_read_back(draft: Path, known: Mapping[str, str] | None = None) -> None:
    """Compare a file that was just written with its own seal; see `digests` for `known`.

    Raises
    ------
    DamagedFileError
    """
    with h5py.File(draft, "r") as file:
        seal = read_seal(file)
        if seal is None or digests(file, known) != seal.digests:
            raise DamagedFileError(
                f"{draft} reads back differently from what was written; the disk or the memory may be failing. "
                "What it was made from is left as it was; copy that to another drive.",
                draft,
            )


def sync_file(path: Path) -> None:
    with open(path, "rb+") as handle:
        os.fsync(handle.fileno())


def sync_folder(folder: Path) -> None:
    """Make a new name durable; Windows does that by itself and cannot open folders."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def edit_copy(path: Path) -> Path:
    """A copy beside the file, to be edited and then put in its place."""
    draft = path.with_name(path.name + ".editing")
    shutil.copyfile(path, draft)
    return draft
