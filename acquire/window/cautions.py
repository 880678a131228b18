"""The cautions in force, black on yellow; they block nothing and take no focus."""

from __future__ import annotations

from PyQt5.QtCore import Qt
from PyQt5.QtWidgets import QFrame, QHBoxLayout, QVBoxLayout, QWidget

from acquire.window.cautions_state import CautionCard
from acquire.window.language import counted
from acquire.window.parts import restyle, set_text, text_label

MAX_SHOWN = 2  # more at once would push the procedure off the panel; the gravest come first, in full


class CautionWidget(QFrame):
    def __init__(self) -> None:
        super().__init__()
        self.setProperty("role", "caution")
        self.sign = text_label("caution heading")
        self.sign.setAlignment(Qt.AlignTop)
        self.heading = text_label("caution heading", wrap=True)
        self.text = text_label("caution text", wrap=True)
        words = QVBoxLayout()
        words.setSpacing(2)
        words.addWidget(self.heading)
        words.addWidget(self.text)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(10, 7, 10, 8)
        layout.setSpacing(8)
        layout.addWidget(self.sign)
        layout.addLayout(words, 1)

    def show_state(self, card: CautionCard, *, in_full: bool = True) -> None:
        set_text(self.sign, card.sign)
        set_text(self.heading, card.heading)
        set_text(self.text, card.text)
        self.text.setVisible(in_full)
        restyle(self, role=card.severity if card.severity == "warning" else "caution")
        self.setAccessibleName(f"{card.heading}. {card.text}")


class CautionsPanel(QWidget):
    """Shows caution cards.  Decides nothing."""

    def __init__(self) -> None:
        super().__init__()
        self._widgets = [CautionWidget() for _ in range(MAX_SHOWN)]
        self.more = text_label("row", "quiet")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(6)
        for widget in self._widgets:
            layout.addWidget(widget)
            widget.hide()
        layout.addWidget(self.more)
        self.more.hide()

    def show_state(self, cards: tuple[CautionCard, ...], most: int = MAX_SHOWN) -> None:
        """Show `cards`, at most so many, and count the others.  The only way anything on this panel changes."""
        for index, widget in enumerate(self._widgets):
            shown = index < min(len(cards), most)
            widget.setVisible(shown)
            if shown:
                widget.show_state(cards[index], in_full=index == 0)
        hidden = len(cards) - min(most, MAX_SHOWN)
        self.more.setVisible(hidden > 0)
        if hidden > 0:
            set_text(self.more, counted("and {0} more", "and {0} more", hidden))
