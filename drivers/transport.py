"""Open ports and move bytes, whatever carries them: serial lines, pseudo-terminals, sockets, network serial servers.

Reading waits in real time, a few hundredths of a second at most, so that whoever reads can stop soon. On POSIX
descriptors it is `select` and `os.read` until nothing is left: `readline()` takes half a core at 92 kB/s, a sleep
with one `read(in_waiting)` caps at 200 kB/s, and pyserial's own `read(n)` throws away what it has collected when the
device vanishes, while `os.read` hands it out first.
"""

from __future__ import annotations

import contextlib
import errno
import os
import select
import socket
import sys
import threading
import warnings
from collections.abc import Callable
from typing import Any, Protocol
from urllib.parse import urlsplit

import serial

from drivers.errors import (
    PortBusyError,
    PortClosedError,
    PortDeniedError,
    PortError,
    PortLostError,
    PortMissingError,
)
from drivers.permission import way_in
from drivers.profile import DeviceProfile, Line

if sys.platform == "win32":
    REFUSED_SETTINGS: tuple[type[Exception], ...] = ()
else:
    import termios

    REFUSED_SETTINGS = (termios.error,)  # no OSError, though it comes from the operating system

POLL = 0.05  # [s] longest wait of one read; a stop is seen within it
COALESCE = 0.005  # [s] pause after the first byte: CPU follows the number of wake-ups, not the bytes
BUFFER = 16_384  # bytes that a pseudo-terminal holds (17 kB measured); a quarter of it may gather in a pause
READ_SIZE = 65_536
CONNECT_TIMEOUT = 3.0  # [s]


class Transport(Protocol):
    """A line that is open. One thread owns it."""

    url: str

    def read(self, wait: float = POLL) -> bytes:
        """What has arrived; waits up to `wait` real seconds for a first byte; b"" means nothing yet.

        Raises
        ------
        PortLostError
            The other end went away. Bytes that had arrived before are handed out first.
        PortClosedError
            After `close`.
        """
        ...

    def write(self, data: bytes) -> None:
        """Send bytes. Raises like `read`."""
        ...

    def discard_input(self) -> None:
        """Throw away what has arrived and was not read."""
        ...

    def close(self) -> None:
        """Give the port back; a second call does nothing."""
        ...


def _rest(seconds: float) -> None:
    if sys.platform == "win32":  # where select refuses to wait for nothing
        threading.Event().wait(seconds)
    else:
        select.select([], [], [], seconds)


class DescriptorTransport:
    """A POSIX descriptor that `select` can wait for; non-blocking."""

    def __init__(
        self,
        url: str,
        descriptor: int,
        *,
        close: Callable[[], None],
        receive: Callable[[int], bytes] | None = None,
        send: Callable[[bytes], int] | None = None,
        pause: float = COALESCE,
    ) -> None:
        self.url = url
        self.fileno: int | None = descriptor
        self._close = close
        self._receive = receive or (lambda size: os.read(descriptor, size))
        self._send = send or (lambda data: os.write(descriptor, data))
        self._pause = pause
        self._lost: BaseException | str | None = None

    def _descriptor(self) -> int:
        if self.fileno is None:
            raise PortClosedError(self.url)
        return self.fileno

    def read(self, wait: float = POLL) -> bytes:
        """See `Transport`."""
        descriptor = self._descriptor()
        if self._lost is not None:
            self._raise_lost(self._lost)
        if not select.select([descriptor], [], [], wait)[0]:
            return b""
        pieces: list[bytes] = []
        self._drain(pieces)
        if self._pause and self._lost is None:
            # One batch then costs one wake-up. What was there is taken first: a
            # pseudo-terminal that is closed forgets what nobody has read.
            _rest(self._pause)
            self._drain(pieces)
        if not pieces and self._lost is not None:
            self._raise_lost(self._lost)
        return b"".join(pieces)

    def _drain(self, pieces: list[bytes]) -> None:
        try:
            while piece := self._receive(READ_SIZE):
                pieces.append(piece)
            self._lost = "the other end closed the line"
        except BlockingIOError:
            pass
        except OSError as error:
            self._lost = error

    def _raise_lost(self, why: BaseException | str) -> None:
        if isinstance(why, OSError):
            raise PortLostError(self.url, why.strerror or str(why)) from why
        raise PortLostError(self.url, str(why))

    def write(self, data: bytes) -> None:
        """See `Transport`. A line that takes nothing for a second counts as lost: never wait for ever."""
        descriptor = self._descriptor()
        left = memoryview(data)
        while left:
            try:
                if not select.select([], [descriptor], [], 1.0)[1]:
                    self._raise_lost("it takes no bytes")
                left = left[self._send(bytes(left)) :]
            except BlockingIOError:
                continue
            except OSError as error:
                self._raise_lost(error)

    def discard_input(self) -> None:
        """See `Transport`."""
        while select.select([self._descriptor()], [], [], 0)[0] and self.read(0):
            pass

    def close(self) -> None:
        """See `Transport`."""
        if self.fileno is not None:
            self.fileno = None
            self._close()


