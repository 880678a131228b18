"""Makes an empty run file appear under its name, complete and never over another one."""

from __future__ import annotations

import os
from pathlib import Path

from acquire.runfile.errors import RunFileExistsError, WriteFailedError, first_line
from acquire.runfile.guarded import written_file
from acquire.runfile.layout import RunHeader
from acquire.runfile.skeleton import create_tree
from acquire.runfile.strings import set_attr


def create_run_file(path: Path, header: RunHeader) -> None:
    """An empty run file that appears under its name only when it is complete; an existing one is refused."""
    draft = path.with_name(path.name + ".creating")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        if path.exists():
            raise RunFileExistsError(path)
        with written_file(draft, "w") as file:
            create_tree(file, header)
            set_attr(file, "file_name", path.name)
        publish_new(draft, path)
    except FileExistsError as error:
        raise RunFileExistsError(path) from error
    except (OSError, RuntimeError) as error:
        raise WriteFailedError(path, "creating", first_line(error)) from error
    finally:
        draft.unlink(missing_ok=True)


def publish_new(draft: Path, path: Path) -> None:
    """Give the finished draft its name unless the name is taken, in one step where the file system can."""
    try:
        os.link(draft, path)
    except FileExistsError:
        raise
    except OSError:
        # no hard links here (FAT, some network drives): reserve the name, then replace our own reservation
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY))
        os.replace(draft, path)
