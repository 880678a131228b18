"""Who is writing a file: an advisory lock that ends with the process, however it ends, and hinders no reader."""

from __future__ import annotations

import contextlib
import os
import sys
from pathlib import Path

#: Far behind the end of any file, so that the lock is not in the way of anybody who locks or reads its content.
FAR = 1 << 40

if sys.platform == "win32":
    import msvcrt

    def _take(handle: int, *, exclusive: bool) -> bool:
        place = os.lseek(handle, 0, os.SEEK_CUR)
        try:
            os.lseek(handle, FAR, os.SEEK_SET)
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        finally:
            os.lseek(handle, place, os.SEEK_SET)
        return True

else:
    import errno
    import fcntl
    import struct

    #: The system's word for "somebody else has it"; anything else means that there are no locks here.
    TAKEN = (errno.EAGAIN, errno.EACCES)

    def _take(handle: int, *, exclusive: bool) -> bool:
        try:
            if hasattr(fcntl, "F_OFD_SETLK"):
                # bound to the open file, not to the process, and apart from the whole-file locks that HDF5 takes
                kind = fcntl.F_WRLCK if exclusive else fcntl.F_RDLCK
                fcntl.fcntl(handle, fcntl.F_OFD_SETLK, struct.pack("hhqqi0q", kind, os.SEEK_SET, FAR, 1, 0))
            else:
                # readers of HDF5 share the file; whoever asks whether it is taken asks for it alone
                fcntl.flock(handle, (fcntl.LOCK_SH if exclusive else fcntl.LOCK_EX) | fcntl.LOCK_NB)
        except OSError as error:
            return error.errno not in TAKEN
        return True


def lock_file(handle: int) -> bool:
    """Take the lock of a file that is open for writing; False when somebody else has it.

    A file system without locks is taken for one where nobody else writes: two writers are then not noticed here.
    """
    return _take(handle, exclusive=True)


def hold(path: str | Path) -> int | None:
    """Lock a file that is written by other means; the handle to close when done, None when it is taken."""
    handle = os.open(path, os.O_RDWR)
    if lock_file(handle):
        return handle
    os.close(handle)
    return None


def is_held(path: str | Path) -> bool:
    """Whether a living process has the lock of this file."""
    try:
        handle = os.open(path, os.O_RDONLY)
    except OSError:
        return False
    try:
        return not _take(handle, exclusive=False)
    finally:
        with contextlib.suppress(OSError):
            os.close(handle)
