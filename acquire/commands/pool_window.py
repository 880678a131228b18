"""What the page of many runs asks of this machine: pooling, the runs of a bench, a window on one run."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from acquire.commands.pool_run import RESULTS
from acquire.pool.campaign import Progress
from acquire.pool.job import PAGE, TABLE, PoolOrder, PoolStopped, left_out, pool, runs_of_bench
from acquire.pool.settings import PoolError, PoolSettings
from acquire.pool.workers import open_workers

if TYPE_CHECKING:
    from acquire.window.looks import Look
    from acquire.window.pool_state import PoolChoice, PoolFound, PoolServices


def pool_services(
    settings: PoolSettings, look: Look, *, out: Path | None = None, workers: int | None = None
) -> PoolServices:
    """Services with these settings.

    Parameters
    ----------
    out
        Where the results go; a folder within the one that is pooled where not given.
    workers
        Processes, as for `open_workers`.
    """
    from acquire.window.pool_state import PoolServices

    def work(choice: PoolChoice, note: Callable[[Progress], None], stopped: Callable[[], bool]) -> PoolFound:
        return _pooled(choice, settings, out or choice.folder / RESULTS, workers, note, stopped)

    def listed(table: Path, bench: str, most: int) -> Sequence[Any]:
        return runs_of_bench(table, bench, most)

    return PoolServices(work, listed, left_out, lambda path: _run_window(path, look))


def _pooled(choice, settings, out, count, note, stopped):
    from dataclasses import replace

    from acquire.commands.common import CommandError, make_folder
    from acquire.window.borrowed import error_text
    from acquire.window.language import current_language, tr
    from acquire.window.pool_state import PoolFound

    settings = replace(settings, from_traces=choice.from_traces)
    order = PoolOrder((str(choice.folder),), out, settings, choice.one_room, language=current_language().code)
    try:
        make_folder(out)
        workers = open_workers(count, None)
        try:
            result = pool(order, workers, note, stopped)
        finally:
            workers.close()
    except PoolStopped:
        return PoolFound(refused=tr("Stopped. What was read is known: pooling again goes on from there."))
    except (CommandError, PoolError) as error:
        return PoolFound(refused=error_text(error))
    return PoolFound(result.outcome, out / PAGE, out / TABLE)


def _run_window(path: str, look: Look):
    """The review window of one run file.

    Raises
    ------
    ValueError
        The file cannot be shown; with a sentence.
    """
    from acquire.commands.review import review_window
    from acquire.runfile.errors import RunFileError
    from acquire.window.borrowed import error_text, file_text

    if Path(path).suffix.lower() == ".csv":
        raise ValueError(file_text(f"{path} is a table of points; only run files hold traces to look at"))
    try:
        window = review_window(path, "reviewer", look)
    except (RunFileError, OSError) as error:
        raise ValueError(error_text(error)) from error
    window.show()
    return window


def show_pool_window(args, settings: PoolSettings) -> int:
    """`satline pool --window`: the page until it is closed."""
    from acquire.commands.bench import require_display
    from acquire.commands.common import CommandError

    if len(args.files) > 1 or (args.files and not Path(args.files[0]).is_dir()):
        raise CommandError("--window pools one folder; give a folder, or none to choose it in the window")
    require_display("leave --window out")
    from acquire.window.application import choose_language, make_application
    from acquire.window.pool_window import PoolWindow
    from acquire.window.preferences import load_preferences

    application = make_application(["satline"])
    preferences = load_preferences()
    choose_language(application, preferences.language)
    look = preferences.look
    out = Path(args.out) if args.out is not None else None
    window = PoolWindow(pool_services(settings, look, out=out, workers=args.workers), look)
    window.from_traces.setChecked(settings.from_traces)
    window.one_room.setChecked(args.one_room)
    window.showMaximized()
    if args.files:
        window.use_folder(Path(args.files[0]))
    return application.exec_()
