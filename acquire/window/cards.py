"""The row of point cards, with the card of the plateau that is forming or offered at its end."""

from __future__ import annotations

from PyQt5.QtCore import Qt, QTimer, pyqtSignal
from PyQt5.QtGui import QFocusEvent, QMouseEvent, QResizeEvent
from PyQt5.QtWidgets import QFrame, QHBoxLayout, QPushButton, QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from acquire.window.cards_state import CardsState, FormingCard, PointCard
from acquire.window.language import tr
from acquire.window.parts import on_paper, restyle, set_text, text_label


class PointCardWidget(QFrame):
    """One point.

    Signals
    -------
    chosen
        The person wants to look at this point (its number).
    """

    chosen = pyqtSignal(int)

    def __init__(self) -> None:
        super().__init__()
        self.number = 0
        self.setProperty("role", "card")
        self.setFocusPolicy(Qt.TabFocus)
        self.setCursor(Qt.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Preferred, QSizePolicy.Expanding)
        self.heading = text_label("card heading")
        self.tag = text_label("card tag", "quiet")
        self.temperature = text_label("card value", "temperature")
        self.pressure = text_label("card value", "pressure")
        self.vapour = text_label("card small", "quiet")
        self.vapour.setTextFormat(Qt.RichText)
        self.note = text_label("card small", "quiet")
        top = QHBoxLayout()
        top.setSpacing(8)
        top.addWidget(self.heading)
        top.addStretch(1)
        top.addWidget(self.tag)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(9, 7, 9, 7)
        layout.setSpacing(1)
        layout.addLayout(top)
        for label in (self.temperature, self.pressure, self.vapour, self.note):
            layout.addWidget(label)
        layout.addStretch(1)

    def show_state(self, state: PointCard) -> None:
        self.number = state.number
        set_text(self.heading, ("" if state.used else "✕ ") + state.heading)
        set_text(self.tag, state.tag)
        set_text(self.temperature, state.temperature)
        set_text(self.pressure, state.pressure)
        set_text(self.vapour, f"<i>p</i><sub>{tr('vap')}</sub> {state.vapour}" if state.vapour else "")
        self.vapour.setVisible(bool(state.vapour))
        set_text(self.note, state.note)
        self.note.setVisible(bool(state.note))
        restyle(self, role="card selected" if state.selected else "card" if state.used else "card aside")
        self.setAccessibleName(state.description)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.chosen.emit(self.number)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        if event.reason() in (Qt.TabFocusReason, Qt.BacktabFocusReason):
            self.chosen.emit(self.number)


class FormingCardWidget(QFrame):
    """The plateau that forms or is offered, with its key.

    Signals
    -------
    take_clicked
    """

    take_clicked = pyqtSignal()

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("role", "card forming")
        self.setSizePolicy(QSizePolicy.Expanding, QSizePolicy.Expanding)
        self.heading = text_label("card heading")
        self.lines = text_label("card value")
        self.text = text_label("card small", wrap=True)
        self.text.setMinimumWidth(165)  # [px] else a sentence would stand on ten lines
        self.button = QPushButton()
        self.button.setProperty("role", "small")
        self.button.setFocusPolicy(Qt.TabFocus)
        self.button.clicked.connect(self.take_clicked)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(12, 7, 12, 8)
        layout.setSpacing(2)
        layout.addWidget(self.heading)
        layout.addWidget(self.lines)
        layout.addWidget(self.text)
        layout.addStretch(1)
        layout.addWidget(self.button)

    def show_state(self, state: FormingCard) -> None:
        set_text(self.heading, state.heading)
        set_text(self.lines, " · ".join(state.lines))
        self.lines.setVisible(bool(state.lines))
        set_text(self.text, state.text)
        set_text_of = f"{state.take_label}  ␣"
        if self.button.text() != set_text_of:
            self.button.setText(set_text_of)
            self.button.setAccessibleName(state.take_label)
        self.button.setEnabled(state.can_take)
        restyle(self, role="card offered" if state.offered else "card forming")
        restyle(self.button, due="true" if state.offered else "false")


