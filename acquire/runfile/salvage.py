"""Copies everything that can still be read out of a damaged run file into a new one, row by row where it must."""

from __future__ import annotations

import contextlib
import itertools
from collections.abc import Iterator
from pathlib import Path

import h5py
import numpy as np
from numpy.typing import NDArray

from acquire.journal import Entry
from acquire.runfile import layout
from acquire.runfile.access import MALFORMED, read_header
from acquire.runfile.codes import raw_values
from acquire.runfile.columns import checked, shortest
from acquire.runfile.errors import DamagedFileError, first_line
from acquire.runfile.writer import RunFileWriter
from acquire.runfile.written import Written, checksum, read_written
from drivers.readings import CHANNELS, Readings


def salvage(source: h5py.File, target: Path) -> int:
    """Write a new live run file with what `source` still gives; returns the rows that could not be read.

    Rows are lost in whole chunks, in all columns of a channel alike, so that no reading is put together from parts
    of two.
    """
    try:
        header = read_header(source)
    except MALFORMED as error:
        raise DamagedFileError(
            f"the header of {source.filename} cannot be read: {first_line(error)}; nothing can be mended without it. "
            "Look for a copy or the raw journal.",
            source.filename,
        ) from error
    lost = 0
    writer = RunFileWriter(target, header)
    try:
        for channel in CHANNELS:
            lost += _salvage_channel(source, writer, channel)
        _salvage_journal(source, writer)
        writer.flush()
    finally:
        writer.abandon()
    return lost


def _salvage_channel(source: h5py.File, writer: RunFileWriter, channel: str) -> int:
    lost = 0
    try:
        log = source[layout.log_path(channel)]
        columns = {name: checked(log[name]) for name in layout.COLUMNS}
        rows = shortest(columns.values())
        chunk = max(column.chunks[0] for column in columns.values())
        raw_values(columns["raw_value"], np.empty(0))
    except MALFORMED:
        return 0
    device, steps, written = _recording(source, channel)
    for start, stop, crc in written.stretches() if written else _chunks(rows, chunk):
        try:
            part = {name: column[start:stop] for name, column in columns.items()}
        except MALFORMED:
            lost += stop - start
            continue
        part["raw_value"] = raw_values(columns["raw_value"], part["raw_value"])
        if not _as_written(part, stop - start, crc):
            lost += stop - start
            continue
        there = ~np.isnan(part["time"])
        lost += int((~there).sum())
        for begin, end, u_time in _constant_parts(steps, start, stop):
            keep = there[begin - start : end - start]
            block = {name: column[begin - start : end - start][keep] for name, column in part.items()}
            if len(block["time"]):
                writer.append(
                    Readings(channel, block["time"], block["value"], block["raw_value"], block["value_mask"], u_time),
                    device,
                )
    return lost


def _chunks(rows: int, chunk: int) -> Iterator[tuple[int, int, int | None]]:
    for start in range(0, rows, chunk):
        yield start, min(rows, start + chunk), None


def _as_written(part: dict[str, NDArray], rows: int, crc: int | None) -> bool:
    if crc is not None:
        return len(part["time"]) == rows and checksum(part) == crc
    # A chunk of zeros, as a power cut leaves it, passes the checksum of HDF5.
    return all(part[name].any() for name in ("time", "value", "raw_value"))


def _recording(source: h5py.File, channel: str) -> tuple[str, list[tuple[int, float]], Written | None]:
    """Device, steps of the uncertainty of time, and what is known to have been written; each as far as it is there."""
    device, steps, written = "", [], None
    with contextlib.suppress(*MALFORMED):
        recording = source[layout.recording_path(channel)]
        with contextlib.suppress(*MALFORMED):
            device = checked(recording["devices"])[()].decode("utf-8")
        with contextlib.suppress(*MALFORMED):
            rows, u_times = (checked(recording[name])[()].tolist() for name in ("row", "u_time"))
            steps = list(zip(rows, u_times, strict=False))
        with contextlib.suppress(*MALFORMED):
            written = read_written(recording)
    return device, steps, written


def _constant_parts(steps: list[tuple[int, float]], start: int, stop: int) -> list[tuple[int, int, float]]:
    """Stretches of rows with one uncertainty of time each."""
    inside = [row for row, _ in steps if start < row < stop]
    bounds = [start, *inside, stop]
    out = []
    for begin, end in itertools.pairwise(bounds):
        u_time = 0.0
        for row, value in steps:
            if row > begin:
                break
            u_time = value
        out.append((begin, end, u_time))
    return out


def _salvage_journal(source: h5py.File, writer: RunFileWriter) -> None:
    """Entries up to the first that cannot be read: behind a gap the chain would not hold."""
    entries: list[Entry] = []
    try:
        journal = source[layout.JOURNAL]
        ends = checked(journal["end"])[()].tolist()
        lines = checked(journal["lines"])
        start = 0
        for end in ends:
            if not start <= end <= lines.shape[0]:
                break
            entry = Entry.from_canonical(lines[start:end].tobytes().decode("utf-8").rstrip("\n"))
            if entry.number != len(entries):
                break
            entries.append(entry)
            start = end
    except MALFORMED:
        pass  # what was read so far is kept
    writer.append_entries(entries)
