"""Whether a window can be shown here at all, asked before Qt would end the program in its own way."""

from __future__ import annotations

import os
import platform
import sys


def has_display() -> bool:
    """Whether there is a screen for a window."""
    if sys.platform in ("win32", "darwin") or os.environ.get("QT_QPA_PLATFORM"):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def window_trouble(instead: str = "use `satline log` in the terminal") -> str:
    """Why no window can be shown, as a sentence with the way out; empty where one can.

    Parameters
    ----------
    instead
        What does the same without a window.
    """
    if not has_display():
        return f"there is no display for a window here; {instead}, or log in with a desktop (over ssh: ssh -X)"
    try:
        import PyQt5.QtWidgets  # noqa: F401
    except ImportError as error:
        return (
            f"the window needs PyQt5, which this Python ({platform.python_version()} on {platform.machine()}) cannot "
            f"load ({error}); {instead}, or install PyQt5"
        )
    return ""
