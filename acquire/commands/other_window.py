"""Another window of the program in a process of its own, and why it did not open."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Sequence

from acquire.window.borrowed import file_text
from acquire.window.language import tr


class OtherWindow:
    """A command of this program that shows a window.

    Its life is its own: the window that started it may close.

    Parameters
    ----------
    arguments
        Of the command line, without the program's name.
    """

    def __init__(self, arguments: Sequence[str]) -> None:
        # A file, not a pipe: nobody reads on when the first window has gone.
        self._said = tempfile.TemporaryFile()  # noqa: SIM115 - as long as the process says something
        self._process = subprocess.Popen(
            [sys.executable, "-m", "acquire.commands.main", *arguments],
            stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=self._said, start_new_session=True,
        )  # fmt: skip

    def trouble(self) -> str | None:
        """None while it is open; then why it ended, empty where it ended well."""
        status = self._process.poll()
        if status is None:
            return None
        self._said.seek(0)
        lines = self._said.read().decode("utf-8", "replace").strip().splitlines()
        self._said.close()
        if status == 0:
            return ""
        if lines:
            return file_text(lines[-1].removeprefix("satline: "))
        return tr("The window ended with status {0}; start it in a terminal, which says more.").format(status)
