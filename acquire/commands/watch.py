"""Shows a live run in the terminal until it is done, and closes it."""

from __future__ import annotations

import contextlib
from collections.abc import Callable

from rich.console import Console
from rich.live import Live

from acquire.clocks import wait
from acquire.commands.live import entry_text, live_view
from acquire.recorder_messages import Finished
from acquire.recorder_setup import RecordedRun

REFRESH = 0.25  # [s] a person reads no faster


def watch(live: RecordedRun, keys: Callable[[RecordedRun], None] | None = None) -> Finished:
    """Start the run, show it until it is done, finish it.

    Parameters
    ----------
    keys
        Called at every refresh to take what was typed.
    """
    console = Console()
    live.start()
    try:
        # Ctrl+C is how a person without keys ends a run: it is closed like any other.
        with contextlib.suppress(KeyboardInterrupt):
            _show(live, console, keys)
    finally:
        finished = live.finish()
    return finished


def _show(live: RecordedRun, console: Console, keys: Callable[[RecordedRun], None] | None) -> None:
    if not console.is_terminal:
        _plain(live, console, keys)
        return
    with Live(console=console, auto_refresh=False, transient=False) as screen:
        while live.running:
            if keys is not None:
                keys(live)
            screen.update(live_view(live.snapshot()), refresh=True)
            wait(REFRESH)
        screen.update(live_view(live.snapshot()), refresh=True)


def _plain(live: RecordedRun, console: Console, keys: Callable[[RecordedRun], None] | None) -> None:
    """Journal entries as plain lines, for logs and pipes."""
    shown = 0
    while True:
        running = live.running
        if keys is not None:
            keys(live)
        journal = live.session.run.journal
        for entry in journal.since(shown):
            console.print(
                f"{entry.time / 60:6.1f} min  {entry_text(entry)}", highlight=False, markup=False, soft_wrap=True
            )
        shown = len(journal)
        if not running:
            return
        wait(REFRESH)
