"""A device on a port as a source of readings: one thread, one queue, one last word."""

from __future__ import annotations

import queue
import sys
import threading
from collections.abc import Callable

from drivers.asking import make_asker
from drivers.decoding import Decoded
from drivers.errors import PortError, PortLostError
from drivers.event_queue import QUEUE_ITEMS, Outbox
from drivers.gathering import LONGEST, PatientDecoder
from drivers.polling import Asker
from drivers.ports import PortIdentity, find_again, identity_of
from drivers.profile import DeviceProfile
from drivers.readings import DeviceNotice, Received, SourceEvent, SourceStopped
from drivers.transport import POLL, Transport, open_transport

OpenPort = Callable[[str, DeviceProfile, Callable[[], float]], Transport]

GIVE_UP_AFTER = 60.0  # [s] without the device, on the clock handed in
FIRST_RETRY = 0.1  # [s, real] a device that comes back streams within 0.11 s
LONGEST_RETRY = 2.0  # [s, real]
PATIENT_RETRIES = 100  # ten seconds of quick tries, then ever slower ones
SILENT_POLLS = 10  # empty reads of real time before silence is told: a scaled clock alone would cry wolf
SILENT_AFTER = 2.0  # [s]
LONGEST_SILENCE = 60.0  # [s] after which even the slowest device is called silent
LAST_WORD_TIMEOUT = 1.0  # [s, real]


