"""Makes a run file again from its raw journal."""

from __future__ import annotations

import dataclasses
from collections import deque
from pathlib import Path
from typing import Any

import numpy as np

from acquire.points import PointBook, baselines_of
from acquire.raw_frames import Chunk, Damage, Ended, Header, Reading, items
from acquire.record import Baseline, PointRecord
from acquire.runfile.closing import close_run
from acquire.runfile.errors import DamagedFileError, RunFileError
from acquire.runfile.layout import RunHeader
from acquire.runfile.reader import RunFile
from acquire.runfile.writer import RunFileWriter
from drivers.decoding import make_decoder
from drivers.errors import DriverError
from drivers.profile import DeviceProfile
from drivers.readings import Quality, Readings
from drivers.tomlfile import load_model

#: Bytes of the line that are decoded again at the end: enough to lock on to the device's clock and to find where the
#: stored readings end.  30 s of a line at full USB speed would be 30 MB; 4 MB are 40 s at 92 kB/s.
TAIL_BYTES = 4 << 20
MATCH = 16  # readings that must agree to find where the stored ones end


def rebuild(raw: str | Path, target: str | Path, *, now_iso: str) -> Path:
    """Write `target`, a new closed run file, from a raw journal.

    Readings that were received but not yet stored when the program was killed are decoded again from their bytes
    with the profile in the header.

    Parameters
    ----------
    now_iso
        Date for the seal when the journal does not say that the run was closed.

    Raises
    ------
    DamagedFileError
        The raw journal has no header: nothing can be made of it.
    RunFileExistsError, WriteFailedError, NotARunFileError
    """
    target = Path(target)
    damage = Damage()
    stream = items(raw, damage)
    first = next(stream, None)
    if not isinstance(first, Header):
        raise DamagedFileError(
            f"{raw} does not begin with the header of a run; nothing can be rebuilt from it. "
            "Look for a copy of it or for the run file itself.",
            raw,
        )
    header = _header(first, raw)
    writer = RunFileWriter(target, header)
    tails: dict[str, _Tail] = {}
    ended: Ended | None = None
    try:
        for item in stream:
            if isinstance(item, Chunk):
                tails.setdefault(item.device, _Tail()).see(item)
                writer.append_received(item.received)
            elif isinstance(item, Reading):
                tails.setdefault(item.device, _Tail()).stored(item.readings)
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
    return target


def _header(item: Header, raw: str | Path) -> RunHeader:
    try:
        return RunHeader.from_dict(item.data)
    except TypeError as error:
        raise DamagedFileError(
            f"{raw} has a header that this program does not know ({error}). Update satline to read it.", raw
        ) from error


def close_rebuilt(path: Path, now_iso: str, closing: dict[str, Any] | None = None) -> None:
    """Close a file that was made again: as its run was closed, or with what its journal says of points.

    Without `closing` the end time stays empty, so that everyone can see that the run was never closed.
    """
    if closing is None:
        with RunFile(path, unlooked=True) as run:
            entries = run.entries()
        book, baselines = PointBook(entries), baselines_of(entries)
        close_run(path, "", book.points, baselines, (), None, sealed_at=now_iso)
        return
    close_run(
        path,
        str(closing["end_time"]),
        [PointRecord(**point) for point in closing["points"]],
        [Baseline(**baseline) for baseline in closing["baselines"]],
        closing["results"],
        closing["truth"],
        sealed_at=str(closing["end_time"]),
    )


def closing_data(end_time: str, points: Any, baselines: Any, results: Any, truth: Any) -> dict[str, Any]:
    """What the frame at the end of a raw journal holds, so that a rebuilt file is closed like the run was."""
    return {
        "end_time": end_time,
        "points": [dataclasses.asdict(point) for point in points],
        "baselines": [dataclasses.asdict(baseline) for baseline in baselines],
        "results": [dict(result) for result in results],
        "truth": dict(truth) if truth is not None else None,
    }


class _Tail:
    """The last bytes and readings of one device, to find readings that were received but not stored."""

    def __init__(self) -> None:
        self._chunks: deque[Chunk] = deque()
        self._bytes = 0
        self._last: dict[str, Readings] = {}
        self._unstored = False

    def see(self, chunk: Chunk) -> None:
        self._chunks.append(chunk)
        self._bytes += len(chunk.received.data)
        while self._bytes > TAIL_BYTES and len(self._chunks) > 1:
            self._bytes -= len(self._chunks.popleft().received.data)

    def stored(self, readings: Readings) -> None:
        old = self._last.get(readings.channel)
        if old is not None and len(readings) < MATCH:
            readings = _concatenated([_end_of(old, MATCH), readings])
        self._last[readings.channel] = _end_of(readings, MATCH)

    def undecoded(self, profile_text: str, device: str) -> list[Readings]:
        """Readings of the last chunks that no stored block holds, marked as of uncertain time."""
        if not self._chunks or not profile_text:
            return []
        try:
            profile = load_model(profile_text, DeviceProfile, name=device)
        except DriverError:
            return []  # a profile of another version: the bytes stay in the raw journal, what was stored is enough
        decoder = make_decoder(profile, device, joined_midway=True)
        found: dict[str, list[Readings]] = {}
        events = [event for one in self._chunks for event in decoder.feed(one.received.data, one.received.arrival)]
        for event in [*events, *decoder.fell_silent()]:
            if isinstance(event, Readings):
                found.setdefault(event.channel, []).append(event)
        out = []
        for channel, blocks in found.items():
            fresh = _after(_concatenated(blocks), self._last.get(channel))
            if len(fresh):
                out.append(fresh)
        return out


def _end_of(readings: Readings, n: int) -> Readings:
    part = slice(max(0, len(readings) - n), len(readings))
    return Readings(
        readings.channel, readings.time[part], readings.value[part], readings.raw[part], readings.quality[part],
        readings.u_time,
    )  # fmt: skip


def _concatenated(blocks: list[Readings]) -> Readings:
    return Readings(
        blocks[0].channel,
        np.concatenate([block.time for block in blocks]),
        np.concatenate([block.value for block in blocks]),
        np.concatenate([block.raw for block in blocks]),
        np.concatenate([block.quality for block in blocks]),
        blocks[-1].u_time,
    )


def _after(decoded: Readings, last: Readings | None) -> Readings:
    """The decoded readings behind the last stored ones; all of them when nothing was stored."""
    if last is None or not len(last):
        return decoded
    start = _place_after(decoded, last)
    if start is None:
        start = int(np.searchsorted(decoded.time, last.time[-1], side="right"))
    time = np.maximum.accumulate(np.maximum(decoded.time[start:], last.time[-1]))
    quality = (decoded.quality[start:] | np.uint8(Quality.UNCERTAIN_TIME)).astype(np.uint8)
    return Readings(decoded.channel, time, decoded.value[start:], decoded.raw[start:], quality, decoded.u_time)


def _place_after(decoded: Readings, last: Readings) -> int | None:
    """Where in `decoded` the stretch `last` ends; None when it is nowhere.

    Coarse readings repeat themselves, so that a stretch may fit at several places; the nearest in time is it.
    """
    n = len(last)
    if len(decoded) < n:
        return None
    windows = np.lib.stride_tricks.sliding_window_view(decoded.raw, n)
    same = (windows == last.raw) | (np.isnan(windows) & np.isnan(last.raw))
    places = np.flatnonzero(same.all(axis=1)) + n
    if not len(places):
        return None
    return int(places[np.argmin(np.abs(decoded.time[places - 1] - last.time[-1]))])
