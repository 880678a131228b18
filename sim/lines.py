"""Where the bytes of a simulated bench go: a pseudo-terminal, a TCP connection, or memory; never waits."""

from __future__ import annotations

import os
import select
import socket
import tempfile
from typing import Protocol

from sim.errors import PortUnavailableError

_MOST_HEARD = 4096  # bytes of what a program says between two looks; the rest is noise
_BUSY = b"# busy: this bench talks to one program at a time; close the other one first\r\n"


class Line(Protocol):
    """One way out. `send` and `flush` never block; `waiting` counts bytes not yet taken by the reader."""

    url: str

    @property
    def waiting(self) -> int: ...

    def send(self, data: bytes) -> None: ...

    def heard(self) -> bytes: ...

    def flush(self) -> None: ...

    def hang_up(self) -> None: ...

    def plug_in(self) -> None: ...

    def close(self) -> None: ...


class MemoryLine:
    """A line in memory, for tests and for programs that hold the bench themselves."""

    def __init__(self) -> None:
        self.url = "loop://"
        self._buffer, self._said = bytearray(), bytearray()

    @property
    def waiting(self) -> int:
        return 0

    def send(self, data: bytes) -> None:
        self._buffer += data

    def flush(self) -> None:
        """Nothing to do: what was sent is there."""

    def write(self, data: bytes) -> None:
        """Say something to the device."""
        self._said += data

    def heard(self) -> bytes:
        """What was said to the device since the last call."""
        data = bytes(self._said)
        self._said.clear()
        return data

    def read(self) -> bytes:
        """Everything sent since the last call."""
        data = bytes(self._buffer)
        self._buffer.clear()
        return data

    def hang_up(self) -> None:
        """Nothing to do: what is not sent does not arrive."""

    def plug_in(self) -> None:
        """Nothing to do."""

    def close(self) -> None:
        """Nothing to do: memory needs no closing."""


class PseudoTerminalLine:
    """A pseudo-terminal; `url` is a path that a serial program opens.

    The path is a link in a folder of its own, so that it vanishes while the cable is pulled and comes back as the
    same name, as a serial adapter's does.
    """

    def __init__(self) -> None:
        self._folder = tempfile.mkdtemp(prefix="satline-bench-")
        self.url = os.path.join(self._folder, "bench")
        self._fd = -1
        self._left = self._said = b""
        try:
            self.plug_in()
        except PortUnavailableError:
            os.rmdir(self._folder)
            raise

    def plug_in(self) -> None:
        """Let the path appear; nothing happens where it is there."""
        if self._fd >= 0:
            return
        try:
            import pty
            import tty
        except ImportError as error:
            raise PortUnavailableError(
                "found no pseudo-terminals on this system; expected them for kind 'pty'; use kind 'tcp'"
            ) from error
        try:
            self._fd, other = pty.openpty()
        except OSError as error:
            raise PortUnavailableError(
                f"found no free pseudo-terminal ({error.strerror}); expected one; close other programs "
                "or use kind 'tcp'"
            ) from error
        tty.setraw(other)
        os.symlink(os.ttyname(other), self.url)
        # Once our own end of the terminal side is closed, the system tells whether somebody else has it open.
        os.close(other)
        os.set_blocking(self._fd, False)
        self._poll = select.poll()
        self._poll.register(self._fd, select.POLLIN)

    def hang_up(self) -> None:
        """Let the path vanish; a program that has it open finds the line dead."""
        if self._fd < 0:
            return
        self._poll.unregister(self._fd)
        os.close(self._fd)
        self._fd = -1
        self._left = b""
        os.unlink(self.url)

    @property
    def waiting(self) -> int:
        return len(self._left)

    def _listened_to(self) -> bool:
        if self._fd < 0:
            return False
        events = self._poll.poll(0)
        if any(event & select.POLLHUP for _, event in events):
            return False
        if events:
            try:
                self._said += os.read(self._fd, 4096)
            except OSError:
                return False
        return True

    def heard(self) -> bytes:
        data, self._said = self._said[-_MOST_HEARD:], b""
        return data

    def send(self, data: bytes) -> None:
        self._left += data
        self.flush()

    def flush(self) -> None:
        if not self._listened_to():
            self._left = b""
        if not self._left:
            return
        try:
            self._left = self._left[os.write(self._fd, self._left) :]
        except BlockingIOError:
            return
        except OSError:
            self._left = b""

    def close(self) -> None:
        if self._folder:
            self.hang_up()
            os.rmdir(self._folder)
            self._folder = ""


class TcpLine:
    """A listening socket; `url` is what pyserial opens. A second client is told why and let go."""

    def __init__(self, host: str = "127.0.0.1", port: int = 0) -> None:
        self._listener = socket.socket()
        self._listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            self._listener.bind((host, port))
            self._listener.listen(4)
        except OSError as error:
            self._listener.close()
            raise PortUnavailableError(
                f"cannot listen on {host}:{port}: {error.strerror}; expected a free port; give another one or 0"
            ) from error
        self._listener.setblocking(False)
        self.host, self.port = self._listener.getsockname()[:2]
        self.url = f"socket://{self.host}:{self.port}"
        self._client: socket.socket | None = None
        self._plugged_in = True
        self._left = self._said = b""

    @property
    def waiting(self) -> int:
        return len(self._left)

    def send(self, data: bytes) -> None:
        self._left += data
        self.flush()

    def flush(self) -> None:
        self._greet()
        client = self._client
        if client is None:
            self._left = b""
            return
        try:
            said = client.recv(4096)
            if not said:
                self._drop()
                return
            self._said += said
        except BlockingIOError:
            pass
        except OSError:
            self._drop()
            return
        if not self._left:
            return
        try:
            self._left = self._left[client.send(self._left) :]
        except BlockingIOError:
            return
        except OSError:
            self._drop()

    def heard(self) -> bytes:
        data, self._said = self._said[-_MOST_HEARD:], b""
        return data

    def _greet(self) -> None:
        while True:
            try:
                client, _ = self._listener.accept()
            except BlockingIOError:
                return
            client.setblocking(False)
            if not self._plugged_in:
                client.close()
                continue
            if self._client is None:
                self._client = client
                continue
            try:
                client.send(_BUSY)
            finally:
                client.close()

    def hang_up(self) -> None:
        """Let the client go and answer nobody until plugged in again."""
        self._drop()
        self._plugged_in = False

    def plug_in(self) -> None:
        """Answer again."""
        self._plugged_in = True

    def _drop(self) -> None:
        if self._client is not None:
            self._client.close()
            self._client = None
        self._left = b""

    def close(self) -> None:
        self._drop()
        self._listener.close()
