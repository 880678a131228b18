"""The framer that a profile asks for. Bytes in, frames out; knows no port, clock, thread or meaning."""

from __future__ import annotations

from drivers.binary_framing import BinaryFramer, CobsFramer
from drivers.frames import EndMarkFramer, Framer
from drivers.wire_spec import BinaryFrames, CobsFrames, Framing, TextLines


def make_framer(spec: Framing) -> Framer:
    """The framer that a profile asks for."""
    if isinstance(spec, CobsFrames):
        return CobsFramer(spec)
    if isinstance(spec, BinaryFrames):
        return BinaryFramer(spec)
    return line_framer(spec)


def line_framer(spec: TextLines) -> EndMarkFramer:
    """Lines of text.

    With "any", LF and CR both end a line; the empty line between CR and LF then falls away by itself, so nothing
    depends on a CRLF staying in one chunk.
    """
    if spec.end == "any":
        return EndMarkFramer(b"\n", spec.longest, also=b"\r")
    return EndMarkFramer(spec.end.encode(), spec.longest)