class PolledTransport:
    """Any pyserial port without a descriptor: Windows, `rfc2217://`, `loop://`, `spy://`."""

    def __init__(self, url: str, port: Any) -> None:
        self.url = url
        self.fileno: int | None = None
        self._port: Any = port

    def _open_port(self) -> Any:
        if self._port is None:
            raise PortClosedError(self.url)
        return self._port

    def read(self, wait: float = POLL) -> bytes:
        """See `Transport`."""
        port = self._open_port()
        try:
            port.timeout = wait
            first = port.read(1)
            waiting = port.in_waiting if first else 0
            return first + (port.read(waiting) if waiting else b"")
        except OSError as error:  # SerialException is one
            raise PortLostError(self.url, str(error)) from error

    def write(self, data: bytes) -> None:
        """See `Transport`."""
        port = self._open_port()
        try:
            port.write(data)
        except OSError as error:
            raise PortLostError(self.url, str(error)) from error

    def discard_input(self) -> None:
        """See `Transport`."""
        port = self._open_port()
        try:
            port.reset_input_buffer()
        except OSError as error:
            raise PortLostError(self.url, str(error)) from error

    def close(self) -> None:
        """See `Transport`."""
        if self._port is not None:
            port, self._port = self._port, None
            # pyserial 3.5 forgets to close the socket of rfc2217:// when the other end has gone first.
            line = getattr(port, "_socket", None)
            port.close()
            if line is not None:
                line.close()


def open_transport(url: str, profile: DeviceProfile, now: Callable[[], float] | None = None) -> Transport:
    """Open a port: a device path, `COM5`, or a URL of pyserial's kinds.

    Parameters
    ----------
    url
        For example `/dev/ttyACM0`, `COM5`, `socket://host:port`, `rfc2217://host:port`, `loop://`.
    profile
        Its `line` sets baud rate, framing of bytes, DTR and RTS.
    now
        Not needed by any port at present; handed in so that a simulated one may use it.

    Raises
    ------
    PortMissingError, PortDeniedError, PortBusyError
        Where it cannot be opened; the sentence says why and what to do.
    """
    # A device that is asked answers in one piece and its answer is timed: no pause to gather more.
    pause = 0.0 if profile.asks else COALESCE
    if url.startswith("socket://"):
        return _open_socket(url, pause)
    return _open_serial(url, profile.line, pause)


def _open_socket(url: str, pause: float) -> Transport:
    # pyserial's own socket reports 0 or 1 bytes waiting, cannot be cancelled and sleeps on closing.
    try:
        place = urlsplit(url)
        host, port = place.hostname, place.port
    except ValueError:
        host, port = None, None
    if not host or not port:
        raise PortMissingError(url, f"port {url!r} is no address; expected socket://host:port, port 1 to 65535")
    try:
        line = socket.create_connection((host, port), timeout=CONNECT_TIMEOUT)
    except OSError as error:
        raise PortMissingError(
            url,
            f"nobody answers at {url!r} ({error.strerror or error}); expected a serial server listening there; "
            "check host, port number and that it is running",
        ) from error
    line.setblocking(False)
    line.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
    return DescriptorTransport(url, line.fileno(), close=line.close, receive=line.recv, send=line.send, pause=pause)


_BYTE_SIZE = {5: serial.FIVEBITS, 6: serial.SIXBITS, 7: serial.SEVENBITS, 8: serial.EIGHTBITS}
_PARITY = {"none": "N", "even": "E", "odd": "O", "mark": "M", "space": "S"}


