"""Makes a run file again from its raw journal."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import h5py

from acquire.journal import GENESIS, Entry
from acquire.points import PointBook, baselines_of
from acquire.raw_columns import NotWhole, RawColumns
from acquire.raw_frames import Chunk, Damage, Ended, Header, Reading, items
from acquire.record import Baseline, PointRecord
from acquire.runfile import gate, layout
from acquire.runfile.closing import add_outcome, check_read_back, close_run, sync_file, sync_folder
from acquire.runfile.creating import publish_new
from acquire.runfile.errors import (
    DamagedFileError,
    RunFileError,
    RunFileExistsError,
    WriteFailedError,
    first_line,
)
from acquire.runfile.guarded import written_file
from acquire.runfile.journal_rows import append_entries
from acquire.runfile.layout import RunHeader
from acquire.runfile.packing import check_chunks
from acquire.runfile.quick_rebuild import OtherwiseError, Rebuilt, fill, guessed_form
from acquire.runfile.reader import RunFile
from acquire.runfile.seal import write_seal
from acquire.runfile.strings import set_attr
from acquire.runfile.tail import MATCH, TAIL_BYTES, Tail
from acquire.runfile.writer import RunFileWriter
from drivers.readings import Readings


def rebuild(raw: str | Path, target: str | Path, *, now_iso: str, thorough: bool = False) -> Path:
    """Write `target`, a new closed run file, from a raw journal.

    Readings that were received but not yet stored when the program was killed are decoded again from their bytes
    with the profile in the header.

    Parameters
    ----------
    now_iso
        Date for the seal when the journal does not say that the run was closed.
    thorough
        Read the whole file back, inflated, as before the raw journal is removed; else it is compared with what was
        written as it stands on the disk.

    Raises
    ------
    DamagedFileError
        The raw journal has no header: nothing can be made of it.
    RunFileExistsError, WriteFailedError, NotARunFileError
    """
    raw, target = Path(raw), Path(target)
    if target.exists():
        raise RunFileExistsError(target)
    try:
        whole = RawColumns(raw)
        _rebuild_whole(whole, target, now_iso, thorough=thorough)
    except NotWhole:
        _rebuild_damaged(raw, target, now_iso)
    return target


def _rebuild_whole(raw: RawColumns, target: Path, now_iso: str, *, thorough: bool) -> None:
    """From a raw journal in which everything is where it should be."""
    (first, *rest) = raw.items
    assert isinstance(first, Header)
    header = _header(first, raw.path)
    entries = [item for item in rest if isinstance(item, Entry)]
    ended = next((item.data for item in reversed(rest) if isinstance(item, Ended)), None)
    outcome = _outcome(entries, ended)
    more = [] if ended else _undecoded(raw, header)
    form = guessed_form(raw, more)
    draft = target.with_name(target.name + ".closing")
    try:
        while True:
            try:
                with written_file(draft, "w") as file:
                    rebuilt = fill(file, raw, header, more, form)
                    append_entries(file[layout.JOURNAL], entries, GENESIS, 0)
                    set_attr(file, "file_name", target.name)
                    add_outcome(file["entry"], *outcome, sealed_at=outcome[0] or now_iso)
                    write_seal(file, outcome[0] or now_iso, rebuilt.digests)
                break
            except OtherwiseError as error:
                form = error.form
        _publish(draft, target, rebuilt, thorough=thorough)
    except FileExistsError as error:
        raise RunFileExistsError(target) from error
    except (OSError, RuntimeError) as error:
        raise WriteFailedError(target, "writing", first_line(error)) from error
    finally:
        draft.unlink(missing_ok=True)


def _publish(draft: Path, target: Path, rebuilt: Rebuilt, *, thorough: bool) -> None:
    """Look at what was written, make it durable, give it its name."""
    if thorough:
        check_read_back(draft)
    else:
        with h5py.File(draft, "r") as file:
            check_chunks(file, rebuilt.checks)
        check_read_back(draft, rebuilt.digests)
    sync_file(draft)
    publish_new(draft, target)
    sync_folder(target.parent)
    gate.remember(target)


def _undecoded(raw: RawColumns, header: RunHeader) -> list[tuple[str, Readings]]:
    """Readings that were received and that no block of the raw journal holds, with their devices."""
    found = []
    for device in raw.devices.values():
        if not header.profile_texts.get(device):
            continue
        tail = Tail()
        for chunk in raw.last_received(TAIL_BYTES, device):
            tail.see(chunk)
        for readings in raw.last_readings(device, MATCH):
            tail.stored(readings)
        found += [(device, readings) for readings in tail.undecoded(header.profile_texts[device], device)]
    return found


def _rebuild_damaged(raw: Path, target: Path, now_iso: str) -> None:
    """Frame by frame, passing over what is damaged."""
    stream = items(raw, Damage())
    first = next(stream, None)
    if not isinstance(first, Header):
        raise DamagedFileError(
            f"{raw} does not begin with the header of a run; nothing can be rebuilt from it. "
            "Look for a copy of it or for the run file itself.",
            raw,
        )
    header = _header(first, raw)
    writer = RunFileWriter(target, header)
    tails: dict[str, Tail] = {}
    ended: Ended | None = None
    try:
        for item in stream:
            if isinstance(item, Chunk):
                tails.setdefault(item.device, Tail()).see(item)
                writer.append_received(item.received)
            elif isinstance(item, Reading):
                tails.setdefault(item.device, Tail()).stored(item.readings)
                writer.append(item.readings, item.device)
            elif isinstance(item, Ended):
                ended = item
            elif not isinstance(item, Header):
                writer.append_entries([item])
        if ended is None:
            for device, tail in tails.items():
                for readings in tail.undecoded(header.profile_texts.get(device, ""), device):
                    writer.append(readings, device)
        writer.flush()
    except RunFileError:
        writer.abandon()
        target.unlink(missing_ok=True)
        raise
    writer.abandon()
    close_rebuilt(target, now_iso, ended.data if ended else None)


def _header(item: Header, raw: str | Path) -> RunHeader:
    try:
        return RunHeader.from_dict(item.data)
    except TypeError as error:
        raise DamagedFileError(
            f"{raw} has a header that this program does not know ({error}). Update satline to read it.", raw
        ) from error


def _outcome(
    entries: Sequence[Entry], closing: Mapping[str, Any] | None
) -> tuple[str, Sequence[PointRecord], Sequence[Baseline], Sequence[Mapping[str, Any]], Mapping[str, Any] | None]:
    """End time, points, baselines, results and truth: as the run was closed, or what its journal says.

    Without `closing` the end time stays empty, so that everyone can see that the run was never closed.
    """
    if closing is None:
        return "", PointBook(entries).points, baselines_of(entries), (), None
    points = [PointRecord(**point) for point in closing["points"]]
    baselines = [Baseline(**baseline) for baseline in closing["baselines"]]
    return str(closing["end_time"]), points, baselines, closing["results"], closing["truth"]


def close_rebuilt(path: Path, now_iso: str, closing: Mapping[str, Any] | None = None) -> None:
    """Close a file that was made again; see `_outcome`."""
    with RunFile(path, unlooked=True) as run:
        entries = run.entries()
    outcome = _outcome(entries, closing)
    close_run(path, *outcome, sealed_at=outcome[0] or now_iso)


def closing_data(end_time: str, points: Any, baselines: Any, results: Any, truth: Any) -> dict[str, Any]:
    """What the frame at the end of a raw journal holds, so that a rebuilt file is closed like the run was."""
    return {
        "end_time": end_time,
        "points": [dataclasses.asdict(point) for point in points],
        "baselines": [dataclasses.asdict(baseline) for baseline in baselines],
        "results": [dict(result) for result in results],
        "truth": dict(truth) if truth is not None else None,
    }
