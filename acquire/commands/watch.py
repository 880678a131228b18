"""Shows a live run in the terminal until it is done, and closes it."""

from __future__ import annotations

from collections.abc import Callable

from rich.console import Console
from rich.live import Live

from acquire.clocks import wait
from acquire.commands.live import entry_text, live_view
from acquire.commands.stopping import StopRequest, stop_request, without_terminal
from acquire.long_wait import LongWaitHint
from acquire.recorder_messages import Finished
from acquire.recorder_setup import RecordedRun

REFRESH = 0.25  # [s] a person reads no faster


def watch(live: RecordedRun, keys: Callable[[RecordedRun], None] | None = None) -> Finished:
    """Start the run, show it until it is done or was asked to end, finish it.

    Parameters
    ----------
    keys
        Called at every refresh to take what was typed.
    """
    console = Console()
    with stop_request() as asked:
        live.start()
        try:
            try:
                _show(live, console, keys, asked)
            except OSError:  # nobody is left to look on; the recording goes on
                without_terminal()
            while live.running and not asked:
                wait(REFRESH)
        finally:
            finished = live.finish()
    return finished


def _show(live: RecordedRun, console: Console, keys: Callable[[RecordedRun], None] | None, asked: StopRequest) -> None:
    if not console.is_terminal:
        _plain(live, console, keys, asked)
        return
    with Live(console=console, auto_refresh=False, transient=False) as screen:
        while live.running and not asked:
            if keys is not None:
                keys(live)
            screen.update(live_view(live.snapshot()), refresh=True)
            wait(REFRESH)
        screen.update(live_view(live.snapshot()), refresh=True)


def _plain(live: RecordedRun, console: Console, keys: Callable[[RecordedRun], None] | None, asked: StopRequest) -> None:
    """Journal entries and trouble with the file as plain lines, for logs and pipes."""
    shown, told = 0, ""
    hint = LongWaitHint()
    while True:
        running = live.running and not asked
        if keys is not None:
            keys(live)
        journal = live.session.run.journal
        for entry in journal.since(shown):
            console.print(
                f"{entry.time / 60:6.1f} min  {entry_text(entry)}", highlight=False, markup=False, soft_wrap=True
            )
        shown = len(journal)
        trouble = live.session.trouble
        if trouble and trouble != told:
            told = trouble
            console.print(f"trouble: {trouble}", highlight=False, markup=False, soft_wrap=True)
        if words := hint.new(live.snapshot()):
            console.print(f"hint: {words}", highlight=False, markup=False, soft_wrap=True)
        if not running:
            return
        wait(REFRESH)
