"""The line of the simulated bench: what the device sends for one pair of readings."""

from __future__ import annotations

from sim.wire_checks import xor

BANNER = b"# simulated bench, firmware 1\r\n"
CLOCK_WRAP = 1 << 32  # the device counts milliseconds in 32 bits


def sample_line(milliseconds: int, celsius: float, kilopascal: float) -> bytes:
    """``$SAT,<t_ms>,<T degC>,<p kPa>*<HH>`` with the XOR of the characters between ``$`` and ``*``."""
    body = b"SAT,%d,%.3f,%.3f" % (milliseconds % CLOCK_WRAP, celsius, kilopascal)
    return b"$%b*%02X\r\n" % (body, xor(body))
