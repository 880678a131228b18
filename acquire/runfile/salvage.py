"""Copies everything that can still be read out of a damaged run file into a new one, row by row where it must."""

from __future__ import annotations

import itertools
from pathlib import Path

import h5py
import numpy as np

from acquire.journal import Entry
from acquire.runfile import layout
from acquire.runfile.access import MALFORMED, read_header
from acquire.runfile.columns import checked, shortest
from acquire.runfile.errors import DamagedFileError, first_line
from acquire.runfile.writer import RunFileWriter
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
        device = source[layout.recording_path(channel)]["devices"][()].decode("utf-8")
        steps = _time_steps(source, channel)
        chunk = columns["time"].chunks[0]
    except MALFORMED:
        return 0
    for start in range(0, rows, chunk):
        stop = min(rows, start + chunk)
        try:
            part = {name: column[start:stop] for name, column in columns.items()}
        except MALFORMED:
            lost += stop - start
            continue
        written = ~np.isnan(part["time"])
        lost += int((~written).sum())
        for begin, end, u_time in _constant_parts(steps, start, stop):
            keep = written[begin - start : end - start]
            block = {name: column[begin - start : end - start][keep] for name, column in part.items()}
            if len(block["time"]):
                writer.append(
                    Readings(channel, block["time"], block["value"], block["raw_value"], block["value_mask"], u_time),
                    device,
                )
    return lost


def _time_steps(source: h5py.File, channel: str) -> list[tuple[int, float]]:
    recording = source[layout.recording_path(channel)]
    return list(zip(checked(recording["row"])[()].tolist(), checked(recording["u_time"])[()].tolist(), strict=False))


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
    journal = source[layout.JOURNAL]
    entries: list[Entry] = []
    try:
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
