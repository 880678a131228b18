"""The single checks behind `satline verify`: each looks at one thing and says where it is wrong."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import h5py
import numpy as np

from acquire.journal import GENESIS, Entry, chained_hash
from acquire.runfile import layout
from acquire.runfile.access import MALFORMED
from acquire.runfile.columns import checked, shortest, texts
from acquire.runfile.errors import first_line
from acquire.runfile.overview import FACTORS, level_names
from acquire.runfile.seal import content_hash, object_digest, objects, read_seal
from acquire.runfile.written import checksum, read_written
from drivers.readings import CHANNELS

ALTERED, DAMAGED, INCOMPLETE = "altered", "damaged", "incomplete"


@dataclass(frozen=True)
class Fault:
    """One thing that is not as it was written."""

    kind: str  # ALTERED, DAMAGED or INCOMPLETE
    where: str  # path of the object in the file, "" for the file as a whole
    text: str  # sentence


def check_seal(file: h5py.File) -> Iterator[Fault]:
    """Every object against the digest taken at closing; nothing to say for a file without a seal."""
    try:
        seal = read_seal(file)
    except MALFORMED as error:
        yield Fault(DAMAGED, layout.SEAL, f"the seal cannot be read: {first_line(error)}")
        return
    if seal is None:
        return
    if content_hash(seal.digests) != seal.content:
        yield Fault(ALTERED, layout.SEAL, "the seal itself was altered")
    found = set()
    try:
        for path, item in objects(file):
            found.add(path)
            yield from _check_object(path, item, seal.digests.get(path))
    except MALFORMED as error:
        yield Fault(DAMAGED, "", f"the list of objects cannot be read: {first_line(error)}")
        return
    for path in sorted(set(seal.digests) - found):
        yield Fault(ALTERED, path, f"{path} was sealed but is not there any more")


def _check_object(path: str, item: Any, sealed: str | None) -> Iterator[Fault]:
    if sealed is None:
        yield Fault(ALTERED, path, f"{path} was added after sealing")
        return
    try:
        if object_digest(path, item) != sealed:
            yield Fault(ALTERED, path, f"{path} differs from what was sealed")
    except MALFORMED as error:
        yield Fault(DAMAGED, path, f"{path} cannot be read: {first_line(error)}")


def check_journal(file: h5py.File) -> Iterator[Fault]:
    """The hash chain, the numbering, and that the readable columns say what the canonical lines say."""
    try:
        yield from _check_journal(file[layout.JOURNAL])
    except MALFORMED as error:
        yield Fault(DAMAGED, layout.JOURNAL, f"the journal cannot be read: {first_line(error)}")


def _check_journal(journal: h5py.Group) -> Iterator[Fault]:
    columns = {name: checked(journal[name]) for name in layout.JOURNAL_COLUMNS}
    rows = shortest(columns.values())
    data = {name: column[:rows] for name, column in columns.items()}
    lines = checked(journal["lines"])[()].tobytes()
    ends = data["end"].astype(np.int64)
    if rows and (ends[0] < 0 or np.any(np.diff(ends) < 0) or ends[-1] > len(lines)):
        yield Fault(ALTERED, layout.JOURNAL, "the journal's rows point outside its lines")
        return
    previous, start = GENESIS, 0
    shown = {name: texts(data[name]) for name in ("kind", "actor", "text", "sha256")}
    for row in range(rows):
        line = lines[start : int(ends[row])].decode("utf-8").rstrip("\n")
        start = int(ends[row])
        previous = chained_hash(previous, line)
        if previous != shown["sha256"][row]:
            yield Fault(ALTERED, layout.JOURNAL, f"the journal's chain is broken at entry {row}")
            return
        entry = Entry.from_canonical(line)
        if entry.number != row:
            yield Fault(ALTERED, layout.JOURNAL, f"row {row} of the journal holds entry {entry.number}")
            return
        if not _agrees(entry, {name: data[name][row] for name in ("time", "block", "given")}, shown, row):
            yield Fault(ALTERED, layout.JOURNAL, f"the readable columns of entry {row} differ from its line")


def _agrees(entry: Entry, numbers: dict[str, Any], shown: dict[str, list[str]], row: int) -> bool:
    for name in ("kind", "actor", "text"):
        clip = layout.clipped(getattr(entry, name), int(layout.JOURNAL_COLUMNS[name][1:])).decode("utf-8")
        if shown[name][row] != clip.rstrip("\0"):
            return False
    return (numbers["time"], numbers["block"], bool(numbers["given"])) == (entry.time, entry.block, entry.given)


def check_streams(file: h5py.File) -> Iterator[Fault]:
    """That all columns of a channel can be read, have the same length and hold no rows that were never written."""
    for channel in CHANNELS:
        path = layout.log_path(channel)
        try:
            if path in file:
                yield from _check_log(file[path], path)
                yield from _check_written(file, channel)
        except MALFORMED as error:
            yield Fault(DAMAGED, path, f"{path} cannot be read: {first_line(error)}")
        try:
            yield from _check_levels(file, channel)
        except MALFORMED as error:
            where = layout.overview_path(channel)
            yield Fault(DAMAGED, where, f"{where} cannot be read: {first_line(error)}")


def _check_log(log: h5py.Group, path: str) -> Iterator[Fault]:
    lengths = {name: checked(log[name]).shape[0] for name in layout.COLUMNS}
    rows = min(lengths.values())
    if max(lengths.values()) != rows:
        yield Fault(
            INCOMPLETE, path, f"the columns of {path} have {rows} to {max(lengths.values())} rows; the rest is cut off"
        )
    last = -np.inf
    unwritten = backwards = 0
    for start in range(0, rows, layout.SLICE_ROWS):
        part = {name: log[name][start : min(rows, start + layout.SLICE_ROWS)] for name in layout.COLUMNS}
        missing = np.isnan(part["time"])
        unwritten += int(missing.sum())
        time = part["time"][~missing]
        if len(time):
            backwards += int((np.diff(time, prepend=max(last, time[0]) if last > -np.inf else time[0]) < 0).sum())
            last = time[-1]
    if unwritten:
        yield Fault(INCOMPLETE, path, f"{unwritten} rows of {path} were never written; the disk was full or gone")
    if backwards:
        yield Fault(DAMAGED, f"{path}/time", f"{path}/time runs backwards at {backwards} places")


def _check_written(file: h5py.File, channel: str) -> Iterator[Fault]:
    """The checksums of a file that was never closed."""
    path = layout.log_path(channel)
    written = read_written(file[layout.recording_path(channel)])
    if written is None:
        return
    if written.rows < file[path]["time"].shape[0]:
        more = file[path]["time"].shape[0] - written.rows
        yield Fault(INCOMPLETE, path, f"the last {more} rows of {path} were not written to the end")
    wrong = 0
    for start, end, crc in written.stretches():
        part = {name: file[path][name][start:end] for name in layout.COLUMNS}
        wrong += end - start if len(part["time"]) < end - start or checksum(part) != crc else 0
    if wrong:
        yield Fault(DAMAGED, path, f"{wrong} rows of {path} are not as they were written")


def _check_levels(file: h5py.File, channel: str) -> Iterator[Fault]:
    where = layout.overview_path(channel)
    if where not in file or layout.log_path(channel) not in file:
        return
    rows = file[layout.log_path(channel)]["time"].shape[0]
    for factor in FACTORS:
        for name in level_names(factor):
            if file[where][name].shape[0] > rows // factor:
                yield Fault(DAMAGED, f"{where}/{name}", f"{where}/{name} has more rows than there are readings for")
