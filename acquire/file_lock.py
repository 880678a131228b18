"""One writer per file: an advisory lock that ends with the process, however it ends."""

from __future__ import annotations

import os
import sys

if sys.platform == "win32":
    import msvcrt

    #: Windows locks bytes; far behind the end, so that reading is not hindered.
    _FAR = 1 << 40

    def lock_file(handle: int) -> bool:
        """Take the lock of an open file; False when another process has it."""
        place = os.lseek(handle, 0, os.SEEK_CUR)
        try:
            os.lseek(handle, _FAR, os.SEEK_SET)
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        finally:
            os.lseek(handle, place, os.SEEK_SET)
        return True

else:
    import fcntl

    def lock_file(handle: int) -> bool:
        """Take the lock of an open file; False when another process has it."""
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        except OSError:
            return True  # a file system without locks: two writers are then not noticed here
        return True
