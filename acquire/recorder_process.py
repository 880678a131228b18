"""A recorder in a process of its own, that outlives the window which started it."""

from __future__ import annotations

import contextlib
import os
import secrets
import signal
import subprocess
import sys
import tempfile
import threading
import traceback
from types import FrameType

from acquire.recorder_client import RecorderClient
from acquire.recorder_messages import Meeting, RecorderError, RecorderOrder, meeting_path

LINGER = 30.0  # [s] that a closed run can still be asked for its last snapshot
STARTED, FAILED = "recording", "failed"
_started: list[subprocess.Popen[str]] = []  # where a process cannot be left to the system, its handle is kept


def start_recorder(order: RecorderOrder) -> RecorderClient:
    """Start a recorder and join it.

    Raises
    ------
    RecorderError
        It could not record: a port that cannot be opened, a file that exists; the sentence says which.
    """
    process = subprocess.Popen(
        [sys.executable, "-m", "acquire.recorder_process"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        start_new_session=True,  # Ctrl+C in the window's terminal is not meant for the recorder
        env={**os.environ, "PYTHONPATH": os.pathsep.join(path for path in sys.path if path)},
    )
    assert process.stdin is not None
    assert process.stdout is not None
    with process.stdin, process.stdout:
        process.stdin.write(order.as_json() + "\n")
        process.stdin.flush()
        word, _, rest = process.stdout.readline().strip().partition(" ")
    if os.name == "posix":
        process.wait()  # it has left a child behind and ended, so that no zombie remains
    else:
        _started.append(process)
    if word != STARTED:
        raise RecorderError(rest or "the recorder ended before it said anything; run 'satline doctor' to see why.")
    return RecorderClient.rejoin(order.path)


def main() -> int:
    """Read an order from standard input, record, serve, close."""
    if hasattr(os, "fork") and os.fork():
        return 0  # the child goes on, nobody's child any more
    # What takes long to import, and a driver's own errors, belong to this process alone.
    from acquire.recorder import RecorderServer
    from acquire.recorder_setup import RecordedRun
    from acquire.run import ActRefused
    from acquire.runfile.errors import RunFileError
    from analysis.refusal import AnalysisError
    from drivers.errors import DriverError
    from sim.errors import SimError

    order = RecorderOrder.from_json(sys.stdin.readline())
    stop = threading.Event()

    def asked_to_stop(number: int, frame: FrameType | None) -> None:
        stop.set()

    signal.signal(signal.SIGTERM, asked_to_stop)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        recorded = RecordedRun(order)
        recorded.start()
    except (RunFileError, DriverError, AnalysisError, SimError, ActRefused) as error:
        print(FAILED, " ".join(str(error).split()), flush=True)
        return 1
    trouble = ""
    key = secrets.token_bytes(32)
    server = RecorderServer(recorded, key)
    meeting = meeting_path(order.path)
    try:
        server.start()
        with contextlib.suppress(OSError):
            meeting.unlink()  # of a recorder that was killed: ours has the run file now, so it cannot be alive
        Meeting(server.address, key.hex(), os.getpid(), order.path).write(meeting)
        print(STARTED, flush=True)
        trouble = _let_go_of_the_terminal()
        while recorded.running and not stop.is_set() and not server.finished.is_set():
            stop.wait(0.2)
        recorded.finish()
        waited = 0.0
        while server.clients and not server.finished.is_set() and waited < LINGER and not stop.is_set():
            stop.wait(0.2)
            waited += 0.2
    finally:
        try:
            recorded.finish()
        finally:
            with contextlib.suppress(OSError):
                meeting.unlink()
            server.stop()
            _remove_if_empty(trouble)
    return 0


def run_and_leave() -> None:
    """End the process with the status of `main`, whatever threads are left.

    A thread that does not end would hold the port and keep the next run from it.  What was received is in the raw
    journal by then, so nothing is lost by leaving.
    """
    status = 1
    try:
        status = main()
    except Exception:  # noqa: BLE001  # it is written where the trouble of a recorder is looked for
        traceback.print_exc()
    with contextlib.suppress(OSError, ValueError):
        sys.stdout.flush()
        sys.stderr.flush()
    os._exit(status)


def _let_go_of_the_terminal() -> str:
    """Standard output and error may lead to a terminal that is closed while the run goes on.

    Returns
    -------
    str
        The file that standard error goes to from here on.
    """
    nowhere = os.open(os.devnull, os.O_RDWR)
    trouble, name = tempfile.mkstemp(prefix="satline-recorder-", suffix=".txt")
    os.dup2(nowhere, 0)
    os.dup2(nowhere, 1)
    os.dup2(trouble, 2)
    return name


def _remove_if_empty(name: str) -> None:
    with contextlib.suppress(OSError):
        if name and not os.path.getsize(name):
            os.unlink(name)


if __name__ == "__main__":
    run_and_leave()
