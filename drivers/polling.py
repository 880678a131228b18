"""Devices that only speak when asked: one question at a time, on a schedule that does not drift. No port, no clock.

The times of the readings are the middle between question and answer; half that span bounds their error.
"""

from __future__ import annotations

import math
from collections import deque
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from drivers.blocks import BlockMaker, Table
from drivers.frames import Spoilt
from drivers.profile import DeviceProfile
from drivers.readings import DeviceNotice, Quality, Readings
from drivers.rejects import RejectLog

SHORTEST_DELAY = 1e-3  # [s] standard uncertainty that is left when an answer comes at once
SILENT_AFTER = 3  # unanswered questions in a row before silence is told


@dataclass(frozen=True, slots=True)
class Question:
    """Bytes to send, and whether they are answered. `topic` is for the dialogue's own use."""

    data: bytes
    topic: object = None
    answered: bool = True


@dataclass(slots=True)
class Answer:
    """What an answer says: numbers by field, or why it is none; `remark` is for the person; `follow` to ask next."""

    values: dict[int | str, float] = field(default_factory=dict)
    spoilt: Spoilt | None = None
    remark: str = ""
    follow: list[Question] = field(default_factory=list)


class Dialogue(Protocol):
    """How to talk with one kind of device."""

    timeout: float

    def opening(self) -> list[Question]:
        """What to say first after the port was opened."""
        ...

    def cycle(self) -> list[Question]:
        """What to ask for one set of readings."""
        ...

    def name(self, question: Question) -> str:
        """What a profile calls the question."""
        ...

    def take(self, buffer: bytearray, question: Question) -> Answer | None:
        """Consume one answer from the buffer, or None while it is not whole."""
        ...

    def unanswered(self, buffer: bytearray, question: Question) -> Answer:
        """Judge what has come, if anything, when the time for the answer is over; empties the buffer."""
        ...


class Schedule:
    """Slots at start + n * period. A late caller skips slots, it does not shift them.

    Examples
    --------
    >>> schedule = Schedule(1.0)
    >>> [schedule.take(t) for t in (10.0, 10.9, 11.2, 14.1)]
    [True, False, True, True]
    >>> schedule.missed, schedule.next_slot
    (2, 15.0)
    """

    def __init__(self, period: float) -> None:
        self.period = period
        self.missed = 0
        self._start: float | None = None
        self._slot = 0

    @property
    def next_slot(self) -> float:
        """When the next slot begins.  [s]"""
        return -math.inf if self._start is None else self._start + self._slot * self.period

    def take(self, now: float) -> bool:
        """Whether a slot has begun that was not taken yet; takes it."""
        if self._start is None:
            self._start = now
        elif now < self.next_slot:
            return False
        current = int((now - self._start) / self.period * (1 + 1e-12))
        self.missed += max(0, current - self._slot)
        self._slot = current + 1
        return True


@dataclass(slots=True)
class Tick:
    """What is due now: bytes to send and what there is to tell."""

    data: bytes = b""
    events: list[Readings | DeviceNotice] = field(default_factory=list)


