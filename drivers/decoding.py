"""From the bytes of a listening device to blocks of readings. Pure: no port, no thread, no clock of its own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import numpy as np

from drivers.blocks import BlockMaker, Table
from drivers.device_clock import TickCounter, Ticks
from drivers.frames import Frames, Spoilt
from drivers.framing import make_framer
from drivers.packed_fields import JsonReader, PackedReader
from drivers.profile import DeviceProfile
from drivers.readings import DeviceNotice, Quality, Readings
from drivers.rejects import RejectLog
from drivers.text_fields import DelimitedReader, NamedReader, Rows, SentenceReader
from drivers.timing import DeviceClockTimer, SampleTimer, SteadyTimer
from drivers.wire_spec import Delimited, JsonLines, Named, Packed, Sentence

Decoded = Readings | DeviceNotice

MERGED_TIMES = 1e-3  # [s] a better fit of the clocks may set times back by less without a word
LARGEST_COUNT = 2.0**64  # of any counter
GAP_PERIODS = 3  # fewer missing samples are left to the count in the next notice of spoilt frames


class FieldReader(Protocol):
    """Turns frames into rows of numbers."""

    protected: bool

    def read(self, frames: Sequence[bytes]) -> Rows:
        """Read a batch of frames."""
        ...


class Decoder:
    """Bytes in, readings and notices out.

    Guarantees
    ----------
    - The values do not depend on how the bytes were cut into chunks.
    - Memory is bounded by the longest frame.
    - A frame that does not fit its grammar gives no reading and is counted: `spoilt`.
    - Times never decrease within a channel.

    Parameters
    ----------
    profile
        How the device speaks.
    device
        What to call it in notices.
    joined_midway
        Whether the stream may begin in the middle of a frame. Then the first frame is dropped unless a checksum
        vouches for it: "1.84,101.3" may be the end of "21.84,101.3".
    """

    def __init__(self, profile: DeviceProfile, device: str = "device", *, joined_midway: bool = False) -> None:
        self._profile = profile
        self._device = device
        self._has_clock = profile.clock.kind == "device"
        self._reader = make_reader(profile)
        self._blocks = BlockMaker(profile)
        self._rejects = RejectLog(device, profile.line.baud)
        self._timer = make_timer(profile)
        self._framer = make_framer(profile.framing)
        self.protected = self._reader.protected or self._framer.protected
        self._ticks = TickCounter(profile.clock.unit, profile.clock.bits, protected=self.protected)
        self._last_time = -np.inf
        self._arrival = -np.inf  # of the newest chunk
        self._held_since: float | None = None  # arrival of the first row where it is older than the chunk's
        self.frames = 0  # whole frames that gave a row
        self._since_good = 0
        self.begin(joined_midway=joined_midway, after_gap=False)

    def begin(self, *, joined_midway: bool, after_gap: bool) -> None:
        """The stream begins (again): forget the unfinished frame and what was learnt of the clock."""
        self._framer = make_framer(self._profile.framing)
        self._midway = joined_midway
        self._after_gap = after_gap
        self._held: Table | None = None
        self._ticks.forget()
        self._timer.restart()

    def feed(self, chunk: bytes, arrival: float) -> list[Decoded]:
        """Take the bytes of one read; give back what they completed.

        Parameters
        ----------
        chunk
            Bytes in the order of arrival.
        arrival
            When the read returned.  [s]
        """
        frames = self._framer.feed(chunk)
        before, self._arrival = self._arrival, arrival
        return self._take(frames, before if frames.held else None)

    @property
    def holding(self) -> bool:
        """Whether a frame waits for what follows it, or for `fell_silent`."""
        return self._framer.holding

    def fell_silent(self) -> list[Decoded]:
        """Nothing followed the last chunk for a while: give back what was held until that was known."""
        return self._take(self._framer.quiet(), None) if self._framer.holding else []

    def _take(self, frames: Frames, held_since: float | None) -> list[Decoded]:
        self._drop_fragment(frames)
        rows = self._reader.read(frames.whole)
        if held_since is not None and frames.whole and self._reader.read(frames.whole[:1]).table() is not None:
            self._held_since = held_since
        out: list[Decoded] = []
        self._refuse(frames.spoilt + rows.spoilt)
        self._use(rows, self._arrival, out)
        self._held_since = None
        return out + self._rejects.due(self._arrival)

    def began_quietly(self) -> None:
        """Nothing arrived for a while before the first byte: that byte begins a frame."""
        self._midway = False

    def close(self, arrival: float) -> list[Decoded]:
        """The stream has ended: tell what is left to tell. An unfinished frame is no reading."""
        out = self.fell_silent()
        rest = self._framer.rest()
        if rest:
            self._refuse([Spoilt(rest, "the stream ended within a frame")])
        self._drop_held()
        return out + list(self._rejects.last(arrival))

    def _drop_fragment(self, frames: Frames) -> None:
        """Leave out the torn first frame of a stream that was joined midway."""
        if not self._midway or not (frames.whole or frames.spoilt):
            return
        self._midway = False
        if self._framer.protected:
            del frames.spoilt[:1]  # noise before the first good frame; what is whole has its checksum
        elif frames.whole and not (self._reader.protected and self._reader.read(frames.whole[:1]).table()):
            frames.whole = frames.whole[1:]

    def _refuse(self, spoilt: Sequence[Spoilt]) -> None:
        self._rejects.refuse(spoilt)
        self._since_good += len(spoilt)
        self._timer.skipped(len(spoilt))

    @property
    def spoilt(self) -> int:
        """Frames or stretches of noise that were refused so far."""
        return self._rejects.total

    def _use(self, rows: Rows, arrival: float, out: list[Decoded]) -> None:
        table = rows.table()
        held, self._held = self._held, None
        if table is None and held is None:
            if rows.restarts:
                self._begin_anew(arrival, out)
            return
        table = held if table is None else table.after(held)
        if table is None:
            return
        before = len(held) if held is not None else 0
        start = 0
        for stop in [position + before for position in rows.restarts]:
            self._use_stretch(table.rows(slice(start, stop)), arrival, out)
            self._begin_anew(arrival, out)
            start = stop
        self._use_stretch(table.rows(slice(start, None)) if start else table, arrival, out)

    def _begin_anew(self, arrival: float, out: list[Decoded]) -> None:
        self._drop_held()
        self._ticks.forget()
        self._restarted(arrival, out, "it sent its opening line")

    def _drop_held(self) -> None:
        if self._held is not None:
            self._refuse([Spoilt(b"", "the device's clock jumped on the last line before the end")])
            self._held = None

    def _use_stretch(self, table: Table, arrival: float, out: list[Decoded]) -> None:
        if not len(table):
            return
        if not self._has_clock:
            self._timed(table, None, arrival, out)
            return
        counts = table.numbers[:, 0]
        if not (counts.min() >= 0 and counts.max() < LARGEST_COUNT):
            good = (counts >= 0) & (counts < LARGEST_COUNT)
            table = table.rows(good)
            self._held_since = None
            self._refuse([Spoilt(b"", "no count in the field of the device's clock")] * int(np.sum(~good)))
            if not len(table):
                return
            counts = table.numbers[:, 0]
        ticks = self._ticks.unwrap(counts, arrival)
        if ticks.kept is None:
            self._timed(table, ticks.seconds, arrival, out)
            return
        self._held_since = None  # the first row may be among the odd ones
        self._judge_ticks(table, ticks)
        begins = [0, *ticks.restarts]
        for number, (begin, end) in enumerate(zip(begins, [*ticks.restarts, len(ticks.kept)], strict=True)):
            if number:
                self._restarted(arrival, out, "its clock jumped")
            if end > begin:
                self._timed(table.rows(ticks.kept[begin:end]), ticks.seconds[begin:end], arrival, out)

    def _judge_ticks(self, table: Table, ticks: Ticks) -> None:
        if ticks.held:
            self._held = table.rows(slice(-ticks.held, None))
        if ticks.spoilt:
            shown = repr(table.numbers[ticks.spoilt[-1]].tolist()).encode()
            self._refuse([Spoilt(shown, "the count of the device's clock is out of line")] * len(ticks.spoilt))

    def _restarted(self, arrival: float, out: list[Decoded], sign: str) -> None:
        self._timer.restart()
        if self.frames == 0:
            return  # its first opening line, not a second one
        self._after_gap = True
        text = f"{self._device} began anew: {sign}; expected it to run through; check its supply, logging goes on"
        out.append(DeviceNotice(arrival, "restarted", self._device, text))

    def _timed(self, table: Table, seconds: np.ndarray | None, arrival: float, out: list[Decoded]) -> None:
        self.frames += len(table)
        self._rejects.good(len(table))
        times = self._timer.times(seconds, len(table), arrival, self._held_since)
        self._held_since = None
        missing = times.missing - self._since_good
        self._since_good = 0
        first = 0
        if missing >= GAP_PERIODS:
            self._after_gap = True
            first = times.missing_before
            text = (
                f"{missing} readings of {self._device} are missing by its clock; expected none; "
                "check the line, the gap stays marked"
            )
            out.append(DeviceNotice(arrival, "gap", self._device, text, missing))
        time = times.time
        uncertain = times.uncertain
        if time[0] < self._last_time or (len(time) > 1 and (time[1:] < time[:-1]).any()):
            time = np.maximum.accumulate(np.maximum(times.time, self._last_time))
            uncertain = uncertain | (time - times.time > max(MERGED_TIMES, times.u_time))
        self._last_time = float(time[-1])
        flags = uncertain * np.uint8(Quality.UNCERTAIN_TIME)
        if self._after_gap:
            flags[first] |= np.uint8(Quality.AFTER_GAP)
            self._after_gap = False
        out.extend(self._blocks.make(table, time, flags, times.u_time))


def make_decoder(profile: DeviceProfile, device: str = "device", *, joined_midway: bool = False) -> Decoder:
    """The decoder for a device of this kind that speaks by itself; see `Decoder`.

    Raises
    ------
    ValueError
        For a profile of a device that is asked; see `drivers.asking.make_asker`.
    """
    if profile.asks:
        raise ValueError(f"profile {profile.name!r} is of a device that must be asked; expected one that talks")
    return Decoder(profile, device, joined_midway=joined_midway)


def make_reader(profile: DeviceProfile) -> FieldReader:
    """The reader of the fields that a profile asks for, in the order of its `wire_fields`."""
    fields = profile.wire_fields
    spec = profile.decoding
    if isinstance(spec, Delimited):
        return DelimitedReader(spec, [int(field) for field in fields])
    if isinstance(spec, Sentence):
        return SentenceReader(spec, [int(field) for field in fields])
    names = [str(field) for field in fields]
    if isinstance(spec, JsonLines):
        return JsonReader(spec, names)
    if isinstance(spec, Packed):
        return PackedReader(spec, names)
    if isinstance(spec, Named):
        return NamedReader(spec, names)
    raise ValueError(f"decoding {spec.kind!r} reads no frames")


def make_timer(profile: DeviceProfile) -> SampleTimer:
    """The way to sample times that a profile asks for."""
    if profile.clock.kind == "device":
        return DeviceClockTimer(profile.rate)
    if profile.clock.kind == "steady" and profile.rate is not None:
        return SteadyTimer(profile.rate)
    return SampleTimer(profile.rate)
