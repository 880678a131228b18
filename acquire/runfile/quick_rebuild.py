"""Makes the closed run file from a raw journal that is whole, in one go and with all processors."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import h5py
import numpy as np
from numpy.typing import NDArray

from acquire.raw_columns import Columns, RawColumns
from acquire.runfile import codes, layout
from acquire.runfile.columns import append_rows
from acquire.runfile.layout import RunHeader
from acquire.runfile.overview import FACTORS, Buckets, OverviewWriter, buckets_of_rows
from acquire.runfile.packing import PackedColumn, Packers, pieces
from acquire.runfile.received import FIRST_BYTES, LAST_BYTES, ReceivedWriter
from acquire.runfile.skeleton import create_tree
from drivers.readings import CHANNELS, PRESSURE, TEMPERATURE, Readings

#: Rows packed at a time; whole chunks of every column.
GROUP = 4 * layout.CLOSED_CHUNK_TIMES
assert GROUP % layout.CLOSED_CHUNK_ROWS == 0
MOST_AHEAD = 64  # groups that one channel may be ahead of another with the same times
SWITCH = 2e-4  # [s] after which a thread lets another have the interpreter


@dataclass(frozen=True)
class Form:
    """How readings are stored; guessed from the first, and made anew where a later one does not fit."""

    divisors: Mapping[str, float | None] = field(default_factory=dict)  # None: as they are
    shared: bool = False  # pressure and temperature have the same times

    def divisor(self, channel: str) -> float | None:
        """Of its raw values; whole numbers until one shows that they are not."""
        return self.divisors.get(channel, codes.DIVISORS[0])


class OtherwiseError(Exception):
    """The readings do not fit the form."""

    def __init__(self, form: Form) -> None:
        super().__init__(str(form))
        self.form = form


@dataclass
class Rebuilt:
    """What was put into a file."""

    digests: dict[str, str]
    checks: dict[str, list[int]]  # path -> CRC-32 of each chunk


def guessed_form(raw: RawColumns, more: Sequence[tuple[str, Readings]]) -> Form:
    """The form that the first readings ask for; `more` as for `fill`."""
    first: dict[str, Columns] = {}
    for number, columns in enumerate(raw.columns()):
        first.setdefault(columns.channel, columns)
        if len(first) == len(raw.rows) or number > 2 * len(CHANNELS):
            break
    divisors = {readings.channel: codes.divisor_for([readings.raw]) for _, readings in more}
    divisors |= {channel: codes.divisor_for([columns.raw]) for channel, columns in first.items()}
    one, other = (first.get(channel) for channel in (TEMPERATURE, PRESSURE))
    shared = one is not None and other is not None and raw.rows[TEMPERATURE] == raw.rows[PRESSURE]
    if shared and one is not None and other is not None:
        least = min(len(one), len(other))
        shared = _same(one.time[:least], other.time[:least])
    return Form(divisors, shared)


def fill(
    target: h5py.File, raw: RawColumns, header: RunHeader, more: Sequence[tuple[str, Readings]], form: Form
) -> Rebuilt:
    """Header and readings into an empty file.

    Parameters
    ----------
    more
        Readings behind those of the raw journal, with their devices.

    Raises
    ------
    OtherwiseError
        They do not fit; the file is of no use.
    acquire.raw_columns.NotWhole
    OSError, RuntimeError
        The disk.
    """
    rows = dict(raw.rows)
    for _, readings in more:
        rows[readings.channel] = rows.get(readings.channel, 0) + len(readings)
    used = [channel for channel in CHANNELS if channel in (TEMPERATURE, PRESSURE) or rows.get(channel)]
    shared = {PRESSURE: TEMPERATURE} if form.shared and rows[TEMPERATURE] == rows[PRESSURE] else {}
    create_tree(
        target,
        header,
        channels=used,
        compress=True,
        shared_times=shared,
        divisors={channel: divisor for channel in used if (divisor := form.divisor(channel))},
        quick=True,
    )
    channels = {channel: _Channel(target, channel, rows.get(channel, 0), form, shared) for channel in used}
    times = _SameTimes(form) if shared else None
    packers = Packers()
    try:
        with _switching():
            for columns in _with_more(raw, more):
                for group in channels[columns.channel].add(columns):
                    _pack(channels[columns.channel], group, packers, times)
            for one in channels.values():
                for group in one.rest():
                    _pack(one, group, packers, times)
            packers.finish()
    finally:
        packers.close()
    target["entry/collection_time"][()] = max(0.0, *(one.last_time for one in channels.values()))
    for one in channels.values():
        one.write_recording(target)
    _write_received(target, raw)
    digests: dict[str, str] = {}
    for one in channels.values():
        digests |= one.digests()
    return Rebuilt(digests, {path: column.checks for one in channels.values() for path, column in one.packed.items()})


class _Channel:
    """One channel on its way into the file."""

    def __init__(self, target: h5py.File, channel: str, rows: int, form: Form, shared: Mapping[str, str]) -> None:
        self.channel = channel
        self.form = form
        self.last_time = 0.0
        self.groups = 0  # handed out
        self.packed: dict[str, PackedColumn] = {}  # path -> column
        self._columns: dict[str, PackedColumn] = {}  # name -> column
        sharing = [one for one, other in shared.items() if other == channel]
        for name in layout.COLUMNS:
            if name == "time" and channel in shared:
                continue
            paths = [f"{layout.log_path(one)}/{name}" for one in (channel, *(sharing if name == "time" else ()))]
            column = target[paths[0]]
            column.id.set_extent((rows,))
            self.packed[paths[0]] = self._columns[name] = PackedColumn(column, *paths)
        self._overview = OverviewWriter(target[layout.overview_path(channel)], times=channel not in shared)
        self._waiting: list[Columns] = []
        self._rows = 0  # that came
        self._steps: list[tuple[int, float]] = []
        self._devices: list[str] = []

    def add(self, columns: Columns) -> Iterator[Columns]:
        """Take what comes next; give it back in groups to be packed."""
        for row, u_time in columns.steps:
            if not self._steps or self._steps[-1][1] != u_time:
                self._steps.append((self._rows + row, u_time))
        self._devices += [device for device in columns.devices if device not in self._devices]
        self._rows += len(columns)
        self.last_time = float(columns.time[-1]) if len(columns) else self.last_time
        self._waiting.append(columns)
        if sum(map(len, self._waiting)) >= GROUP:
            yield from self._groups(GROUP)

    def rest(self) -> Iterator[Columns]:
        """What is left at the end."""
        yield from self._groups(1)

    def _groups(self, least: int) -> Iterator[Columns]:
        if not self._waiting:
            return
        joined = _joined(self._waiting)
        start = 0
        while len(joined) - start >= least:
            yield _part(joined, start, start + GROUP)
            start += GROUP
        left = _part(joined, min(start, len(joined)), len(joined))
        self._waiting = [left] if len(left) else []

    def work(self, group: Columns) -> tuple[dict[str, NDArray], dict[str, list[bytes]], Buckets]:
        """Contents, packed chunks and overview of a group.  Any thread."""
        contents: dict[str, NDArray] = {"value": group.value, "value_mask": group.quality, "raw_value": group.raw}
        if "time" in self._columns:
            contents["time"] = group.time
        divisor = self.form.divisor(self.channel)
        if divisor:
            counted = codes.encoded(group.raw, divisor)
            if counted is None:
                finer = (one for one in codes.DIVISORS if one > divisor and codes.encoded(group.raw, one) is not None)
                raise OtherwiseError(
                    replace(self.form, divisors={**self.form.divisors, self.channel: next(finer, None)})
                )
            contents["raw_value"] = counted
        chunks = {name: pieces(content, self._columns[name].filters) for name, content in contents.items()}
        whole = slice(0, len(group) // FACTORS[0] * FACTORS[0])
        buckets = buckets_of_rows(group.time[whole], group.value[whole], group.quality[whole], FACTORS[0])
        return contents, chunks, buckets

    def write(self, done: tuple[dict[str, NDArray], dict[str, list[bytes]], Buckets]) -> None:
        """Put a group's work into the file.  The writing thread."""
        contents, chunks, buckets = done
        for name, content in contents.items():
            self._columns[name].put(content, chunks[name])
        self._overview.add_buckets(buckets)

    def write_recording(self, target: h5py.File) -> None:
        """The devices, and how uncertain the times were."""
        recording = target[layout.recording_path(self.channel)]
        recording["devices"][()] = layout.clipped(" + ".join(self._devices), layout.DEVICE_LENGTH)
        append_rows(recording["row"], [row for row, _ in self._steps])
        append_rows(recording["u_time"], [u_time for _, u_time in self._steps])

    def digests(self) -> dict[str, str]:
        return {path: sha for column in self._columns.values() for path, sha in column.digests().items()}