class Asker:
    """Asks by a dialogue and makes readings of the answers. Used like a decoder, with `tick` besides.

    Parameters
    ----------
    profile
        Its `rate` is the rate of the schedule, 1/s where it says nothing.
    dialogue
        How to talk with the device.
    device
        What to call it in notices.
    """

    def __init__(self, profile: DeviceProfile, dialogue: Dialogue, device: str) -> None:
        self._fields = profile.wire_fields
        self._dialogue = dialogue
        self._device = device
        self._period = 1 / profile.rate if profile.rate else 1.0
        self._blocks = BlockMaker(profile)
        self._rejects = RejectLog(device, profile.line.baud)
        self.frames = 0
        self.begin(joined_midway=True, after_gap=False)

    @property
    def spoilt(self) -> int:
        """Answers that were refused or never came."""
        return self._rejects.total

    def begin(self, *, joined_midway: bool, after_gap: bool) -> None:
        """The line is open (again): nothing is awaited."""
        self._buffer = bytearray()
        self._queue = deque(self._dialogue.opening())
        self._schedule = Schedule(self._period)
        self._asked: tuple[Question, float] | None = None
        self._after_gap = after_gap
        self._unanswered = 0
        self._row: dict[int | str, float] = {}
        self._told_missed = 0

    def begin_again(self) -> None:
        """The line was opened again after a loss."""
        self.begin(joined_midway=True, after_gap=True)

    def began_quietly(self) -> None:
        """Silence before the first question is what is expected."""

    @property
    def waiting(self) -> bool:
        """Nothing is ever put together: an answer is one piece."""
        return False

    def fell_silent(self) -> list[Readings | DeviceNotice]:
        """Nothing is held for silence; `tick` judges answers that never came."""
        return []

    def tick(self, now: float) -> Tick:
        """Call often: notices answers that never came, and gives the next question when it is due.

        Parameters
        ----------
        now
            [s]
        """
        tick = Tick()
        if self._asked is not None:
            question, sent = self._asked
            if now - sent < self._dialogue.timeout:
                return tick
            self._no_answer(question, now, tick.events)
            tick.events += self._rejects.due(now)
        if not self._queue and self._schedule.take(now):
            self._queue.extend(self._dialogue.cycle())
            self._tell_missed(now, tick.events)
        if self._queue:
            question = self._queue.popleft()
            self._buffer.clear()  # nothing that came unasked is an answer to this
            self._asked = (question, now) if question.answered else None
            tick.data = question.data
        return tick

    def wait(self, now: float, longest: float) -> float:
        """How long a read may wait before the next `tick` is due.  [s]"""
        if self._asked is not None:
            due = self._asked[1] + self._dialogue.timeout
        elif self._queue:
            return 0.0
        else:
            due = self._schedule.next_slot
        return min(max(due - now, 0.0), longest)

    def feed(self, chunk: bytes, arrival: float) -> list[Readings | DeviceNotice]:
        """Take the bytes of one read; give back the readings of an answer that is whole."""
        out: list[Readings | DeviceNotice] = []
        if self._asked is None:
            if chunk.strip(b"\r\n\x00"):
                self._rejects.refuse([Spoilt(chunk, "it spoke without being asked")])
            return [*self._rejects.due(arrival)]
        self._buffer += chunk
        question, sent = self._asked
        answer = self._dialogue.take(self._buffer, question)
        if answer is not None:
            self._asked = None
            self._use(answer, sent, arrival, out)
        return out + self._rejects.due(arrival)

    def close(self, arrival: float) -> list[Readings | DeviceNotice]:
        """The line is closed: a question without answer is forgotten."""
        self._asked = None
        return [*self._rejects.last(arrival)]

    def _no_answer(self, question: Question, now: float, out: list[Readings | DeviceNotice]) -> None:
        self._asked = None
        answer = self._dialogue.unanswered(self._buffer, question)
        self._buffer.clear()
        self._unanswered += 1
        self._after_gap = True
        self._use(answer, now, now, out)
        if self._unanswered == SILENT_AFTER:
            text = (
                f"{self._device} has not answered {SILENT_AFTER} questions; expected an answer within "
                f"{self._dialogue.timeout:g} s; check that it is on, its address and its baud rate"
            )
            out.append(DeviceNotice(now, "silent", self._device, text, SILENT_AFTER))

    def _use(self, answer: Answer, sent: float, arrival: float, out: list[Readings | DeviceNotice]) -> None:
        if answer.remark:
            out.append(DeviceNotice(arrival, "rejected", self._device, answer.remark, 0))
        if answer.spoilt is not None:
            self._rejects.refuse([answer.spoilt])
        self._queue.extendleft(reversed(answer.follow))
        if not answer.values:
            return
        self.frames += 1
        self._unanswered = 0
        self._rejects.good(1)
        row = tuple(answer.values.get(name) for name in self._fields)
        flags = np.array([Quality.AFTER_GAP if self._after_gap else Quality.GOOD], dtype=np.uint8)
        self._after_gap = False
        u_time = math.hypot((arrival - sent) / math.sqrt(12), SHORTEST_DELAY)
        out.extend(self._blocks.make(Table.of([row]), np.array([(sent + arrival) / 2]), flags, u_time))

    def _tell_missed(self, now: float, out: list[Readings | DeviceNotice]) -> None:
        missed = self._schedule.missed - self._told_missed
        if missed:
            self._told_missed = self._schedule.missed
            text = (
                f"{missed} times {self._device} could not be asked when it was due; expected every "
                f"{self._period:g} s; choose a lower rate if this goes on"
            )
            out.append(DeviceNotice(now, "gap", self._device, text, missed))
