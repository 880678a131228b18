"""Lets a file be opened in this process only after another process has survived opening it.

A file that was damaged by accident is found out by its checksums.  One whose checksums were computed again over
nonsense can crash the HDF5 library, and a window or a command with it: 2 of 100 such files did (HDF5 2.0).  So a file
that is not known is first opened, walked through and read by a process that may die of it (`looking`), and one that
is not in order is left to `satline verify`, which works in a process of its own too.  What passed is remembered by
content, also from one start of the program to the next, and so is what this program wrote itself: neither costs more
than its hash.
"""

from __future__ import annotations

import atexit
import contextlib
import hashlib
import json
import os
import signal
import subprocess
import sys
import threading
from pathlib import Path

import h5py

from acquire.runfile import refusals
from acquire.runfile.errors import DamagedFileError, NotARunFileError, first_line

#: Files up to this size are known by their content, larger ones by place, size and times.  [bytes]
HASHED = 1 << 24
MOST_REMEMBERED = 1 << 22  # bytes of the list of what passed: some 60,000 files; then it begins anew
PATIENCE = 20.0  # [s] and, for a disk that does not answer; the processor's own share is bounded there
BYTES_PER_SECOND = 2e7  # a slow disk
TOO_LONG = -getattr(signal, "SIGXCPU", 1 << 20)  # how the other process ends that used up its share


def let_pass(path: Path) -> None:
    """Return when this file can be opened here.

    Raises
    ------
    NotARunFileError, DamagedFileError
        It is not in order, or opening it made the library break off or never end.
    """
    key = _key(path)
    known = _known()
    if key in known:
        return
    _looker().look(path)
    _remember(key, known)


def remember(path: Path) -> None:
    """This program wrote the file: it can be opened here."""
    _remember(_key(path), _known())


def _key(path: Path) -> str:
    """What stands for the file; other versions of the library look again."""
    digest = hashlib.sha256(f"1 {h5py.version.hdf5_version} ".encode())
    try:
        with open(path, "rb") as handle:
            found = os.fstat(handle.fileno())
            if found.st_size <= HASHED:
                digest.update(handle.read())
            else:
                place = (found.st_dev, found.st_ino, found.st_size, found.st_mtime_ns, found.st_ctime_ns)
                digest.update(repr(place).encode())
    except OSError as error:
        raise DamagedFileError(refusals.UNREADABLE.format(path=path, reason=first_line(error)), path) from error
    return digest.hexdigest()


# What passed

_remembered: set[str] | None = None


def _known() -> set[str]:
    global _remembered
    if _remembered is None:
        _remembered = set()
        with contextlib.suppress(OSError, UnicodeDecodeError):
            if _list().stat().st_size <= MOST_REMEMBERED:
                _remembered = set(_list().read_text(encoding="ascii").split())
            else:
                _list().unlink()
    return _remembered


def _remember(key: str, known: set[str]) -> None:
    if key in known:
        return
    known.add(key)
    # without a folder to write to it costs a look at the next start
    with contextlib.suppress(OSError):
        _list().parent.mkdir(parents=True, exist_ok=True)
        with open(_list(), "a", encoding="ascii") as handle:
            handle.write(key + "\n")


def _list() -> Path:
    """Where the list lies: a cache, which may be deleted at any time."""
    if sys.platform == "win32":
        base = os.environ.get("LOCALAPPDATA") or str(Path.home() / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = str(Path.home() / "Library" / "Caches")
    else:
        base = os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    return Path(base) / "satline" / "files-that-open.txt"


# The process that looks


class Looker:
    """One process that opens files for us, one after another; made again after it died.

    Threads: any.
    """

    def __init__(self) -> None:
        self.owner = os.getpid()
        self._lock = threading.Lock()
        self._process: subprocess.Popen[str] | None = None

    def look(self, path: Path) -> None:
        """Return when it opened the file and found it in order.

        Raises
        ------
        NotARunFileError, DamagedFileError
            It found something else, died of it, or did not come back.
        """
        size = path.stat().st_size
        with self._lock:
            process = self._started()
            overdue = threading.Event()

            def end() -> None:
                overdue.set()
                process.kill()

            timer = threading.Timer(PATIENCE + size / BYTES_PER_SECOND, end)
            timer.daemon = True
            timer.start()
            try:
                answer = self._ask(process, str(path.absolute()))
            finally:
                timer.cancel()
                timer.join()
            if answer:
                return _relayed(json.loads(answer), path)
            self._end()
        code = process.returncode
        if overdue.is_set() or code == TOO_LONG:
            what = refusals.BUSY
        else:
            how = f"signal {signal.Signals(-code).name}" if code < 0 else f"status {code}"
            what = refusals.BROKE.format(how=how)
        raise DamagedFileError(refusals.HARMFUL.format(path=path, fault=what), path)

    def _started(self) -> subprocess.Popen[str]:
        if self._process is None or self._process.poll() is not None:
            self._end()
            self._process = subprocess.Popen(
                [sys.executable, "-m", "acquire.runfile.looking"],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                text=True,
                encoding="utf-8",
                env={**os.environ, "PYTHONPATH": os.pathsep.join(part for part in sys.path if part)},
            )
        return self._process

    @staticmethod
    def _ask(process: subprocess.Popen[str], path: str) -> str:
        assert process.stdin is not None
        assert process.stdout is not None
        try:
            process.stdin.write(json.dumps(path) + "\n")
            process.stdin.flush()
            return process.stdout.readline()
        except OSError:  # it is gone
            return ""

    def _end(self) -> None:
        process, self._process = self._process, None
        if process is None:
            return
        for stream in (process.stdin, process.stdout):
            if stream is not None:
                with contextlib.suppress(OSError):
                    stream.close()
        process.kill()
        process.wait()

    def close(self) -> None:
        with self._lock:
            self._end()


def _relayed(answer: dict[str, str], path: Path) -> None:
    """Raise the error that the other process met, if there was one."""
    if answer:
        kind = NotARunFileError if answer["kind"] == NotARunFileError.__name__ else DamagedFileError
        raise kind(answer["error"], path)


_the_looker: Looker | None = None


def _looker() -> Looker:
    global _the_looker
    if _the_looker is None or _the_looker.owner != os.getpid():  # a forked process has no use for its parent's
        _the_looker = Looker()
        atexit.register(_the_looker.close)
    return _the_looker