class _SameTimes:
    """Compares the times of two channels, group by group."""

    def __init__(self, form: Form) -> None:
        self._otherwise = replace(form, shared=False)
        self._ahead: dict[int, NDArray[np.float64]] = {}

    def see(self, number: int, time: NDArray[np.float64]) -> None:
        """Times of a group of either channel with this number."""
        other = self._ahead.pop(number, None)
        if other is None:
            self._ahead[number] = time
        if (other is not None and not _same(time, other)) or len(self._ahead) > MOST_AHEAD:
            raise OtherwiseError(self._otherwise)


def _pack(channel: _Channel, group: Columns, packers: Packers, times: _SameTimes | None) -> None:
    if times is not None and channel.channel in (TEMPERATURE, PRESSURE):
        times.see(channel.groups, group.time)
    channel.groups += 1
    packers.submit(lambda: channel.work(group), channel.write)


def _with_more(raw: RawColumns, more: Sequence[tuple[str, Readings]]) -> Iterator[Columns]:
    yield from raw.columns()
    for device, block in more:
        yield Columns(block.channel, block.time, block.value, block.raw, block.quality, [(0, block.u_time)], [device])


def _write_received(target: h5py.File, raw: RawColumns) -> None:
    """The first and the last bytes, as a recorder keeps them."""
    writer = ReceivedWriter(target[layout.RECEIVED])
    first = raw.first_received(FIRST_BYTES)
    last = raw.last_received(LAST_BYTES)
    both = max(0, len(first) + len(last) - raw.received_frames)
    for received in [*first, *(chunk.received for chunk in last[both:])]:
        writer.add(received)
    writer.finish()


def _joined(blocks: list[Columns]) -> Columns:
    if len(blocks) == 1:
        return blocks[0]
    time, value, raw, quality = (
        np.concatenate([getattr(one, name) for one in blocks]) for name in ("time", "value", "raw", "quality")
    )
    return Columns(blocks[0].channel, time, value, raw, quality, [], [])


def _part(whole: Columns, start: int, end: int) -> Columns:
    part = slice(start, end)
    return Columns(whole.channel, whole.time[part], whole.value[part], whole.raw[part], whole.quality[part], [], [])


def _same(one: NDArray[np.float64], other: NDArray[np.float64]) -> bool:
    """Bit for bit."""
    return len(one) == len(other) and bool(np.array_equal(one.view(np.int64), other.view(np.int64)))


@contextlib.contextmanager
def _switching() -> Iterator[None]:
    """Threads that pack wait for the one that reads no longer than they work."""
    usual = sys.getswitchinterval()
    sys.setswitchinterval(SWITCH)
    try:
        yield
    finally:
        sys.setswitchinterval(usual)
