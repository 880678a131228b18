"""Listening to an unknown device and proposing a profile for it. Opens one port; writes only what it was asked to."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np

from drivers.column_guess import ColumnGuess, guess_columns
from drivers.errors import PortLostError
from drivers.profile import DeviceProfile, Line
from drivers.proposal import HEADER, ListenError, channel_text, proved, table, toml
from drivers.stream_guess import BELIEVED, StreamGuess, guess_stream
from drivers.transport import Transport, open_transport
from drivers.units import find_unit
from drivers.wire_spec import Delimited

#: Usual rates, the likeliest first.
BAUD_RATES = (115200, 9600, 57600, 38400, 19200, 4800, 230400)
SAMPLES = 2
EVEN = 0.1  # share by which steps of a clock may differ; more is no rate


@dataclass
class Heard:
    """What listening gave."""

    baud: int
    data: bytes
    seconds: float
    stream: StreamGuess | None
    columns: list[ColumnGuess] = field(default_factory=list)

    @property
    def score(self) -> float:
        """How well the bytes make sense, for comparing baud rates."""
        if self.stream is None:
            return 0.0
        known = sum(column.role in ("temperature", "pressure", "clock", "counter") for column in self.columns)
        return self.stream.share + known + self.stream.protected


def understand(data: bytes, seconds: float, baud: int) -> Heard:
    """Guess form and columns of captured bytes; pure."""
    stream = guess_stream(data)
    columns = guess_columns(stream.columns, seconds) if stream is not None else []
    return Heard(baud, data, seconds, stream, columns)


def listening_profile(baud: int) -> DeviceProfile:
    """A profile that opens a line at a rate and understands nothing."""
    return DeviceProfile.model_construct(
        name="listening", title="listening", line=Line(baud=baud), decoding=Delimited(kind="delimited")
    )


def capture(
    url: str,
    baud: int,
    seconds: float,
    *,
    now: Callable[[], float],
    ask: str = "",
    open_port: Callable[[str, DeviceProfile], Transport] = open_transport,
) -> tuple[bytes, float]:
    """What arrives at one port in some time, and how long was listened. Writes only `ask`, and only if there is one.

    Raises
    ------
    PortError
        Where the port cannot be opened.
    """
    line = open_port(url, listening_profile(baud))
    data = bytearray()
    began = now()
    first = last = began
    try:
        if ask:
            line.write(ask.encode() + b"\n")
        while now() - began < seconds:
            chunk = line.read()
            if chunk:
                last = now()
                first = last if not data else first
                data += chunk
    except PortLostError:
        pass  # what came before is all there is
    finally:
        line.close()
    return bytes(data), max(last - first, 0.0)


def listen(
    url: str,
    *,
    now: Callable[[], float],
    baud: int | None = None,
    seconds: float = 5.0,
    ask: str = "",
    open_port: Callable[[str, DeviceProfile], Transport] = open_transport,
    tell: Callable[[str], None] = lambda text: None,
) -> Heard:
    """Listen at one rate, or at the usual ones until something makes sense.

    Raises
    ------
    ListenError
        Where nothing arrived at all.
    PortError
        Where the port cannot be opened.
    """
    # A socket or a pseudo-terminal has no rate of its own.
    rates: Sequence[int] = (baud,) if baud else BAUD_RATES[:1] if "://" in url else BAUD_RATES
    best: Heard | None = None
    for rate in rates:
        tell(f"listening at {rate} baud for {seconds:g} s")
        data, span = capture(url, rate, seconds, now=now, ask=ask, open_port=open_port)
        heard = understand(data, span, rate)
        if best is None or (heard.score, len(data)) > (best.score, len(best.data)):
            best = heard
        if heard.score >= 2:
            break
    if best is None or not best.data:
        raise ListenError(
            f"nothing arrived at {url!r}; expected a device that sends by itself; check that it is on and measuring. "
            "A device that only answers must be asked: --modbus or --scpi"
        )
    return best


def propose_profile(heard: Heard, name: str) -> str:
    """A device profile in TOML for what was heard, with sample lines, proved by loading it.

    Raises
    ------
    ListenError
        Where no column looks like a temperature or a pressure, or the form is unknown.
    """
    channels = [column for column in heard.columns if column.role in ("temperature", "pressure")]
    if heard.stream is None or not channels:
        found = "no column that fits" if heard.stream else "bytes of no known form"
        raise ListenError(
            f"found {found}; expected a temperature or a pressure of a room; "
            "let the device show the room's values, try another --baud, or write a profile by hand from a shipped one"
        )
    return proved(_profile_text(heard, heard.stream, channels, name))


def _profile_text(heard: Heard, stream: StreamGuess, channels: list[ColumnGuess], name: str) -> str:
    clock = next((column for column in heard.columns if column.role == "clock"), None)
    parts = [
        HEADER,
        f"name = {toml(name)}",
        f"title = {toml('Heard: ' + '; '.join(stream.reasons))}",
        'source = "listening"',
        f"\n[line]\nbaud = {heard.baud}",
        f"\n[framing]\n{table(stream.framing)}",
        f"\n[decoding]\n{table(stream.decoding)}",
    ]
    rate = _rate_of(heard, clock)
    if rate:
        parts.insert(4, f"rate = {rate:g}")
    if clock is not None:
        parts.append(f'\n[clock]\nkind = "device"\nfield = {toml(clock.field)}\nunit = {toml(clock.unit)}')
    parts += [channel_text(column.role, column.field, column.unit, column.reason) for column in channels]
    parts += [_sample(stream, channels, number) for number in range(min(SAMPLES, len(stream.samples)))]
    return "\n".join(parts) + "\n"


def _rate_of(heard: Heard, clock: ColumnGuess | None) -> float:
    """Readings a second by the device's own clock, where its steps are even; 0 where nothing sound says so."""
    if clock is None or heard.stream is None:
        return 0.0
    steps = np.diff(heard.stream.columns[clock.field]) * find_unit(clock.unit).factor
    usual = float(np.median(steps))
    even = np.abs(steps - usual) < EVEN * usual
    return float(f"{1 / usual:.4g}") if usual > 0 and even.mean() >= BELIEVED else 0.0


def _sample(stream: StreamGuess, channels: list[ColumnGuess], number: int) -> str:
    data = stream.samples[number]
    text = f"hex = {toml(data.hex(' '))}"
    if stream.framing["kind"] == "lines":
        text = f"text = {toml(data.decode())}"
    values = ", ".join(
        f'{column.role} = "{stream.columns[column.field][number]!r} {column.unit}"' for column in channels
    )
    return f"\n[[sample]]\n{text}\nreadings = {{ {values} }}"
