"""The sending half of a simulated device: its clock, its line, and what can go wrong between them."""

from __future__ import annotations

from collections import deque
from typing import Protocol

from sim.encode import Moment, Talker
from sim.noise import Normals
from sim.unit_factors import in_unit
from sim.wire import BANNER, sample_line


class Answerer(Protocol):
    """A device that answers questions; see `sim.answers`."""

    def answer(self, data: bytes, moment: Moment) -> bytes: ...

    def reset(self) -> None: ...


class Transmitter:
    """Makes bytes of readings and keeps them until their time has come.

    Faults are plain attributes: `off` (no power), `unplugged` (sent, but nobody gets it), `swapped`, `unit` per
    channel where it differs from the profile's, `spoilt_share` of frames.

    Parameters
    ----------
    noise
        Deviates for spoilt frames.
    period
        Between samples.  [s]
    clock_rate
        Device seconds per second.
    talker
        Wire form; the line of profile `simulated-bench` where not given.
    answerer
        For a device that speaks only when asked; it then sends nothing by itself.
    """

    def __init__(
        self,
        noise: Normals,
        *,
        period: float,
        clock_rate: float,
        talker: Talker | None = None,
        answerer: Answerer | None = None,
    ) -> None:
        self._noise, self._period, self._clock_rate = noise, period, clock_rate
        self._talker, self._answerer = talker, answerer
        self._banner = b"" if answerer is not None else BANNER if talker is None else talker.banner
        self._queue: deque[tuple[float, bytes]] = deque()
        self._latest: deque[tuple[float, Moment]] = deque()
        self.off = False
        self.unplugged = False
        self.swapped = False
        self.unit: dict[str, str] = {}
        self.spoilt_share = 0.0
        self.power_on_at = 0.0
        self._count = 0
        self.power_on(0.0)

    def power_on(self, time: float) -> None:
        """Start anew at `time`: banner, clock at zero. Frames that were due later are not sent."""
        self.power_on_at = time
        self._count = 0
        self._queue = deque(item for item in self._queue if item[0] <= time)
        self._latest.clear()
        if self._answerer is not None:
            self._answerer.reset()
        if not self.off and not self.unplugged and self._banner:
            self._queue.append((time, self._banner))

    @property
    def next_at(self) -> float:
        """When the next sample is due.  [s]"""
        return self.power_on_at + (self._count + 1) * self._period

    def send(self, temperature: float, pressure: float, room_temperature: float, air: float) -> None:
        """Take the sample that is due next and send it, or keep it for who asks.  [K], [Pa], [K], [Pa]"""
        at = self.next_at
        self._count += 1
        if self.off or self.unplugged:
            return
        running = (at - self.power_on_at) * self._clock_rate
        if self._talker is None and self._answerer is None:
            frame = self._sentence(running, temperature, pressure)
        else:
            values = {
                "temperature": temperature,
                "pressure": pressure,
                "room_temperature": room_temperature,
                "barometer": air,
            }
            moment = Moment(running, values, dict(self.unit), self.swapped, self._count)
            if self._talker is None:
                self._latest.append((at, moment))
                return
            frame = self._talker.frame(moment)
        self._queue.append((at, self._spoilt(frame)))

    def taken_until(self, time: float) -> list[bytes]:
        """What has been sent by `time`, each piece once."""
        queue, pieces = self._queue, []
        while queue and queue[0][0] <= time:
            pieces.append(queue.popleft()[1])
        return pieces

    def answer(self, data: bytes, time: float) -> bytes:
        """What the device says at `time` to bytes from the line; nothing where it does not take questions."""
        if self._answerer is None or self.off or self.unplugged:
            return b""
        while len(self._latest) > 1 and self._latest[1][0] <= time:
            self._latest.popleft()
        if not self._latest or self._latest[0][0] > time:
            return b""  # still starting up
        said = self._answerer.answer(data, self._latest[0][1])
        return self._spoilt(said) if said else b""

    def _sentence(self, running: float, temperature: float, pressure: float) -> bytes:
        first = in_unit(temperature, self.unit.get("temperature") or "degC")
        second = in_unit(pressure, self.unit.get("pressure") or "kPa")
        if self.swapped:
            first, second = second, first
        # A hair is added so that 0.1 s times a whole number does not fall below the millisecond it means.
        return sample_line(int(running * 1000.0 + 1e-6), first, second)

    def _spoilt(self, frame: bytes) -> bytes:
        """The frame as it arrives on a disturbed line: whole, or with one bit turned, a byte lost or one too many."""
        noise = self._noise
        if self.spoilt_share <= 0.0 or noise.uniform() >= self.spoilt_share:
            return frame
        place = min(int(noise.uniform() * len(frame)), len(frame) - 1)
        kind = int(noise.uniform() * 3)
        other = int(noise.uniform() * 256) & 0xFF
        if kind == 0:
            return frame[:place] + bytes([frame[place] ^ (1 << (other & 7))]) + frame[place + 1 :]
        if kind == 1:
            return frame[:place] + frame[place + 1 :]
        return frame[:place] + bytes([other]) + frame[place:]
