"""Programs written by others, started on free ports of the loopback and ended again."""

from __future__ import annotations

import contextlib
import select
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

HOUSE = Path(__file__).parents[2]


def free_port() -> int:
    """A port of the loopback that nobody listens at."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        return server.getsockname()[1]


@contextlib.contextmanager
def program(*arguments: str, listens: int | None = None) -> Iterator[subprocess.Popen]:
    """A program of ours around a peer; ready when it says so and, where a port is given, listens there."""
    command = [sys.executable, "-m", *arguments]
    with (
        tempfile.TemporaryFile() as said,
        subprocess.Popen(command, cwd=HOUSE, stdout=subprocess.PIPE, stderr=said) as process,
    ):
        try:
            assert process.stdout is not None
            if not select.select([process.stdout], [], [], 60)[0] or not process.stdout.readline():
                said.seek(0)
                raise RuntimeError(f"{arguments[0]} did not start: {said.read()[-500:].decode(errors='replace')}")
            if listens is not None:
                wait_for_listener(listens)
            yield process
        finally:
            process.terminate()
            process.wait(10)


def wait_for_listener(port: int, patience: float = 10.0) -> None:
    """Until something listens at a port of the loopback."""
    ends = time.monotonic() + patience
    while time.monotonic() < ends:
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        select.select([], [], [], 0.02)
    raise RuntimeError(f"nobody listens at port {port}")


@contextlib.contextmanager
def joined_terminals(folder: Path) -> Iterator[tuple[str, str]]:
    """Two pseudo-terminals that socat joins like a null-modem cable."""
    left, right = folder / "left", folder / "right"
    process = subprocess.Popen(["socat", f"PTY,link={left},raw,echo=0", f"PTY,link={right},raw,echo=0"])
    try:
        while not (left.exists() and right.exists()):
            if process.poll() is not None:
                raise RuntimeError("socat did not start")
        yield str(left), str(right)
    finally:
        process.terminate()
        process.wait(5)