def _open_serial(url: str, line: Line, pause: float) -> Transport:
    try:
        port = serial.serial_for_url(url, do_not_open=True)
        _set_up(port, url, line)
        with warnings.catch_warnings():
            # pyserial 3.5 starts the thread of rfc2217:// in a way that Python has put on its list of old ways.
            warnings.filterwarnings("ignore", category=DeprecationWarning, module="serial")
            port.open()
    except REFUSED_SETTINGS as error:
        raise PortMissingError(
            url,
            f"port {url!r} refuses the line's settings ({line.baud} baud, {line.data_bits} bits, "
            f"parity {line.parity}); expected a port that can do them; check [line] in the profile",
        ) from error
    except ValueError as error:
        raise PortMissingError(
            url,
            f"port {url!r} cannot be understood ({error}); expected a device such as /dev/ttyACM0 or COM5, or "
            "socket://host:port, rfc2217://host:port, loop://",
        ) from error
    except OSError as error:
        raise _why_not(url, error) from error
    if "://" in url or sys.platform == "win32":
        return PolledTransport(url, port)
    descriptor = port.fileno()
    _claim(descriptor, url, port)
    with contextlib.suppress(ValueError, NotImplementedError, AttributeError, OSError):
        # Bridges gather bytes for 16 ms unless asked not to. A port that cannot do it goes on as it was.
        port.set_low_latency_mode(True)

    def close() -> None:
        _release(descriptor)
        port.close()

    bits = 1 + line.data_bits + (line.parity != "none") + line.stop_bits
    return DescriptorTransport(url, descriptor, close=close, pause=min(pause, BUFFER / 4 * bits / line.baud))


def _set_up(port: Any, url: str, line: Line) -> None:
    port.baudrate = line.baud
    port.bytesize = _BYTE_SIZE[line.data_bits]
    port.parity = _PARITY[line.parity]
    port.stopbits = line.stop_bits
    port.rtscts = line.flow == "rts/cts"
    port.xonxoff = line.flow == "xon/xoff"
    port.timeout = POLL
    if "://" not in url:
        port.exclusive = True
        port.write_timeout = 1.0  # not for rfc2217://, which refuses it
    # Before opening: boards take a change of DTR as a reset.
    if line.dtr != "leave":
        port.dtr = line.dtr == "on"
    if line.rts != "leave":
        port.rts = line.rts == "on"


def _claim(descriptor: int, url: str, port: Any) -> None:
    """Refuse later openers. The lock that pyserial takes is only seen by programs that ask for it too."""
    import fcntl
    import termios

    try:
        fcntl.ioctl(descriptor, termios.TIOCEXCL)
        os.set_blocking(descriptor, False)
        # pyserial asks for reads that return nothing at once, which looks like the end of the line; with one byte
        # as the least, "nothing yet" is EAGAIN and an empty read means that the device is gone.
        settings = termios.tcgetattr(descriptor)
        settings[6][termios.VMIN], settings[6][termios.VTIME] = 1, 0
        termios.tcsetattr(descriptor, termios.TCSANOW, settings)
    except (OSError, termios.error) as error:
        port.close()
        raise _why_not(url, OSError(*error.args)) from error


def _release(descriptor: int) -> None:
    import fcntl
    import termios

    with contextlib.suppress(OSError):  # the device may be gone, and its claim with it
        fcntl.ioctl(descriptor, termios.TIOCNXCL)


def _why_not(url: str, error: OSError) -> PortError:
    code = error.errno
    if code is None and "could not exclusively lock" in str(error).lower():
        code = errno.EAGAIN
    if code in (errno.EACCES, errno.EPERM):
        return PortDeniedError(url, f"port {url!r} may not be opened by this user; {way_in(url)}")
    if code in (errno.EBUSY, errno.EAGAIN) or "Access is denied" in str(error):
        return PortBusyError(
            url,
            f"port {url!r} is in use by another program; expected it to be free; close the other program "
            "(a terminal, another logger, a modem manager) and try again",
        )
    if code in (errno.ENOENT, errno.ENXIO, errno.ENODEV) or "FileNotFoundError" in str(error):
        return PortMissingError(
            url, f"there is no port {url!r}; expected a device that is plugged in; satline ports lists what is there"
        )
    if "option 'control'" in str(error):
        return PortMissingError(
            url,
            f"the serial server at {url!r} does not confirm the control lines; expected it to; "
            "where the device needs none, add ?ign_set_control to the address",
        )
    return PortMissingError(
        url, f"port {url!r} cannot be opened ({error}); expected a serial device; satline ports lists what is there"
    )
