"""The acts of a reviewer: points judged with a reason, saved into the file, written out; all only append."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PyQt5.QtCore import QUrl

from acquire import acts
from acquire.report.errors import ReportError
from acquire.report.language import spoken
from acquire.review.editor import EditRefusedError, Review
from acquire.run import ActRefused
from acquire.runfile.errors import RunFileError
from acquire.window.acts_state import act_name
from acquire.window.borrowed import error_text, why_not_text
from acquire.window.language import current_language, tr
from acquire.window.reason_bar import ReasonBar
from acquire.window.review_services import ReviewServices
from acquire.window.review_work import ReviewWork
from acquire.window.strips import StripsPanel


class ReviewEdits:
    """The acting half of `ReviewWindow`, which has everything named here."""

    review: Review
    reason: ReasonBar
    strips: StripsPanel
    work: ReviewWork
    selected: int | None
    looked_at: float
    _services: ReviewServices
    _open_url: Callable[[QUrl], object]

    def show_run(self) -> None:
        """Show the run as it stands with the edits so far."""
        raise NotImplementedError

    def _do(self, name: str, **data: Any) -> None:
        if self._refused(lambda: self.review.edit(name, **data)):
            return
        self.show_run()

    def _refused(self, edit: Callable[[], None]) -> bool:
        """Make an edit, or say why it cannot be made."""
        try:
            with spoken(current_language().code):
                edit()
        except EditRefusedError as refused:
            self.reason.say(str(refused))
            return True
        except ActRefused as refused:
            self.reason.say(why_not_text(act_name(refused.act), refused.why, str(refused)))
            return True
        return False

    def set_aside(self) -> None:
        number = self.selected
        if number is not None:
            self.reason.ask(
                tr("Why is point {0} set aside?").format(number),
                lambda why: self._do(acts.SET_ASIDE, point=number, reason=why),
            )

    def restore(self) -> None:
        number = self.selected
        if number is not None:
            self.reason.ask(
                tr("Why is point {0} used again?").format(number),
                lambda why: self._do(acts.RESTORE, point=number, reason=why),
            )

    def split(self) -> None:
        number, at = self.selected, self.looked_at
        if number is not None:
            self.reason.ask(tr("Why is point {0} split?").format(number), lambda why: self._split(number, at, why))

    def _split(self, number: int, at: float, why: str) -> None:
        self._refused(lambda: self.review.split(number, at, why))
        self.show_run()

    def take(self) -> None:
        """Make a point of the stretch that the strips show."""
        start, end = (float(edge) for edge in self.strips.temperature.box.viewRange()[0])
        self.reason.ask(
            tr("Why is {0} s to {1} s taken as a point?").format(round(start), round(end)),
            lambda why: self._do(acts.TAKE, start=start, end=end, reason=why),
        )

    def _window_moved(self, number: int, start: float, end: float) -> None:
        self.reason.ask(
            tr("Why is the window of point {0} changed?").format(number),
            lambda why: self._do(acts.WINDOW, point=number, start=start, end=end, reason=why),
        )

    def save(self) -> None:
        """Append the edits to the file."""
        try:
            written = self.review.save(self._services.store)
        except (OSError, RunFileError) as error:
            self.reason.say(error_text(error))
            return
        self.work.check_file()
        self.reason.say(tr("{0} entries were appended to the file; what was there is unchanged.").format(written))
        self.show_run()

    def write_figures(self) -> None:
        """Write the figures as files of their own."""
        try:
            written = self._services.figures()
        except (ReportError, RunFileError) as error:
            self.reason.say(error_text(error))
            return
        self.reason.say(tr("{0} figures were written to {1}.").format(len(written), str(written[0].parent)))

    def open_report(self) -> None:
        try:
            report = self._services.report()
        except (ReportError, RunFileError) as error:
            self.reason.say(error_text(error))
            return
        self._open_url(QUrl.fromLocalFile(str(report.resolve())))
