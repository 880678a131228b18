"""A bounded queue to a consumer that may stand still for half an hour without a reading getting lost."""

from __future__ import annotations

import queue
from collections import deque
from collections.abc import Iterable, Iterator

from drivers.readings import DeviceNotice, Readings, Received, SourceEvent, joined

QUEUE_ITEMS = 1024  # what a consumer in step never fills: 10 s of chunks of 10 ms
MERGE_EVERY = 512  # waiting events before their blocks are joined: 2.5 s of a fast line
#: Readings plus raw bytes that may wait.  30 minutes of two channels at 1 kHz are 3.6 million readings of 25 bytes
#: and 47 MB of text, 137 MB; three times that is the limit.
WAITING_BYTES = 400_000_000


class Outbox:
    """The producer's end of a queue. What does not fit waits here, in order, blocks joined to larger ones.

    Threads: only the producer calls `put` and `flush`; the queue is the only thing that both ends touch.
    """

    def __init__(self, target: queue.Queue[SourceEvent], device: str = "device") -> None:
        self._target = target
        self._device = device
        self._waiting: deque[SourceEvent] = deque()
        self._fresh = 0  # events at the right end that have not been joined
        self._size = 0
        self.lost = 0  # readings that had to be thrown away
        self._told_lost = 0

    def put(self, events: Iterable[SourceEvent]) -> None:
        """Pass events on, or keep them while the consumer is behind. Never waits."""
        events = iter(events)
        if not self._waiting and self.lost == self._told_lost and self._pass_on(events):
            return
        for event in events:
            if isinstance(event, Readings | Received) and self._size + size_of(event) > WAITING_BYTES:
                self.lost += len(event) if isinstance(event, Readings) else 0
                continue
            if self.lost > self._told_lost and isinstance(event, Readings | Received):
                self._keep(self._lost_notice(event))
            self._keep(event)
        self.flush()
        if self._fresh >= MERGE_EVERY:
            self._join_fresh()

    def _pass_on(self, events: Iterator[SourceEvent]) -> bool:
        """The usual case: the consumer keeps up. False when it does not; the event that did not fit is kept."""
        for event in events:
            try:
                self._target.put_nowait(event)
            except queue.Full:
                self._keep(event)
                return False
        return True

    def _keep(self, event: SourceEvent) -> None:
        self._size += size_of(event)
        self._waiting.append(event)
        self._fresh += 1

    def _lost_notice(self, event: Readings | Received) -> DeviceNotice:
        count, self._told_lost = self.lost - self._told_lost, self.lost
        time = event.arrival if isinstance(event, Received) else float(event.time[0])
        text = (
            f"{count} readings of {self._device} were thrown away because nothing took them for too long; "
            "expected the program to keep up; close what keeps this machine busy, the gap stays marked"
        )
        return DeviceNotice(time, "gap", self._device, text, count)

    def flush(self) -> bool:
        """Pass on what the queue takes; True when nothing waits any more."""
        while self._waiting:
            try:
                self._target.put_nowait(self._waiting[0])
            except queue.Full:
                return False
            self._size -= size_of(self._waiting.popleft())
            self._fresh = min(self._fresh, len(self._waiting))
        return True

    def put_last(self, event: SourceEvent, timeout: float) -> None:
        """Hand over everything that waits and then the last word, waiting for the consumer.

        A consumer that takes nothing for `timeout` real seconds is gone or waits for this thread to end; the
        bound of the queue is then lifted, because a queue that nobody reads must not keep the thread alive.
        """
        self._waiting.append(event)
        for waiting in self._waiting:
            try:
                self._target.put(waiting, timeout=timeout)
            except queue.Full:
                with self._target.mutex:
                    self._target.maxsize = 0
                self._target.put_nowait(waiting)
        self._waiting.clear()

    def _join_fresh(self) -> None:
        fresh = [self._waiting.pop() for _ in range(self._fresh)][::-1]
        joined = join_readings(fresh)
        self._size += sum(map(size_of, joined)) - sum(map(size_of, fresh))
        self._waiting.extend(joined)
        self._fresh = 0


def size_of(event: SourceEvent) -> int:
    """Bytes that an event holds, roughly, with what the objects themselves take."""
    if isinstance(event, Readings):
        return 600 + 25 * len(event)
    return 120 + len(event.data) if isinstance(event, Received) else 300


def join_readings(events: list[SourceEvent]) -> list[SourceEvent]:
    """Join the blocks of each channel between two notices; raw bytes keep their arrivals and come first."""
    out: list[SourceEvent] = []
    blocks: dict[str, list[Readings]] = {}
    for event in events:
        if isinstance(event, Readings):
            blocks.setdefault(event.channel, []).append(event)
            continue
        if isinstance(event, DeviceNotice):
            out.extend(map(joined, blocks.values()))
            blocks = {}
        out.append(event)
    return [*out, *map(joined, blocks.values())]
