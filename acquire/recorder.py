"""The recorder: devices, session, raw journal and run file as one object, that clients talk to by messages only."""

from __future__ import annotations

import contextlib
import os
import socket
import sys
import threading
from collections.abc import Callable
from multiprocessing import AuthenticationError
from multiprocessing.connection import Connection, Listener, answer_challenge, deliver_challenge
from pickle import PickleError
from typing import Any, Protocol

import numpy as np

from acquire.acts import Act
from acquire.journal import Entry
from acquire.recorder_messages import MOST_READINGS, PROTOCOL, Answer, Ask, Finished
from acquire.run import ActRefused
from acquire.runfile.errors import RunFileError
from acquire.snapshot import Snapshot

#: What unpickling raises for bytes that are no record.
NONSENSE = (PickleError, ValueError, TypeError, KeyError, AttributeError, ImportError, IndexError, MemoryError)
POLL = 0.2  # [s] between two looks at whether to stop; no answer waits for it


class Recorded(Protocol):
    """What a recorder serves: see `acquire.recorder_setup.RecordedRun`."""

    def act(self, act: Act) -> None: ...

    def snapshot(self) -> Snapshot: ...

    def trace(self, channel: str, since: int = 0) -> tuple[Any, Any]: ...

    def entries(self, since: int = 0) -> tuple[Entry, ...]: ...

    def pace(self, change: str | None = None) -> float | None: ...

    def finish(self) -> Finished: ...


class RecorderServer:
    """Answers the questions of any number of clients about one recorded run.

    Guarantees
    ----------
    - A client that dies, freezes or speaks nonsense harms nobody else, and not the recording.

    Threads: `_accept` runs on the listening thread, `_serve` on one thread per client; they call the methods of the
    recorded run, which may be called from any thread.  `start` and `stop` belong to the one who made the server.
    """

    def __init__(self, recorded: Recorded, key: bytes) -> None:
        self._recorded, self._key = recorded, key
        # A socket of the file system where there is one: it can be shut down from another thread, a pipe cannot.
        family = "AF_INET" if sys.platform == "win32" else "AF_UNIX"
        self._listener = Listener(("127.0.0.1", 0) if family == "AF_INET" else None, family, backlog=8)
        found = self._listener.address
        #: Where clients connect.
        self.address = found if isinstance(found, str) else ":".join(map(str, found))
        self._stopping = threading.Event()
        self._clients: dict[Connection, threading.Thread] = {}
        self._lock = threading.Lock()
        self._thread = threading.Thread(target=self._accept, name="recorder listening")
        self.finished = threading.Event()  # set once a client has asked for the end and got its answer
        self._answers: dict[str, Callable[..., Any]] = {
            "hello": lambda: PROTOCOL,
            "snapshot": recorded.snapshot,
            "act": recorded.act,
            "trace": self._trace,
            "entries": recorded.entries,
            "pace": recorded.pace,
            "finish": recorded.finish,
        }

    @property
    def clients(self) -> int:
        """Connections that are open."""
        with self._lock:
            return len(self._clients)

    def start(self) -> None:
        self._thread.start()

    def stop(self) -> None:
        """Close every connection and end every thread of this server."""
        self._stopping.set()
        with contextlib.suppress(OSError):
            connect(self.address).close()  # wakes the listening thread
        self._thread.join()
        self._listener.close()
        with self._lock:
            clients = list(self._clients.items())
        for connection, _ in clients:
            _shut_down(connection)
        for _, thread in clients:
            thread.join()

    def _accept(self) -> None:
        while not self._stopping.is_set():
            try:
                connection = self._listener.accept()
            except OSError:
                continue  # a client that was gone before it was let in
            if self._stopping.is_set():
                connection.close()
                return
            thread = threading.Thread(target=self._serve, args=(connection,), name="recorder client")
            with self._lock:
                self._clients[connection] = thread
            thread.start()

    def _serve(self, connection: Connection) -> None:
        try:
            deliver_challenge(connection, self._key)
            answer_challenge(connection, self._key)
            while not self._stopping.is_set():
                if connection.poll(POLL):
                    ask = connection.recv()
                    connection.send(self._answer(ask))
                    if isinstance(ask, Ask) and ask.what == "finish":
                        self.finished.set()
        except (OSError, EOFError, AuthenticationError):
            pass  # gone or not let in: this connection ends, nothing else does
        except NONSENSE:
            pass  # no record of ours: the same
        finally:
            with self._lock:
                self._clients.pop(connection, None)
            connection.close()

    def _answer(self, ask: Any) -> Answer:
        if not isinstance(ask, Ask) or ask.what not in self._answers:
            return Answer(failed=f"the recorder does not know {ask!r}; it answers {', '.join(self._answers)}")
        try:
            return Answer(self._answers[ask.what](*ask.given))
        except ActRefused as refused:
            return Answer(refused=(refused.act, refused.stage, refused.possible, refused.why))
        except (RunFileError, RuntimeError, TypeError, ValueError, KeyError) as error:
            return Answer(failed=str(error))

    def _trace(self, channel: str, since: int = 0) -> tuple[Any, Any]:
        times, values = self._recorded.trace(channel, since)
        return np.array(times[:MOST_READINGS]), np.array(values[:MOST_READINGS])


def connect(address: str) -> Connection:
    """A connection that has yet to show its key."""
    from multiprocessing.connection import Client

    host, colon, port = address.rpartition(":")
    if colon and port.isdigit() and not os.path.exists(address):
        return Client((host, int(port)), "AF_INET")
    return Client(address, "AF_UNIX")


def _shut_down(connection: Connection) -> None:
    """End a connection whose thread may be stuck in sending to a frozen client; closing alone would not wake it."""
    with contextlib.suppress(OSError), socket.socket(fileno=os.dup(connection.fileno())) as line:
        line.shutdown(socket.SHUT_RDWR)
