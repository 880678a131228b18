"""The sending half of a simulated device: its clock, its line, and what can go wrong between them."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable

from sim.noise import Normals
from sim.unit_factors import in_unit
from sim.wire import BANNER, sample_line

#: (device milliseconds since power-on, K, Pa, unit of temperature, unit of pressure) to bytes
Form = Callable[[int, float, float, str, str], bytes]


class Transmitter:
    """Makes bytes of readings and keeps them until their time has come.

    Faults are plain attributes: `off` (no power), `unplugged` (sent, but nobody gets it), `swapped`, `unit` per
    channel where it differs from the profile's, `spoilt_share` of lines.
    """

    def __init__(
        self,
        noise: Normals,
        *,
        period: float,
        clock_rate: float,
        form: Form | None = None,
        banner: bytes = BANNER,
    ) -> None:
        self._noise, self._period, self._clock_rate = noise, period, clock_rate
        self._form, self._banner = form or sentence_form, banner
        self._queue: deque[tuple[float, bytes]] = deque()
        self.off = False
        self.unplugged = False
        self.swapped = False
        self.unit: dict[str, str] = {}
        self.spoilt_share = 0.0
        self.spoilt_lines = 0
        self.power_on_at = 0.0
        self._count = 0
        self.power_on(0.0)

    def power_on(self, time: float) -> None:
        """Start anew at `time`: banner, clock at zero. Lines that were due later are not sent."""
        self.power_on_at = time
        self._count = 0
        self._queue = deque(item for item in self._queue if item[0] <= time)
        if not self.off and not self.unplugged and self._banner:
            self._queue.append((time, self._banner))

    @property
    def next_at(self) -> float:
        """When the next line is due.  [s]"""
        return self.power_on_at + (self._count + 1) * self._period

    def send(self, temperature: float, pressure: float) -> None:
        """Make the line that is due next.  [K], [Pa]"""
        at = self.next_at
        self._count += 1
        # A hair is added so that 0.1 s times a whole number does not fall below the millisecond it means.
        milliseconds = int((at - self.power_on_at) * self._clock_rate * 1000.0 + 1e-6)
        if self.off or self.unplugged:
            return
        first, second = self.unit.get("temperature", ""), self.unit.get("pressure", "")
        if self.swapped:
            # The numbers keep the units in which each sensor speaks and stand in the other's place.
            celsius, kilopascal = in_unit(temperature, first or "degC"), in_unit(pressure, second or "kPa")
            temperature, pressure, first, second = kilopascal + 273.15, celsius * 1e3, "", ""
        line = self._form(milliseconds, temperature, pressure, first, second)
        if self.spoilt_share > 0.0 and self._noise.uniform() < self.spoilt_share:
            line = self._spoilt(line)
            self.spoilt_lines += 1
        self._queue.append((at, line))

    def taken_until(self, time: float) -> list[bytes]:
        """What has been sent by `time`, each piece once."""
        queue, pieces = self._queue, []
        while queue and queue[0][0] <= time:
            pieces.append(queue.popleft()[1])
        return pieces

    def _spoilt(self, line: bytes) -> bytes:
        place = min(int(self._noise.uniform() * len(line)), len(line) - 1)
        kind = int(self._noise.uniform() * 3)
        other = int(self._noise.uniform() * 256) & 0xFF
        if kind == 0:
            return line[:place] + bytes([line[place] ^ (1 << (other & 7))]) + line[place + 1 :]
        if kind == 1:
            return line[:place] + line[place + 1 :]
        return line[:place] + bytes([other]) + line[place:]


def sentence_form(milliseconds: int, temperature: float, pressure: float, first: str, second: str) -> bytes:
    """The line of profile `simulated-bench`."""
    return sample_line(milliseconds, in_unit(temperature, first or "degC"), in_unit(pressure, second or "kPa"))
