"""The bench window: asks a session for its snapshot, shows it, and hands acts on."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PyQt5.QtCore import QTimer, QUrl, pyqtSignal
from PyQt5.QtGui import QCloseEvent, QDesktopServices, QResizeEvent, QShowEvent
from PyQt5.QtWidgets import QAbstractButton, QApplication, QMainWindow

from acquire import acts
from acquire.acts import Act
from acquire.window.acts_state import act_for, acts_state, window_act
from acquire.window.bench_keys import SWITCHES, build_keys
from acquire.window.bench_layout import BenchLayout
from acquire.window.bench_switches import Switches
from acquire.window.big_numbers import BigNumbersWindow
from acquire.window.cards_state import cards_state
from acquire.window.cautions_state import caution_cards
from acquire.window.first_paint import after_first_paint
from acquire.window.language import tr
from acquire.window.line_state import line_state
from acquire.window.looks import Look, automatic_scale, bench_scale, digit_pixels, touch_pixels
from acquire.window.news_state import news
from acquire.window.procedure_state import cautions_for, procedure_state, rows_for
from acquire.window.readouts_state import readout_states
from acquire.window.rehearsal_bar import RehearsalBar, rehearsal_bar
from acquire.window.run_link import Recorder, RunLink
from acquire.window.sound import SoundBox
from acquire.window.sound_state import CueMemory
from acquire.window.start_state import Finished
from acquire.window.status_state import status_state
from acquire.window.strips_state import EntryShelf, strips_state
from acquire.window.style_sheet import px, style_sheet

if TYPE_CHECKING:
    from acquire.report.debrief_content import DebriefContent
    from acquire.snapshot import Snapshot
    from acquire.window.debrief_window import DebriefWindow
    from acquire.window.line_plot import LinePlot
    from acquire.window.strips import StripsPanel

LEAST_PLOT = 100  # [px] below that a line is a stroke
FRAME_MS = 33  # [ms] thirty pictures a second: a reading is seen within two of them
SLOW_EVERY = 3  # frames between two looks at everything but readouts and strips
ARMED_FOR = 5.0  # [s] within which a second press ends a run early
ENDING = (acts.VENTED, acts.FINISH)
CHANNELS = ("temperature", "pressure")


class BenchWindow(QMainWindow):
    """One run on the screen.

    Parameters
    ----------
    now
        Real seconds, for what concerns the person and not the run (sounds, second presses).
    finish
        Closes run, devices and file and writes the report; called once, on a thread of its own.
    open_url
        Opens an address for the person; the desktop's own way where not given.

    Signals
    -------
    left
        The window was closed and so is the run; carries the `Finished`.
    """

    left = pyqtSignal(object)

    def __init__(
        self,
        session: Recorder | None,
        *,
        now: Callable[[], float],
        look: Look | None = None,
        sound: SoundBox | None = None,
        finish: Callable[[], Finished] | None = None,
        open_url: Callable[[QUrl], object] = QDesktopServices.openUrl,
    ) -> None:
        super().__init__()
        self.setWindowTitle("satline")
        self._now, self._open_url = now, open_url
        self.link: RunLink | None = None
        self.rehearsal: RehearsalBar | None = None
        self.debrief: DebriefWindow | None = None
        self._told_end = False
        self.look = look or Look()
        self.sound = sound or SoundBox()
        self.panels = BenchLayout()
        self.setCentralWidget(self.panels)
        self.big = BigNumbersWindow(self.look)
        self.snapshot: Snapshot | None = None
        self.selected: int | None = None
        self._before: Snapshot | None = None  # what was shown in full last
        self.strips: StripsPanel | None = None
        self.line_plot: LinePlot | None = None
        self._shelf, self._cues = EntryShelf(), CueMemory()
        self._armed: tuple[str, float] | None = None
        self._frame = 0
        self._scale = 0.0
        self._done = False
        self._switches = Switches(self)
        self.keys = build_keys(self, self.do, self.answer, self._switches.switch, self._switches.text_size)
        self._connect()
        self.resize(1280, 800)
        after_first_paint(self.panels, self.load_plots)
        self._timer = QTimer(self)
        self._timer.setInterval(FRAME_MS)
        self._timer.timeout.connect(self.refresh)
        if session is not None:
            self.attach(session, finish or Finished)

    def _connect(self) -> None:
        panels = self.panels
        panels.acts.act_clicked.connect(self.do)
        panels.cards.take_clicked.connect(lambda: self.do(acts.TAKE))
        panels.cards.point_chosen.connect(self.choose)
        panels.procedure.amount_entered.connect(self.answer)
        panels.message.note_written.connect(lambda text: self.do(acts.NOTE, text=text))
        panels.message.leave_confirmed.connect(self._leave_now)
        panels.status.sound_toggled.connect(self._sound_toggled)
        panels.status.set_sound(self.sound.on)

    # Life

    def attach(
        self, session: Recorder, finish: Callable[[], Finished], rejoin: Callable[[], Recorder] | None = None
    ) -> None:
        """Show this session from now on: the window may be on screen before there is one."""
        self.link = RunLink(session, finish, rejoin, self._now)
        self.rehearsal = rehearsal_bar(self)

    def start(self) -> None:
        """Follow the session at the frame rate."""
        self._timer.start()

    def load_plots(self) -> None:
        """Bring in the drawing library; after the first paint, since it takes longer than all the rest."""
        if self.strips is not None:
            return
        from acquire.window.line_plot import LinePlot
        from acquire.window.strips import StripsPanel

        self.strips, self.line_plot = StripsPanel(), LinePlot()
        self.panels.strips_place.addWidget(self.strips)
        self.panels.line.place.addWidget(self.line_plot)
        self.line_plot.setMinimumHeight(LEAST_PLOT)
        self.strips.point_chosen.connect(self.choose)
        self.strips.window_moved.connect(self._window_moved)
        self._apply_look(again=True)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._apply_look()
        self.panels.setFocus()

    # Showing

    def refresh(self) -> None:
        """Ask for the newest snapshot and readings, and show them."""
        snapshot = self.link.snapshot() if self.link is not None else None
        if self.link is None or snapshot is None:
            return
        self.snapshot = snapshot
        for readout, state in zip(
            (self.panels.temperature, self.panels.pressure), readout_states(snapshot), strict=True
        ):
            readout.show_state(state)
        if self.strips is not None:
            for channel in CHANNELS:
                if (new := self.link.readings(channel)) is not None:
                    self.strips.add(channel, *new)
            marks = self._shelf.see(self.link.entries(snapshot.journal_tail))
            self.strips.show_state(strips_state(snapshot, marks), self.selected)
        if self._frame % SLOW_EVERY == 0:
            self._show_slow(snapshot)
        self._frame += 1

    def show_all(self) -> None:
        """Show everything at once, after an act or for a picture."""
        self._frame = 0
        self.refresh()

    def _show_slow(self, snapshot: Snapshot) -> None:
        panels = self.panels
        rows = rows_for(panels.procedure.height(), self._scale)
        panels.procedure.show_state(procedure_state(snapshot, rows))
        panels.cautions.show_state(caution_cards(snapshot), cautions_for(rows))
        panels.procedure.fit_act()
        panels.cards.show_state(cards_state(snapshot, self.selected))
        line = line_state(snapshot)
        panels.line.show_state(line)
        if self.line_plot is not None:
            self.line_plot.show_points(line.points, line.curve)
        if snapshot.stage == "closed":
            self._show_end()
        state = acts_state(snapshot, self.selected, report=bool(self.finished and self.finished.report))
        panels.acts.show_state(state)
        self.keys.show_state(state)
        panels.status.show_state(status_state(snapshot))
        if self.rehearsal is not None:
            self.rehearsal.show_snapshot(snapshot)
        if self.big.isVisible():
            self.big.show_snapshot(snapshot)
        told, self._before = news(self._before, snapshot), snapshot
        if told:
            self.say(told)
        cue = self._cues.cue(snapshot, self._now(), told)
        if cue is not None:
            self.sound.play(cue)
        title = f"{tr(snapshot.title)} – satline"
        if self.windowTitle() != title:
            self.setWindowTitle(title)

    # Acts

    def answer(self) -> None:
        """Enter: keep the note, press the button that has the keyboard, or say "done" to the next practical act."""
        focused = QApplication.focusWidget()
        if self.panels.message.noting:
            self.panels.message.keep_note()
        elif isinstance(focused, QAbstractButton) and self.isAncestorOf(focused):
            focused.click()
        elif self.snapshot is not None:
            state = acts_state(self.snapshot, self.selected)
            if state.answer is not None:
                self.do(state.answer, answering=True)
            else:
                self.say(tr("Nothing is asked for now: {0}").format(procedure_state(self.snapshot).next_act.text))
        if not self.panels.message.noting:
            self.panels.setFocus()

    def do(self, name: str, *, text: str = "", answering: bool = False) -> None:
        """Ask the session for an act; a refusal is said, not thrown."""
        if name in SWITCHES:
            self._switches.switch(name)
            return
        if self.snapshot is None:
            return
        if name == acts.NOTE and not text:
            self.panels.message.open_note()
            return
        asked = answering or acts_state(self.snapshot, self.selected).answer == name
        if name in ENDING and not asked and not self._twice(name):
            return
        point = self.selected if name in (acts.SET_ASIDE, acts.RESTORE) else None
        water = name in (acts.WARMED, acts.COOLED)
        amount = self.panels.procedure.next_act.amount() if water else None
        if self._send(act_for(name, self.snapshot, selected=point, amount=amount, text=text)):
            self.panels.procedure.next_act.settled()
            self.panels.setFocus()

    def _twice(self, name: str) -> bool:
        """Whether this is the second press within `ARMED_FOR`: ending a run early takes two."""
        armed, self._armed = self._armed, (name, self._now())
        if armed is not None and armed[0] == name and self._now() - armed[1] <= ARMED_FOR:
            self._armed = None
            return True
        self.say(tr("This ends the run now, before all planned points are taken. Press again to end it."))
        return False

    def _send(self, act: Act) -> bool:
        if self.link is None:
            return False
        refused = self.link.act(act)
        if refused:
            self.say(refused)
            return False
        self.show_all()
        return True

    def _window_moved(self, number: int, start: float, end: float) -> None:
        self._send(window_act(number, start, end))

    def choose(self, number: int) -> None:
        """Look at this point; 0 for none."""
        self.selected = number or None
        if self.snapshot is not None:
            self.show_all()

    def say(self, text: str) -> None:
        """Tell the person something without taking the keyboard."""
        self.panels.message.say(text)

    # Looks

    def set_look(self, look: Look) -> None:
        self.look = look
        self._apply_look(again=True)
        self.big.set_look(look)

    def _apply_look(self, *, again: bool = False) -> None:
        scale = bench_scale(self.width(), self.height(), self.look.text)
        screen = self.screen() if hasattr(self, "screen") else QApplication.primaryScreen()
        dpi = screen.physicalDotsPerInch() if screen is not None else 0.0
        height = self.height()
        larger = scale / automatic_scale(self.width(), height)
        self.panels.set_sizes(scale, digit_pixels(dpi, height, larger), touch_pixels(dpi, height))
        if scale == self._scale and not again:
            return
        self._scale = scale
        theme = self.look.theme
        self.setStyleSheet(style_sheet(theme, scale))
        self.panels.temperature.set_look(theme, scale)
        self.panels.pressure.set_look(theme, scale)
        self.panels.line.set_look(theme, scale)
        if self.strips is not None and self.line_plot is not None:
            self.strips.set_look(theme, px(14, scale))
            self.line_plot.set_look(theme, px(12.5, scale))

    def _sound_toggled(self, on: bool) -> None:
        self.sound.on = on

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._apply_look()

    # Leaving

    @property
    def finished(self) -> Finished | None:
        """What the closed run left behind; None while it is not closed."""
        return self.link.closing.result if self.link is not None else None

    def _show_end(self) -> None:
        """Close the file as soon as the run is closed, and say what came of it."""
        assert self.link is not None
        if not self.link.closing.started:
            self.say(tr("The file is being closed and the report is being written. That takes a moment."))
        self.link.closing.start()
        finished = self.finished
        if finished is None or self._told_end:
            return
        self._told_end = True
        if finished.trouble:
            self.say(finished.trouble)
        elif finished.debrief is not None:
            self._show_debrief(finished.debrief)
        elif finished.report:
            self.say(tr("Run file and report are written. Ctrl+R opens the report."))

    def _show_debrief(self, content: DebriefContent) -> None:
        from acquire.window.debrief_window import DebriefWindow

        self.debrief = DebriefWindow(content, self.look, self.open_report, self.close)
        self.debrief.resize(self.size())
        self.debrief.show()
        self.debrief.activateWindow()
        self.say(tr("The rehearsal is over and its debrief is open. Ctrl+R opens the page to keep."))

    def finish_now(self) -> Finished:
        """Close run and file and wait for it."""
        self._done = True
        self._timer.stop()
        return self.link.closing.wait() if self.link is not None else Finished()

    def open_report(self) -> None:
        """Show the report the way the desktop shows pages."""
        if self.finished is not None and self.finished.report:
            self._open_url(QUrl.fromLocalFile(self.finished.report))
        else:
            self.say(tr("There is no report yet: it is written when the run is closed."))

    @property
    def recording(self) -> bool:
        return self.snapshot is not None and self.snapshot.stage != "closed" and not self._done

    def closeEvent(self, event: QCloseEvent) -> None:
        """Ask once while recording; the file is closed in every case."""
        if self.recording and not self.panels.message.asking:
            event.ignore()
            self.panels.message.clear()
            self.panels.message.ask_to_leave(
                tr("The run is still being recorded. Leaving closes its file with everything up to now.")
            )
            return
        self._end()
        event.accept()

    def _leave_now(self) -> None:
        self._end()
        self.close()

    def _end(self) -> None:
        if self._done:
            return
        self.sound.stop()
        self.big.close()
        self.left.emit(self.finish_now())
