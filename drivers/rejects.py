"""What was refused: counted, and told with the offending bytes, once a second at most."""

from __future__ import annotations

from collections.abc import Sequence

from drivers.frames import Spoilt
from drivers.readings import DeviceNotice

NOTICE_EVERY = 1.0  # [s] a noisy line is told about once a second, with a count, not once a line
SHOWN_BYTES = 60  # of an offending frame in a notice
BAUD_HINT_AFTER = 20  # frames, of which more than half spoilt: then the line itself is suspect


class RejectLog:
    """Counts refused frames and makes notices of them."""

    def __init__(self, device: str, baud: int) -> None:
        self._device = device
        self._baud = baud
        self.total = 0
        self._untold = 0
        self._worst = Spoilt(b"", "")
        self._told_at = float("-inf")
        self._good = 0
        self._bad = 0

    def good(self, count: int) -> None:
        """Frames that were used; judged against the refused ones."""
        self._good += count

    def refuse(self, spoilt: Sequence[Spoilt]) -> None:
        """Count what was refused."""
        if spoilt:
            self.total += len(spoilt)
            self._untold += len(spoilt)
            self._bad += len(spoilt)
            self._worst = spoilt[-1]

    def due(self, now: float) -> list[DeviceNotice]:
        """The notice that is due, if any."""
        return self.last(now) if now - self._told_at >= NOTICE_EVERY else []

    def last(self, now: float) -> list[DeviceNotice]:
        """What has not been told yet, whenever the last notice was."""
        if not self._untold:
            return []
        count, self._untold, self._told_at = self._untold, 0, now
        text = (
            f"{count} unreadable {'frame' if count == 1 else 'frames'} from {self._device}, "
            f"last {self._worst.data[:SHOWN_BYTES]!r}: {self._worst.reason}; {self._advice()}"
        )
        return [DeviceNotice(now, "rejected", self._device, text, count)]

    def _advice(self) -> str:
        advice = "check cable and profile"
        if self._good + self._bad >= BAUD_HINT_AFTER:
            if self._bad > self._good:
                advice = f"most of what arrives is unreadable: check the baud rate ({self._baud}) and the profile"
            self._good = self._bad = 0
        return advice
