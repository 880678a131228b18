"""The result panel: saturation line, enthalpy with its interval, where the uncertainty comes from, findings."""

from __future__ import annotations

from PyQt5.QtCore import QEvent, QObject, QSize, Qt
from PyQt5.QtWidgets import QFrame, QGridLayout, QLabel, QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from acquire.window.language import tr
from acquire.window.line_state import MAX_BUDGET, MAX_FINDINGS, LineState
from acquire.window.parts import Bar, FittedText, set_text, text_label
from acquire.window.themes import Theme


class RoomyScroll(QScrollArea):
    """As high as what it holds where there is room, and scrolled where there is not: nothing is ever drawn over."""

    def __init__(self, widgets: tuple[QWidget, ...]) -> None:
        super().__init__()
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.NoFocus)
        self.setSizePolicy(QSizePolicy.Preferred, QSizePolicy.Maximum)
        inside = QWidget()
        self._inside = QVBoxLayout(inside)
        self._inside.setContentsMargins(0, 3, 4, 0)  # room between what is told and the bar that scrolls it
        self._inside.setSpacing(5)
        for widget in widgets:
            self._inside.addWidget(widget)
        self._inside.addStretch(1)
        self.setWidget(inside)
        inside.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.LayoutRequest:
            self.updateGeometry()
        return super().eventFilter(watched, event)

    def sizeHint(self) -> QSize:
        return QSize(100, self._inside.totalHeightForWidth(max(100, self.width())))

    def minimumSizeHint(self) -> QSize:
        return QSize(100, 60)


class LinePanel(QFrame):
    """Shows a `LineState`.  Decides nothing."""

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("role", "panel")
        self.title = text_label("panel heading")
        self.title.setText(tr("Saturation line"))
        # What the axes are stands level above the plot: turned by a quarter it is neither read nor fitted in.
        self.axes = text_label("basis", "quiet", wrap=True)
        self.axes.setText(tr("ln(p vapour / kPa) over 1000 K / T"))
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
        layout.addWidget(self.axes)
        layout.addLayout(self.place, 1)
        layout.addWidget(self.heading)
        layout.addWidget(self.result)
        layout.addWidget(self.basis)
        layout.addWidget(RoomyScroll((self.budget_heading, self.budget, self.gain, *self.findings)))

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
