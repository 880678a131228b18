"""Writes a run file while the run goes on; knows nothing of settling, fits or ports."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import h5py

from acquire.file_lock import hold
from acquire.journal import GENESIS, Entry
from acquire.record import Baseline, PointRecord
from acquire.runfile import layout
from acquire.runfile.channel import ChannelWriter
from acquire.runfile.closing import close_run
from acquire.runfile.creating import create_run_file
from acquire.runfile.editing import append_to_closed
from acquire.runfile.errors import RunFileError, WriteFailedError, first_line
from acquire.runfile.guarded import give_up
from acquire.runfile.journal_rows import append_entries
from acquire.runfile.layout import RunHeader
from acquire.runfile.received import ReceivedWriter
from drivers.readings import CHANNELS, Readings, Received

__all__ = ["RunFileWriter", "RunHeader", "append_to_closed"]

#: Readings kept in memory between two flushes at most: 3 MB. A flush each second keeps it below, but for lines at the
#: full speed of USB, where writing more often costs a third more of the processor (measured).
BUFFERED_ROWS = 131072
#: Chunks that the library keeps of each column: HDF5 2.0 would keep 8 MB of each, so that memory grew with the run.
CACHE = 1 << 18  # [bytes]


class RunFileWriter:
    """The one writer of a run file that is being recorded.

    What was given to `append` and friends is in the file after `flush`; a killed program loses nothing that was
    flushed.  `sync` also asks the disk to keep it through a power cut.  After any `WriteFailedError` the file is
    given up: nothing more is written into it, since HDF5 may lose chunks silently from then on (measured).

    Parameters
    ----------
    path
        Where the file shall be.  An existing file is refused and left as it is.
    header
        What is known before the first reading.

    Raises
    ------
    RunFileExistsError, WriteFailedError

    Threads: one thread at a time; h5py has one lock for the whole process, so a long read of another file in the
    same process delays this one.
    """

    def __init__(self, path: str | Path, header: RunHeader) -> None:
        self.path = Path(path)
        self.header = header
        self.readings_written = 0
        self._broken = ""
        self._file: h5py.File | None = None
        self._entries = 0
        self._hash = GENESIS
        self._lines_end = 0
        self._pending: dict[str, list[Readings]] = {channel: [] for channel in CHANNELS}
        self._pending_rows = 0
        self._devices: dict[str, list[str]] = {channel: [] for channel in CHANNELS}
        create_run_file(self.path, header)
        self._held = hold(self.path)  # by which others know that the writer lives
        with self._writing("opening"):
            self._file = h5py.File(self.path, "r+", libver=layout.LIBVER, rdcc_nbytes=CACHE)
            self._file.swmr_mode = True
            self._channels = {channel: ChannelWriter(self._file, channel) for channel in CHANNELS}
            self._received = ReceivedWriter(self._file[layout.RECEIVED])
            self._file.flush()

    def append(self, readings: Readings, device: str) -> None:
        """Keep this block of readings; in the file at the next flush."""
        self._refuse_if_closed()
        if device not in self._devices[readings.channel]:
            self._note_device(readings.channel, device)
        self._pending[readings.channel].append(readings)
        self._pending_rows += len(readings)
        self.readings_written += len(readings)
        if self._pending_rows >= BUFFERED_ROWS:
            self._write_pending()

    def append_entries(self, entries: Sequence[Entry]) -> None:
        """Append to the journal; each entry is chained to the one before."""
        file = self._refuse_if_closed()
        if not entries:
            return
        with self._writing("writing the journal of"):
            self._hash, self._lines_end = append_entries(file[layout.JOURNAL], entries, self._hash, self._lines_end)
        self._entries += len(entries)

    def append_received(self, received: Received, device: str = "") -> None:
        """Keep bytes as they came, the first and the last of the run, for looking into trouble with a device.

        All devices share one stream here; which device bytes came from stands in the raw journal.
        """
        self._refuse_if_closed()
        with self._writing("writing"):
            self._received.add(received)

    def flush(self) -> None:
        """Put everything given so far into the file: from here on a killed program does not lose it."""
        file = self._refuse_if_closed()
        self._write_pending()
        with self._writing("writing"):
            self._received.write_pending()
            file.flush()

    def sync(self) -> None:
        """`flush`, then ask the disk to keep it through a power cut (2 to 10 ms)."""
        self.flush()
        file = self._refuse_if_closed()
        with self._writing("syncing"):
            os.fsync(file.id.get_vfd_handle())

    def close(
        self,
        end_time: str,
        points: Sequence[PointRecord],
        baselines: Sequence[Baseline],
        results: Sequence[Mapping[str, Any]],
        truth: Mapping[str, Any] | None = None,
    ) -> None:
        """Finish: write the closed, compressed and sealed file beside this one, check it, and take its place.

        If that fails, the file as recorded stays where it is, complete up to the last flush.
        """
        file = self._refuse_if_closed()
        self._write_pending()
        with self._writing("closing"):
            self._received.finish()
            file.flush()
            file.close()
            self._file = None
        self._let_go()
        close_run(self.path, end_time, points, baselines, results, truth)

    def abandon(self) -> None:
        """Let go of the file without closing the run, as after an error."""
        file, self._file = self._file, None
        healthy = not self._broken
        self._broken = self._broken or "it was let go of"
        self._let_go()
        if file is None:
            return
        if healthy:
            with contextlib.suppress(OSError, RuntimeError):
                self._received.finish()
                file.flush()
                file.close()
                return
        give_up(file)

    @property
    def closed(self) -> bool:
        return self._file is None

    def _let_go(self) -> None:
        held, self._held = self._held, None
        if held is not None:
            os.close(held)

    def _note_device(self, channel: str, device: str) -> None:
        file = self._refuse_if_closed()
        self._devices[channel].append(device)
        with self._writing("writing"):
            file[f"{layout.recording_path(channel)}/devices"][()] = layout.clipped(
                " + ".join(self._devices[channel]), layout.DEVICE_LENGTH
            )

    def _write_pending(self) -> None:
        self._refuse_if_closed()
        for channel, blocks in self._pending.items():
            if blocks:
                with self._writing("writing readings to"):
                    self._channels[channel].write(blocks)
                self._pending[channel] = []
        self._pending_rows = 0

    def _refuse_if_closed(self) -> h5py.File:
        if self._broken:
            raise WriteFailedError(
                self.path, "writing to", f"nothing is written after an earlier failure: {self._broken}"
            )
        if self._file is None:
            raise RunFileError(f"{self.path} is closed; nothing can be appended as the run goes.", self.path)
        return self._file

    @contextlib.contextmanager
    def _writing(self, doing: str) -> Iterator[None]:
        # HDF5 reports a full disk as RuntimeError, and one flush late; every error ends the use of this file.
        try:
            yield
        except (OSError, RuntimeError) as error:
            self._broken = first_line(error)
            self.abandon()
            raise WriteFailedError(self.path, doing, self._broken) from error
