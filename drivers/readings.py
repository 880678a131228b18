"""The records that leave a driver: blocks of readings and notices about the device; knows nothing of ports."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntFlag

import numpy as np
from numpy.typing import NDArray

TEMPERATURE = "temperature"
PRESSURE = "pressure"
BAROMETER = "barometer"
ROOM_TEMPERATURE = "room_temperature"
CHANNELS = (TEMPERATURE, PRESSURE, BAROMETER, ROOM_TEMPERATURE)

#: SI unit of the value of each channel.
CHANNEL_UNIT = {TEMPERATURE: "K", PRESSURE: "Pa", BAROMETER: "Pa", ROOM_TEMPERATURE: "K"}


class Quality(IntFlag):
    """Quality bits of one reading; 0 means good.

    A reading is never dropped because of its quality: it is kept, marked, and left out of decisions.
    """

    GOOD = 0
    NOT_A_NUMBER = 1  # the device said so itself (SCPI 9.91E37, "nan", an error code)
    OUT_OF_RANGE = 2  # outside the plausible range that the profile states
    UNCERTAIN_TIME = 4  # no device clock and the arrival was late or bunched
    LATE = 8  # arrived after the run had already decided on its second
    AFTER_GAP = 16  # first reading after a gap, a reconnect or a restart of the device


#: Readings with any of these bits are kept but take no part in decisions.
UNUSABLE = Quality.NOT_A_NUMBER | Quality.OUT_OF_RANGE | Quality.LATE


@dataclass(frozen=True, slots=True)
class Readings:
    """A block of readings of one channel, oldest first.

    Parameters
    ----------
    channel
        One of `CHANNELS`.
    time
        Seconds on the clock handed to the source (run start = 0), shape (n,), never decreasing.  [s]
    value
        SI values, shape (n,); NaN where the device gave no number.  [K or Pa]
    raw
        The number as received, before conversion, shape (n,).
    quality
        `Quality` bits, shape (n,), uint8.
    u_time
        Standard uncertainty of the times of this block.  [s]
    """

    channel: str
    time: NDArray[np.float64]
    value: NDArray[np.float64]
    raw: NDArray[np.float64]
    quality: NDArray[np.uint8]
    u_time: float = 0.0

    def __post_init__(self) -> None:
        n = len(self.time)
        if self.channel not in CHANNELS:
            raise ValueError(f"channel is {self.channel!r}; expected one of {', '.join(CHANNELS)}")
        for name in ("value", "raw", "quality"):
            if len(getattr(self, name)) != n:
                raise ValueError(f"{name} has {len(getattr(self, name))} entries for {n} times")

    def __len__(self) -> int:
        return len(self.time)


def joined(blocks: Sequence[Readings]) -> Readings:
    """Blocks of one channel that follow each other as one; its times are as uncertain as the worst of them."""
    return Readings(
        blocks[0].channel,
        np.concatenate([block.time for block in blocks]),
        np.concatenate([block.value for block in blocks]),
        np.concatenate([block.raw for block in blocks]),
        np.concatenate([block.quality for block in blocks]),
        max(block.u_time for block in blocks),
    )


@dataclass(frozen=True, slots=True)
class Received:
    """Bytes as they came from the port, before anything was made of them."""

    arrival: float  # [s] on the source's clock
    data: bytes


@dataclass(frozen=True, slots=True)
class DeviceNotice:
    """Something happened to the device or its line.

    `kind` is one of: opened, lost, reconnected, restarted, gap, rejected, silent, closed.
    `text` is one sentence for the person: found, expected, way out.
    """

    time: float  # [s] on the source's clock
    kind: str
    device: str
    text: str
    count: int = 0  # rejected lines since the last notice of this kind, where it counts something


@dataclass(frozen=True, slots=True)
class SourceStopped:
    """The last item that a source puts in its queue; nothing follows."""

    time: float
    device: str
    reason: str  # "asked" | "lost" | "end of stream" | an error sentence


SourceEvent = Readings | Received | DeviceNotice | SourceStopped
