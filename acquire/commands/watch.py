"""Shows a live run in the terminal until it is done, and closes it."""

from __future__ import annotations

from collections.abc import Callable

from rich.console import Console
from rich.live import Live

from acquire.clocks import wait
from acquire.commands.live import entry_text, live_view
from acquire.live import LiveRun

REFRESH = 0.25  # [s] a person reads no faster


def watch(live: LiveRun, keys: Callable[[LiveRun], None] | None = None) -> str:
    """Start the run, show it until it is done, finish it.  Returns what was wrong with the file, or nothing.

    Parameters
    ----------
    keys
        Called at every refresh to take what was typed.
    """
    console = Console()
    live.start()
    try:
        if console.is_terminal:
            with Live(console=console, auto_refresh=False, transient=False) as screen:
                while live.running:
                    if keys is not None:
                        keys(live)
                    screen.update(live_view(live.session.snapshot()), refresh=True)
                    wait(REFRESH)
                screen.update(live_view(live.session.snapshot()), refresh=True)
        else:
            _plain(live, console, keys)
    finally:
        trouble = live.finish()
    return trouble


def _plain(live: LiveRun, console: Console, keys: Callable[[LiveRun], None] | None) -> None:
    """Journal entries as plain lines, for logs and pipes."""
    shown = 0
    while True:
        running = live.running
        if keys is not None:
            keys(live)
        journal = live.session.run.journal
        for entry in journal.since(shown):
            console.print(f"{entry.time / 60:6.1f} min  {entry_text(entry)}", highlight=False, markup=False)
        shown = len(journal)
        if not running:
            return
        wait(REFRESH)
