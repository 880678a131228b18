"""A small window for points measured elsewhere: typed or pasted, with their units, fitted as a table in a file is."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from PyQt5.QtCore import QEvent, QObject, Qt, QUrl
from PyQt5.QtGui import QDesktopServices, QGuiApplication, QKeyEvent, QKeySequence
from PyQt5.QtWidgets import (
    QComboBox,
    QFileDialog,
    QHBoxLayout,
    QLineEdit,
    QMainWindow,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from acquire.finding_words import finding_words
from acquire.own_liquids import known_liquids
from acquire.window.choices import Choice
from acquire.window.language import current_language, tr
from acquire.window.line_panel import RoomyScroll
from acquire.window.looks import Look
from acquire.window.parts import set_text, text_label
from acquire.window.points_entry_state import (
    AIR,
    BRANCHES,
    PRESSURES,
    SHOWN,
    TEMPERATURES,
    Entered,
    EntryError,
    air_text,
    liquid_name,
    pasted,
    table_text,
)
from acquire.window.review_state import result_words
from acquire.window.review_style import review_style

ROWS = 12


@dataclass(frozen=True)
class PointsServices:
    """What the window needs of the machine; all raise `EntryError` with a sentence.

    `fit` takes the table, the air as after --air, and the liquid, and gives the points and the document of the fit;
    `report` writes the page of those to a path; `save` writes the table.
    """

    fit: Callable[[str, str, str], tuple[Any, Mapping[str, Any]]]
    report: Callable[[Any, Mapping[str, Any], str], Path]
    save: Callable[[str, str], Path]


def box_of(words: Mapping[str, str], name: str) -> QComboBox:
    """Choices of which none is chosen yet."""
    box = Choice()
    for key, text in words.items():
        box.addItem(text, key)
    box.setCurrentIndex(-1)
    box.setPlaceholderText(tr("choose"))
    box.setAccessibleName(name)
    return box


class PointsWindow(QMainWindow):
    """Points, what is known of them, and what they give."""

    def __init__(
        self,
        services: PointsServices,
        look: Look | None = None,
        liquid: str = "",
        *,
        open_url: Callable[[QUrl], object] = QDesktopServices.openUrl,
    ) -> None:
        super().__init__()
        self._services, self._open_url = services, open_url
        self._fitted: tuple[Any, Mapping[str, Any]] | None = None
        self.setWindowTitle(tr("Points by hand – satline"))
        self.temperature_unit = box_of({u: SHOWN.get(u, u) for u in TEMPERATURES}, tr("unit of temperature"))
        self.pressure_unit = box_of({u: u for u in PRESSURES}, tr("unit of pressure"))
        names = {one.name: tr(one.name) for one in known_liquids()} | {"unknown": tr("unknown")}
        self.liquid = box_of(names, tr("liquid"))
        self.liquid.setCurrentIndex(self.liquid.findData(liquid))
        self.air = box_of({key: tr(words) for key, words in AIR.items()}, tr("trapped air"))
        self.baseline = (QLineEdit(), QLineEdit())
        for field, words in zip(self.baseline, (tr("temperature"), tr("pressure")), strict=True):
            field.setPlaceholderText(words)
            field.setAccessibleName(tr("sealed baseline: {0}").format(words))
            field.setMaximumWidth(130)
        self.table = QTableWidget(0, 5)
        self.table.setAccessibleName(tr("Points"))
        self.table.horizontalHeader().setHighlightSections(False)
        self.table.setColumnWidth(4, 190)
        self.table.verticalHeader().setDefaultSectionSize(38)
        self.table.installEventFilter(self)
        self.add_rows(ROWS)
        self.result, self.findings = text_label("card heading", wrap=True), text_label("basis", wrap=True)
        for label in (self.result, self.findings):
            label.setTextInteractionFlags(Qt.TextSelectableByMouse)
        self.buttons: dict[str, QPushButton] = {}
        for name, words, does in (
            ("fit", tr("Fit"), self.fit),
            ("report", tr("Report"), self.write_report),
            ("save", tr("Save the table"), self.save_table),
            ("paste", tr("Paste  Ctrl+V"), self.paste),
            ("rows", tr("More rows"), lambda: self.add_rows(ROWS)),
            ("clear", tr("Empty"), self.clear),
        ):
            button = QPushButton()
            button.setText(words)
            button.setProperty("role", "small")
            button.clicked.connect(lambda _checked=False, does=does: does())
            self.buttons[name] = button
        self._lay_out()
        for box in (self.temperature_unit, self.pressure_unit, self.air):
            box.currentIndexChanged.connect(self._changed)
        self.liquid.currentIndexChanged.connect(self._changed)
        self.table.itemChanged.connect(lambda _item: self._changed())
        for field in self.baseline:
            field.textChanged.connect(self._changed)
        self.setStyleSheet(review_style((look or Look()).theme, (look or Look()).text))
        self.resize(900, 760)
        self._changed()

    def _lay_out(self) -> None:
        page = QWidget()
        page.setProperty("role", "window")
        layout = QVBoxLayout(page)
        layout.setContentsMargins(14, 10, 14, 10)
        title, hint = text_label("title"), text_label("basis", "quiet", wrap=True)
        set_text(title, tr("Points by hand"))
        set_text(
            hint,
            tr(
                "Type or paste one point a row: temperature and total pressure, and their standard uncertainties where "
                "they are known. A decimal comma is as good as a point."
            ),
        )
        layout.addWidget(title)
        layout.addWidget(hint)
        for pairs in (
            ((tr("temperature in"), self.temperature_unit), (tr("pressure in"), self.pressure_unit)),
            ((tr("liquid"), self.liquid), (tr("trapped air"), self.air)),
        ):
            row = QHBoxLayout()
            for words, widget in pairs:
                label = text_label("basis")
                set_text(label, words)
                label.setBuddy(widget)
                row.addWidget(label)
                row.addWidget(widget, 1)
                row.addSpacing(12)
            layout.addLayout(row)
        row = QHBoxLayout()
        self.baseline_words = text_label("basis")
        set_text(self.baseline_words, tr("closed, dry cell before the charge:"))
        row.addWidget(self.baseline_words)
        for field in self.baseline:
            row.addWidget(field)
        row.addStretch(1)
        layout.addLayout(row)
        layout.addWidget(self.table, 1)
        row = QHBoxLayout()
        for button in self.buttons.values():
            row.addWidget(button)
        row.addStretch(1)
        layout.addLayout(row)
        said = RoomyScroll((self.result, self.findings))
        said.setMinimumHeight(180)
        layout.addWidget(said)
        self.setCentralWidget(page)

    def add_rows(self, n: int) -> None:
        """Room for more points."""
        for row in range(self.table.rowCount(), self.table.rowCount() + n):
            self.table.insertRow(row)
            branch = Choice()
            for key, words in BRANCHES.items():
                branch.addItem(tr(words), key)
            branch.setAccessibleName(tr("row {0}, taken while").format(row + 1))
            branch.currentIndexChanged.connect(lambda _index: self._changed())
            self.table.setCellWidget(row, 4, branch)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self.table and isinstance(event, QKeyEvent) and event.type() == QEvent.KeyPress:
            if event.matches(QKeySequence.Paste):
                self.paste()
                return True
            if event.key() in (Qt.Key_Delete, Qt.Key_Backspace):
                for item in self.table.selectedItems():
                    item.setText("")
                return True
        return super().eventFilter(watched, event)

    def paste(self) -> None:
        """Put a copied table in, from the current row on."""
        rows = pasted(QGuiApplication.clipboard().text())
        first = max(self.table.currentRow(), 0)
        if first + len(rows) > self.table.rowCount():
            self.add_rows(first + len(rows) - self.table.rowCount())
        for number, cells in enumerate(rows, first):
            for column, cell in enumerate(cells[:4]):
                self.table.setItem(number, column, QTableWidgetItem(cell))

    def clear(self) -> None:
        """Empty every cell; units and choices stay."""
        self.table.clearContents()
        self.table.setRowCount(0)
        self.add_rows(ROWS)
        self._changed()

    def entered(self) -> Entered:
        """What stands in the window."""
        rows = []
        for row in range(self.table.rowCount()):
            items = [self.table.item(row, column) for column in range(4)]
            branch = self.table.cellWidget(row, 4)
            assert isinstance(branch, QComboBox)
            rows.append((*(item.text() if item else "" for item in items), str(branch.currentData())))
        return Entered(
            tuple(rows),
            temperature_unit=str(self.temperature_unit.currentData() or ""),
            pressure_unit=str(self.pressure_unit.currentData() or ""),
            air=str(self.air.currentData() or ""),
            baseline=(self.baseline[0].text(), self.baseline[1].text()),
            liquid=str(self.liquid.currentData() or ""),
        )

    def _changed(self) -> None:
        """What was fitted is not what stands here any more."""
        self._fitted = None
        self.buttons["report"].setEnabled(False)
        set_text(self.result, "")
        set_text(self.findings, "")
        entered = self.entered()
        sealed = entered.air == "sealed"
        for widget in (self.baseline_words, *self.baseline):
            widget.setVisible(sealed)
        t, p = (SHOWN.get(u, u) or "?" for u in (entered.temperature_unit, entered.pressure_unit))
        u_t = {"°C": "K"}.get(t, t)
        self.table.setHorizontalHeaderLabels(
            [f"T / {t}", f"p / {p}", f"u(T) / {u_t}", f"u(p) / {p}", tr("taken while")]
        )

    def fit(self) -> None:
        """Fit the points, or say what is missing."""
        try:
            entered = self.entered()
            text = table_text(entered)
            points, document = self._services.fit(text, air_text(entered), liquid_name(entered))
        except EntryError as error:
            self._say(str(error))
            return
        self._fitted = points, document
        set_text(self.result, result_words(document))
        words = (finding_words(f, current_language().code) for f in document.get("findings") or ())
        set_text(self.findings, "\n".join(f"• {said.text} {said.advice}" for said in words))
        self.buttons["report"].setEnabled(True)

    def _say(self, text: str) -> None:
        set_text(self.result, "")
        set_text(self.findings, text)

    def write_report(self) -> None:
        """Write the page of the fit and open it."""
        path, _ = QFileDialog.getSaveFileName(self, tr("Report"), "points.html", "HTML (*.html)")
        if path:
            self.report_to(path)

    def report_to(self, path: str) -> None:
        """Write the page of the fit there."""
        if self._fitted is None:
            return
        try:
            written = self._services.report(*self._fitted, path)
        except EntryError as error:
            self._say(str(error))
            return
        self._open_url(QUrl.fromLocalFile(str(written.resolve())))

    def save_table(self) -> None:
        """Write the table, so that `satline fit` can read it again."""
        path, _ = QFileDialog.getSaveFileName(self, tr("Save the table"), "points.csv", "CSV (*.csv)")
        if path:
            self.save_to(path)

    def save_to(self, path: str) -> None:
        """Write the table there."""
        try:
            self._services.save(table_text(self.entered()), path)
        except EntryError as error:
            self._say(str(error))
