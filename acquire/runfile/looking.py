"""The process behind `gate`: opens each file it is told, and goes through everything that a reader will touch.

It dies in place of the reader.  A file in which anything cannot be read is not fit for a reader either: what crashes
the library is next to what it only complains of, and the order of reading decides which it will be (measured).
"""

from __future__ import annotations

import contextlib
import json
import math
import os
import sys
from pathlib import Path
from typing import Any

import h5py
import numpy as np

from acquire.runfile import refusals
from acquire.runfile.access import MALFORMED
from acquire.runfile.columns import checked
from acquire.runfile.errors import DamagedFileError, RunFileError, first_line
from acquire.runfile.reader import RunFile
from acquire.runfile.seal import MOST_OBJECTS

#: Columns up to this many bytes are read whole, of longer ones the first and last rows.
WHOLE = 1 << 24
EDGE = 4096  # rows
MOST_MEMORY = 4 << 30  # [bytes]
#: Processor time that a look may take, whatever else the machine does: [s] and [bytes/s].  A file of some MB takes
#: 0.3 s on a slow machine; one made to keep the library going round would take for ever.
MOST_SECONDS = 4.0
BYTES_PER_SECOND = 2e7
COMPLAINTS = (*MALFORMED, AssertionError, RecursionError)


def look(path: Path) -> None:
    """Open it, every object in it, every attribute, the place of every chunk, and the content.

    Raises
    ------
    NotARunFileError, DamagedFileError
    """
    with RunFile(path, unlooked=True) as run:
        try:
            _walk(run.hdf)
        except COMPLAINTS as error:
            raise DamagedFileError(refusals.PART.format(path=path, reason=first_line(error)), path) from error
        # and as a reader does it; what is wrong with the content, readers say in words
        with contextlib.suppress(RunFileError, *COMPLAINTS):
            run.record({})


def _walk(file: h5py.File) -> None:
    todo: list[Any] = [file["/"]]
    entered: set[int] = set()
    for _ in range(MOST_OBJECTS):
        if not todo:
            return
        item = todo.pop()
        for name in item.attrs:
            if item.attrs.get_id(name).dtype.kind != "O":  # never ours, and never read
                np.asarray(item.attrs[name])
        if isinstance(item, h5py.Dataset):
            _column(item)
        elif isinstance(item, h5py.Group):
            place = h5py.h5o.get_info(item.id).addr
            if place not in entered:
                entered.add(place)
                # a link to elsewhere leads to what is looked at by itself, or out of the file
                todo += [item[name] for name in item if isinstance(item.get(name, getlink=True), h5py.HardLink)]
    raise ValueError(f"the file has more than {MOST_OBJECTS} objects")


def _column(item: h5py.Dataset) -> None:
    column = checked(item)
    if column.shape == () or column.shape is None:
        column[()]
        return
    if column.chunks is not None:
        column.id.chunk_iter(lambda chunk: None)
    if column.size * column.dtype.itemsize <= WHOLE:
        column[()]
    else:
        column[:EDGE]
        column[column.shape[0] - EDGE :]


def _allow(size: int) -> None:
    """Let the system end this process where the look at a file of this size takes too long."""
    with contextlib.suppress(ImportError, ValueError, OSError):
        import resource

        _, hard = resource.getrlimit(resource.RLIMIT_CPU)
        most = math.ceil(sum(os.times()[:2]) + MOST_SECONDS + size / BYTES_PER_SECOND)
        resource.setrlimit(resource.RLIMIT_CPU, (most if hard == resource.RLIM_INFINITY else min(most, hard), hard))


def main() -> None:
    """Paths as JSON, a line each, on standard input; an answer for each on standard output: an error or nothing."""
    with contextlib.suppress(ImportError, ValueError, OSError):
        import resource

        soft, hard = resource.getrlimit(resource.RLIMIT_AS)
        most = MOST_MEMORY if soft == resource.RLIM_INFINITY else min(soft, MOST_MEMORY)
        resource.setrlimit(resource.RLIMIT_AS, (most, hard))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    for line in sys.stdin:
        answer: dict[str, str] = {}
        try:
            path = Path(json.loads(line))
            with contextlib.suppress(OSError):
                _allow(path.stat().st_size)
            look(path)
        except RunFileError as error:
            answer = {"kind": type(error).__name__, "error": str(error)}
        print(json.dumps(answer), flush=True)


if __name__ == "__main__":
    main()