SPACING, LEAST_SPACING = 8, 3  # [px] between cards; closer where a few pixels would push the first one out of sight


class CardsRow(QScrollArea):
    """Shows a `CardsState`.  Decides nothing.

    Signals
    -------
    point_chosen
        Number of the point the person wants to look at.
    take_clicked
    """

    point_chosen = pyqtSignal(int)
    take_clicked = pyqtSignal()

    def __init__(self) -> None:
        super().__init__()
        self.setWidgetResizable(True)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.NoFocus)
        inside = QWidget()
        self._row = QHBoxLayout(inside)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.setSpacing(SPACING)
        self._cards: list[PointCardWidget] = []
        self.forming = FormingCardWidget()
        self.forming.take_clicked.connect(self.take_clicked)
        self._row.addWidget(self.forming)
        self._row.addStretch(1)
        self.setWidget(inside)
        self._state: CardsState | None = None
        # The layout has its new width only some events after a card came; each time what matters is brought to sight.
        self.horizontalScrollBar().rangeChanged.connect(self._to_sight)
        self.horizontalScrollBar().valueChanged.connect(self._show_whole)
        self._curtain = QWidget(self.viewport())
        on_paper(self._curtain)
        self._curtain.hide()

    @property
    def cards(self) -> list[PointCardWidget]:
        return [card for card in self._cards if not card.isHidden()]

    def show_state(self, state: CardsState) -> None:
        """Show `state`.  The only way anything on this panel changes."""
        if state == self._state:
            return
        before, self._state = self._state, state
        self._row.setSpacing(SPACING)
        while len(self._cards) < len(state.points):
            card = PointCardWidget()
            card.chosen.connect(self.point_chosen)
            self._row.insertWidget(len(self._cards), card)
            self._cards.append(card)
        for index, card in enumerate(self._cards):
            card.setVisible(index < len(state.points))
            if index < len(state.points):
                card.show_state(state.points[index])
        self.setVisible(bool(state.points) or state.forming is not None)
        self.forming.setVisible(state.forming is not None)
        if state.forming is not None:
            self.forming.show_state(state.forming)
        if _newest(state) != (_newest(before) if before else None):
            QTimer.singleShot(0, self._to_sight)

    def resizeEvent(self, event: QResizeEvent) -> None:
        if event.size().width() != event.oldSize().width():  # not where its bar comes or goes
            self._row.setSpacing(SPACING)
        super().resizeEvent(event)

    def _to_sight(self) -> None:
        """Show the offer, else the chosen point, else the newest card."""
        missing = self.horizontalScrollBar().maximum()
        if 0 < missing <= (SPACING - LEAST_SPACING) * (len(self.cards) - self.forming.isHidden()):
            self._row.setSpacing(LEAST_SPACING)
        state = self._state
        chosen = next((card for card in self.cards if card.property("role") == "card selected"), None)
        offered = state is not None and state.forming is not None and state.forming.offered
        if chosen is not None and not offered:
            self.ensureWidgetVisible(chosen)
        else:
            bar = self.horizontalScrollBar()
            bar.setValue(bar.maximum())
        self._show_whole()

    def _show_whole(self) -> None:
        """Cover the card that sticks out at the left: half a number is worse than none."""
        left = self.horizontalScrollBar().value()
        half = next((card for card in self.cards if card.x() < left < card.x() + card.width()), None)
        if half is not None:
            self._curtain.setGeometry(0, 0, half.x() + half.width() - left, self.viewport().height())
            self._curtain.raise_()
        self._curtain.setVisible(half is not None)


def _newest(state: CardsState) -> tuple[int, bool, int | None]:
    """What must be in sight: changes when there is another card, another offer or another choice."""
    chosen = next((point.number for point in state.points if point.selected), None)
    return len(state.points), state.forming is not None and state.forming.offered, chosen
