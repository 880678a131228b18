"""Finds readings that were received but not yet stored when a program was killed, in the last bytes of its line."""

from __future__ import annotations

from collections import deque

import numpy as np

from acquire.raw_frames import Chunk
from drivers.decoding import make_decoder
from drivers.errors import DriverError
from drivers.profile import DeviceProfile
from drivers.readings import Quality, Readings, joined
from drivers.tomlfile import load_model

#: Bytes of the line that are decoded again at the end: enough to lock on to the device's clock and to find where the
#: stored readings end.  30 s of a line at full USB speed would be 30 MB; 4 MB are 40 s at 92 kB/s.
TAIL_BYTES = 4 << 20
MATCH = 16  # readings that must agree to find where the stored ones end


class Tail:
    """The last bytes and readings of one device, to find readings that were received but not stored."""

    def __init__(self) -> None:
        self._chunks: deque[Chunk] = deque()
        self._bytes = 0
        self._last: dict[str, Readings] = {}

    def see(self, chunk: Chunk) -> None:
        self._chunks.append(chunk)
        self._bytes += len(chunk.received.data)
        while self._bytes > TAIL_BYTES and len(self._chunks) > 1:
            self._bytes -= len(self._chunks.popleft().received.data)

    def stored(self, readings: Readings) -> None:
        old = self._last.get(readings.channel)
        if old is not None and len(readings) < MATCH:
            readings = joined([_end_of(old, MATCH), readings])
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
            fresh = _after(joined(blocks), self._last.get(channel))
            if len(fresh):
                out.append(fresh)
        return out


def _end_of(readings: Readings, n: int) -> Readings:
    part = slice(max(0, len(readings) - n), len(readings))
    return Readings(
        readings.channel, readings.time[part], readings.value[part], readings.raw[part], readings.quality[part],
        readings.u_time,
    )  # fmt: skip


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
