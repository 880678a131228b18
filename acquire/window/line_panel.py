"""The result panel: saturation line, enthalpy with its interval, where the uncertainty comes from, findings."""

from __future__ import annotations

from PyQt5.QtCore import Qt
from PyQt5.QtWidgets import QFrame, QGridLayout, QLabel, QVBoxLayout, QWidget

from acquire.window.language import tr
from acquire.window.line_state import MAX_BUDGET, MAX_FINDINGS, LineState
from acquire.window.parts import Bar, FittedText, set_text, text_label
from acquire.window.themes import Theme


class LinePanel(QFrame):
    """Shows a `LineState`.  Decides nothing."""

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("role", "panel")
        self.title = text_label("panel heading")
        self.title.setText(tr("Saturation line"))
        self.place = QVBoxLayout()  # for the plot, which is loaded after the window is on screen
        self.heading = text_label("basis", "quiet")
        self.result = FittedText(29)
        self.basis = text_label("basis", "quiet", wrap=True)
        self.budget_heading = text_label("card heading")
        self.budget_heading.setText(tr("Where the ± comes from"))
        self.budget = QWidget()
        grid = QGridLayout(self.budget)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(2)
        grid.setColumnStretch(0, 3)
        grid.setColumnStretch(1, 1)
        self._rows: list[tuple[QLabel, Bar, QLabel]] = []
        for index in range(MAX_BUDGET):
            source, bar, share = text_label("row", "quiet", wrap=True), Bar(), text_label("row", "quiet")
            share.setAlignment(Qt.AlignRight | Qt.AlignVCenter)
            for column, widget in enumerate((source, bar, share)):
                grid.addWidget(widget, index, column)
            self._rows.append((source, bar, share))
        self.gain = text_label("basis", wrap=True)
        self.findings = [text_label("basis", wrap=True) for _ in range(MAX_FINDINGS)]
        layout = QVBoxLayout(self)
        layout.setContentsMargins(12, 10, 12, 10)
        layout.setSpacing(5)
        layout.addWidget(self.title)
        layout.addLayout(self.place, 1)
        layout.addWidget(self.heading)
        layout.addWidget(self.result)
        layout.addWidget(self.basis)
        layout.addSpacing(3)
        layout.addWidget(self.budget_heading)
        layout.addWidget(self.budget)
        layout.addWidget(self.gain)
        for label in self.findings:
            layout.addWidget(label)

    def set_look(self, theme: Theme, scale: float) -> None:
        self.result.set_look(theme.ink, scale)
        for _, bar, _ in self._rows:
            bar.set_colours(theme.ink, theme.bar_back)

    def show_state(self, state: LineState) -> None:
        """Show `state`.  The only way anything on this panel changes."""
        set_text(self.heading, state.heading)
        self.result.set_text(state.result)
        self.result.setVisible(bool(state.result))
        set_text(self.basis, state.basis)
        self.budget_heading.setVisible(bool(state.budget))
        self.budget.setVisible(bool(state.budget))
        for index, (source, bar, share) in enumerate(self._rows):
            shown = index < len(state.budget)
            for widget in (source, bar, share):
                widget.setVisible(shown)
            if shown:
                row = state.budget[index]
                set_text(source, row.source)
                source.setToolTip(row.source)
                bar.set_share(row.share)
                set_text(share, row.text)
        set_text(self.gain, state.gain)
        self.gain.setVisible(bool(state.gain))
        for index, label in enumerate(self.findings):
            shown = index < len(state.findings)
            label.setVisible(shown)
            if shown:
                finding = state.findings[index]
                set_text(label, f"{finding.sign} {finding.text}")
                label.setToolTip(finding.advice)
        if self.accessibleDescription() != state.description:
            self.setAccessibleName(tr("Result"))
            self.setAccessibleDescription(state.description)
