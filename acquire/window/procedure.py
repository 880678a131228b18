"""The procedure panel: steps, and the next practical act in large letters."""

from __future__ import annotations

from PyQt5.QtCore import QRect, Qt, pyqtSignal
from PyQt5.QtWidgets import QDoubleSpinBox, QFrame, QGridLayout, QHBoxLayout, QLabel, QLayout, QVBoxLayout, QWidget

from acquire.window.language import tr
from acquire.window.next_act import NextAct
from acquire.window.parts import framed, restyle, set_text, text_label
from acquire.window.procedure_state import ProcedureState, StepRow
from acquire.window.spin import AmountBox

#: Roles of the text of the next act, the smallest letters first.
ROOMY = 0.88  # share of the panel that may be used up where its letters are large; heights are estimates until shown
ACT_SIZES = ("act text", "act text large", "act text largest")


class NextActBox(QFrame):
    """The next practical act, with the amount of water to confirm where there is one."""

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("role", "act")
        self.heading = text_label("act heading", "quiet")
        self.text = text_label("act text", wrap=True)
        self.detail = text_label("act detail", wrap=True)
        self.volume = AmountBox(" mL", 0.0, 5000.0, tr("Water poured in, millilitres"))
        self.warmth = AmountBox(" °C", -20.0, 100.0, tr("Temperature of that water, degrees Celsius"))
        self.amount_row = QWidget()
        row = QHBoxLayout(self.amount_row)
        row.setContentsMargins(0, 4, 0, 0)
        row.setSpacing(6)
        row.addWidget(self.volume, 1)
        row.addWidget(self.warmth, 1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(12, 8, 12, 10)
        layout.setSpacing(3)
        for widget in (self.heading, self.text, self.detail, self.amount_row):
            layout.addWidget(widget)
        self._suggested: tuple[float, float] | None = None

    def lines(self) -> int:
        """Lines of the text at its present size."""
        metrics = self.text.fontMetrics()
        whole = QRect(0, 0, max(self.text.width(), 1), 10_000)
        return round(metrics.boundingRect(whole, Qt.TextWordWrap, self.text.text()).height() / metrics.lineSpacing())

    def words_fit(self) -> bool:
        """Whether no word of the text is broken at its present size."""
        metrics = self.text.fontMetrics()
        return all(metrics.horizontalAdvance(word) <= self.text.width() for word in self.text.text().split())

    def show_state(self, state: NextAct) -> None:
        set_text(self.heading, state.heading)
        set_text(self.text, state.text)
        set_text(self.detail, state.detail)
        self.detail.setVisible(bool(state.detail))
        self.amount_row.setVisible(state.amount is not None)
        # What somebody is typing is not overwritten; the suggestion moves a little with every reading.
        if state.amount is not None and state.amount != self._suggested and not self.typing:
            self.volume.setValue(state.amount[0])
            self.warmth.setValue(state.amount[1])
        self._suggested = state.amount

    @property
    def typing(self) -> bool:
        return any(isinstance(box, QDoubleSpinBox) and box.touched for box in (self.volume, self.warmth))

    def amount(self) -> tuple[float, float] | None:
        """Millilitres and °C as they stand in the fields; None where none is asked for."""
        return None if self._suggested is None else (self.volume.value(), self.warmth.value())

    def settled(self) -> None:
        """The amount was used: the next suggestion may be shown."""
        self.volume.touched = self.warmth.touched = False


class ProcedurePanel(QFrame):
    """Shows a `ProcedureState`.  Decides nothing.

    Signals
    -------
    amount_entered
        The person pressed Enter in a field of the amount: the water is in.
    """

    amount_entered = pyqtSignal()

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("role", "panel")
        self.title = text_label("title", wrap=True)
        self.facts = text_label("facts", "quiet", wrap=True)
        self.steps = QWidget()
        self._grid = QGridLayout(self.steps)
        self._grid.setContentsMargins(0, 4, 0, 4)
        self._grid.setHorizontalSpacing(8)
        self._grid.setVerticalSpacing(5)
        self._grid.setColumnStretch(1, 1)
        self._labels: list[tuple[QLabel, QLabel]] = []
        self.next_act = NextActBox()
        self.cautions = framed("bare")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 12, 14, 12)
        layout.setSpacing(6)
        layout.addWidget(self.title)
        layout.addWidget(self.facts)
        layout.addWidget(self.steps)
        layout.addWidget(self.next_act)
        layout.addStretch(1)
        self.below = QVBoxLayout()
        layout.addLayout(self.below)
        self.next_act.volume.entered.connect(self.amount_entered)
        self.next_act.warmth.entered.connect(self.amount_entered)
        self._fitted: tuple[object, ...] | None = None

    def show_state(self, state: ProcedureState) -> None:
        """Show `state`.  The only way anything on this panel changes."""
        set_text(self.title, state.title)
        set_text(self.facts, state.facts)
        self._show_rows(state.rows)
        self.next_act.show_state(state.next_act)
        if self.accessibleDescription() != state.description:
            self.setAccessibleName(tr("Procedure"))
            self.setAccessibleDescription(state.description)

    def fit_act(self) -> None:
        """Give the next act the largest letters that the panel has room for; after everything else is shown."""
        act, layout = self.next_act, self.layout()
        shown = (
            act.text.text(),
            act.detail.text(),
            act.amount_row.isVisible(),
            [text.text() for _, text in self._labels],
        )
        key = (*shown, self.size(), self.below.totalHeightForWidth(self.width()), act.detail.font().pixelSize())
        if key == self._fitted:
            return
        self._fitted = key
        lines = None
        for role in ACT_SIZES:
            restyle(act.text, role=role)
            for inner in (layout, *self.findChildren(QLayout)):
                inner.invalidate()  # each remembers the heights that its labels had
            lines = lines or act.lines()
            too_much = act.lines() > lines or layout.totalHeightForWidth(self.width()) > ROOMY * self.height()
            if too_much or not act.words_fit():
                restyle(act.text, role=ACT_SIZES[max(ACT_SIZES.index(role) - 1, 0)])
                break
        # Large letters never keep a window from becoming smaller; the usual ones are never cut.
        act.text.setMinimumSize(*((0, 0) if act.text.property("role") == ACT_SIZES[0] else (1, 1)))
        layout.invalidate()

    def _show_rows(self, rows: tuple[StepRow, ...]) -> None:
        while len(self._labels) < len(rows):
            sign, text = text_label("step"), text_label("step", wrap=True)
            sign.setAlignment(Qt.AlignTop | Qt.AlignHCenter)
            sign.setMinimumWidth(18)
            self._grid.addWidget(sign, len(self._labels), 0)
            self._grid.addWidget(text, len(self._labels), 1)
            self._labels.append((sign, text))
        for index, (sign, text) in enumerate(self._labels):
            shown = index < len(rows)
            sign.setVisible(shown)
            text.setVisible(shown)
            if shown:
                row = rows[index]
                set_text(sign, row.sign)
                set_text(text, row.text)
                role = "step current" if row.state == "current" else "step"
                tone = {"current": "", "done": "quiet"}.get(row.state, "faint")
                restyle(sign, role=role, tone=tone)
                restyle(text, role=role, tone=tone)