class ReadingSource:
    """Owns a port, reads it, decodes it; everything leaves through `events`.

    Order: `Received` bytes go out before what was made of them, so that whoever keeps the raw bytes keeps them
    first. `SourceStopped` is always the last event.

    Threads: `_run` is the only code on the source's thread; it alone opens, reads, writes and closes the port and
    feeds the decoder. Other threads may call `start` and `stop` and read `events`, nothing else.

    Parameters
    ----------
    profile, url
        What speaks there, and where.
    now
        The clock of the run.  [s]
    queue
        Where events go; by default a bounded queue of its own. Two sources may share one.
    device
        What to call the device in notices; by default the profile's name.
    give_up_after
        How long to wait for a lost device before the source ends with reason "lost"; None: for ever.  [s]
    open_port
        How to open the port; `open_transport` unless a test brings its own.
    """

    def __init__(
        self,
        profile: DeviceProfile,
        url: str,
        *,
        now: Callable[[], float],
        queue: queue.Queue[SourceEvent] | None = None,
        device: str | None = None,
        give_up_after: float | None = GIVE_UP_AFTER,
        open_port: OpenPort = open_transport,
    ) -> None:
        self.profile = profile
        self.url = url
        self.device = device or profile.name
        self.events = queue if queue is not None else _bounded()
        self._now = now
        self._give_up_after = give_up_after
        self._open_port = open_port
        self._outbox = Outbox(self.events, self.device)
        self._asker: Asker | None = None
        self._decoder = self._fresh_decoder()
        self._stumbled = False
        self._stop = threading.Event()
        self._opened = threading.Event()
        self._failed: PortError | None = None
        self._lost_at: float | None = None
        self._identity: PortIdentity | None = None
        self._thread = threading.Thread(target=self._run, name=f"source {self.device}")

    def start(self) -> None:
        """Open the port and begin to read.

        Raises
        ------
        PortError
            Where the port cannot be opened; the source has then ended.
        """
        self._thread.start()
        self._opened.wait()
        if self._failed is not None:
            self._thread.join()
            raise self._failed

    def stop(self, timeout: float = 10.0) -> None:
        """Ask the thread to end, and wait until it has.

        Raises
        ------
        RuntimeError
            Where it is still alive after `timeout` real seconds.
        """
        self._stop.set()
        if self._thread.ident is None:
            return
        self._thread.join(timeout)
        if self._thread.is_alive():
            raise RuntimeError(f"source {self.device!r} is still running {timeout:g} s after it was asked to stop")

    @property
    def running(self) -> bool:
        """Whether the thread is alive."""
        return self._thread.is_alive()

    def _run(self) -> None:
        reason = ""
        try:
            reason = self._live()
        except PortError as error:
            reason = str(error)
            if not self._opened.is_set():
                self._failed = error
        finally:
            if not reason:  # a mistake of ours is flying past; the last word still says what it was
                kind, error_in_flight, _ = sys.exc_info()
                reason = f"something unforeseen: {kind.__name__ if kind else 'unknown'}: {error_in_flight}"
            self._outbox.put_last(SourceStopped(self._now(), self.device, reason), LAST_WORD_TIMEOUT)
            self._opened.set()

    def _live(self) -> str:
        line: Transport | None = self._open(self.url)
        self._tell("opened", f"{self.device} is open at {self.url}")
        self._opened.set()
        while line is not None:
            try:
                self._prepare(line)
                self._listen(line)
                self._say_goodbye(line)
                self._outbox.put(self._decoder.close(self._now()))
                return "asked"
            except PortLostError as error:
                self._lost(error)
            finally:
                line.close()
            line = self._again()
        return "asked" if self._stop.is_set() else "lost"

    def _lost(self, error: PortLostError) -> None:
        self._outbox.put(self._decoder.close(self._now()))
        if self._lost_at is None:  # else it opened but never spoke: the same loss goes on
            self._lost_at = self._now()
            self._tell("lost", str(error))

    def _is_back(self, arrival: float) -> None:
        if self._lost_at is not None:
            gap, self._lost_at = arrival - self._lost_at, None
            self._tell(
                "reconnected", f"{self.device} speaks again at {self.url} after {gap:.1f} s; the gap stays marked"
            )

    def _open(self, url: str) -> Transport:
        line = self._open_port(url, self.profile, self._now)
        self.url = url
        self._identity = identity_of(url) or self._identity
        return line

    def _prepare(self, line: Transport) -> None:
        settings = self.profile.line
        if settings.settle:
            self._stop.wait(settings.settle)
            line.discard_input()
        if settings.start:
            line.write(settings.start.encode())

    def _say_goodbye(self, line: Transport) -> None:
        if self.profile.line.stop:
            line.write(self.profile.line.stop.encode())

    def _listen(self, line: Transport) -> None:
        heard_at = self._now()
        silent_polls = 0
        fresh = True
        silence = max(SILENT_AFTER, 2 / self.profile.rate if self.profile.rate else 0.0)
        told = False
        while not self._stop.is_set():
            chunk = line.read(self._ask(line))
            arrival = self._now()
            if chunk:
                self._is_back(arrival)
                # A slow device is not silent between its readings: what it once took, twice over.
                silence = max(silence, min(2 * (arrival - heard_at), LONGEST_SILENCE))
                self._outbox.put([Received(arrival, chunk), *self._made_of(chunk, arrival)])
                heard_at, silent_polls, fresh, told = arrival, 0, False, False
                continue
            if fresh:
                self._decoder.began_quietly()
            self._outbox.put(self._decoder.fell_silent())
            silent_polls += 1
            if self._asker is None and not told and silent_polls >= SILENT_POLLS and arrival - heard_at >= silence:
                told = True
                self._tell("silent", self._silence(arrival - heard_at))
            self._outbox.flush()

    def _fresh_decoder(self) -> Asker | PatientDecoder:
        self._asker = make_asker(self.profile, self.device) if self.profile.asks else None
        return self._asker or PatientDecoder(self.profile, self.device)

    def _made_of(self, chunk: bytes, arrival: float) -> list[Decoded]:
        """What the decoder makes of a chunk. A mistake of ours costs what the decoder held, not the rest of the run."""
        try:
            decoded = self._decoder.feed(chunk, arrival)
        except Exception as error:  # nobody knows which; twice running it ends the source
            if self._stumbled:
                self._outbox.put([Received(arrival, chunk)])
                raise
            self._stumbled = True
            self._decoder = self._fresh_decoder()
            found = f"{type(error).__name__}: {error}"
            return [
                DeviceNotice(
                    arrival,
                    "rejected",
                    self.device,
                    f"something unforeseen kept {len(chunk)} bytes from being read ({found}); expected readings; "
                    "the bytes are kept and reading goes on: please report this with the run file",
                    1,
                )
            ]
        self._stumbled = False
        return decoded

    def _ask(self, line: Transport) -> float:
        """Send what is due to a device that must be asked; how long the next read may wait."""
        if self._asker is None:
            return LONGEST if self._decoder.waiting else POLL
        tick = self._asker.tick(self._now())
        self._outbox.put(tick.events)
        if tick.data:
            line.write(tick.data)
        return self._asker.wait(self._now(), POLL)

    def _silence(self, length: float) -> str:
        return (
            f"{self.device} has said nothing for {length:.1f} s; expected readings; "
            "check that it is switched on and measuring"
        )

    def _again(self) -> Transport | None:
        tries = 0
        while not self._stop.wait(min(FIRST_RETRY * 1.2 ** max(0, tries - PATIENT_RETRIES), LONGEST_RETRY)):
            tries += 1
            self._outbox.flush()
            if self._gives_up():
                return None
            # By what it is, not by what its port was called: it may come back under another name.
            url = (find_again(self._identity) if self._identity else None) or self.url
            if self._is_a_stranger(url):
                continue
            try:
                line = self._open(url)
            except PortError:
                continue
            self._decoder.begin_again()
            return line
        return None

    def _is_a_stranger(self, url: str) -> bool:
        """Whether another device has meanwhile got the port's name."""
        there = identity_of(url) if self._identity is not None else None
        return there is not None and self._identity is not None and not self._identity.same_device(there)

    def _gives_up(self) -> bool:
        if self._give_up_after is None or self._lost_at is None:
            return False
        return self._now() - self._lost_at > self._give_up_after

    def _tell(self, kind: str, text: str) -> None:
        self._outbox.put([DeviceNotice(self._now(), kind, self.device, text)])


def _bounded() -> queue.Queue[SourceEvent]:
    return queue.Queue(maxsize=QUEUE_ITEMS)
