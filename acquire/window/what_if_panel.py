"""Other inputs, settings and lines for the same points; the answer stands beside the recorded one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from PyQt5.QtCore import QLocale, Qt, pyqtSignal
from PyQt5.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDoubleSpinBox,
    QFormLayout,
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from acquire.own_liquids import known_liquids
from acquire.window.choices import Choice
from acquire.window.language import current_language, said, tr
from acquire.window.parts import set_text, text_label
from acquire.window.review_panels import RowsPanel
from acquire.window.review_state import FIELDS, Row, field_value

AIR = {
    "sealed": said("shut in, from the sealed baseline"), "none": said("none: pure vapour"),
    "corrected": said("subtracted already"),
}  # fmt: skip
MODES = {"raw": said("the readings are level"), "corrected": said("the corrected pair is known")}
UNKNOWN = "unknown"


@dataclass(frozen=True)
class WhatIfAsked:
    """What the person set."""

    shown: Mapping[str, float]  # inputs by path, in the unit shown
    air: str
    liquid: str
    lag: bool


def choices(table: Mapping[str, str], chosen: str, name: str) -> QComboBox:
    """A box of named choices."""
    box = Choice()
    for key, words in table.items():
        box.addItem(tr(words), key)
    box.setCurrentIndex(max(box.findData(chosen), 0))
    box.setAccessibleName(name)
    # As narrow as the panel makes it: the longest choice must not widen the window.
    box.setSizeAdjustPolicy(QComboBox.AdjustToMinimumContentsLengthWithIcon)
    box.setMinimumContentsLength(8)
    return box


def number_box() -> QDoubleSpinBox:
    """A box for a number in the writing of the language."""
    box = QDoubleSpinBox()
    box.setButtonSymbols(QDoubleSpinBox.NoButtons)  # keys and wheel do it; the style sheet leaves no room for arrows
    box.setLocale(QLocale(current_language().code))
    box.setGroupSeparatorShown(False)
    return box


class WhatIfPanel(QScrollArea):
    """Inputs, settings, and what comes of them.

    Signals
    -------
    asked
        Somebody wants the fit with these inputs (`WhatIfAsked`).
    settings_asked
        (tolerance [K], mode): somebody wants the run decided again.
    """

    asked = pyqtSignal(object)
    settings_asked = pyqtSignal(float, str)

    def __init__(self, plan: Mapping[str, Any]) -> None:
        super().__init__()
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarAlwaysOff)
        self.boxes: dict[str, QDoubleSpinBox] = {}
        self._absent: dict[str, float] = {}
        form = QFormLayout()
        form.setVerticalSpacing(3)
        for field in FIELDS:
            box = number_box()
            box.setDecimals(field.decimals)
            box.setRange(field.low, field.high)
            box.setSuffix(f" {field.unit}")
            value = field_value(plan, field)
            if value is None:  # one step below what can be entered stands for nothing entered
                box.setMinimum(field.low - 10.0**-field.decimals)
                box.setSpecialValueText(tr("not measured"))
                self._absent[field.path] = box.minimum()
            box.setValue(box.minimum() if value is None else value)
            box.setAccessibleName(tr(field.label))
            box.setMinimumWidth(60)
            form.addRow(tr(field.label), box)
            self.boxes[field.path] = box
        self.air = choices(AIR, str((plan.get("air") or {}).get("mode", "sealed")), tr("trapped air"))
        liquid = str(plan.get("liquid", UNKNOWN))
        names = {one.name: one.name for one in known_liquids()} | {UNKNOWN: said("unknown"), liquid: liquid}
        self.liquid = choices(names, liquid, tr("liquid"))
        form.addRow(tr("trapped air"), self.air)
        form.addRow(tr("liquid"), self.liquid)
        self.lag = QCheckBox()
        self.lag.setText(tr("correct the lag"))
        self.lag.setChecked(True)
        self.ask = QPushButton()
        self.ask.setText(tr("Fit with these inputs"))
        self.ask.clicked.connect(self._ask)
        settle = plan.get("settle") or {}
        self.tolerance = number_box()
        self.tolerance.setDecimals(2)
        self.tolerance.setRange(0.01, 2.0)
        self.tolerance.setSingleStep(0.01)
        self.tolerance.setSuffix(" K")
        self.tolerance.setValue(float(settle.get("tolerance", 0.1)))
        self.tolerance.setAccessibleName(tr("tolerance"))
        self.mode = choices(MODES, str(settle.get("mode", "raw")), tr("ready when"))
        settings = QFormLayout()
        settings.setVerticalSpacing(3)
        settings.addRow(tr("tolerance"), self.tolerance)
        settings.addRow(tr("ready when"), self.mode)
        self.decide = QPushButton()
        self.decide.setText(tr("Decide again with these settings"))
        self.decide.clicked.connect(lambda: self.settings_asked.emit(self.tolerance.value(), self.mode.currentData()))
        self.recorded, self.answer = text_label("basis", wrap=True), text_label("basis", wrap=True)
        heading = text_label("card heading")
        set_text(heading, tr("The same points through other lines"))
        self.lines = RowsPanel()
        inside = QWidget()
        layout = QVBoxLayout(inside)
        layout.setContentsMargins(8, 8, 8, 8)
        for label in (self.recorded, self.answer):
            layout.addWidget(label)
        layout.addLayout(form)
        row = QHBoxLayout()
        row.addWidget(self.lag)
        row.addStretch(1)
        row.addWidget(self.ask)
        layout.addLayout(row)
        layout.addSpacing(6)
        layout.addLayout(settings)
        layout.addWidget(self.decide, 0, Qt.AlignRight)
        layout.addSpacing(6)
        layout.addWidget(heading)
        layout.addWidget(self.lines)
        layout.addStretch(1)
        self.setWidget(inside)

    def _ask(self) -> None:
        shown = {path: box.value() for path, box in self.boxes.items() if box.value() != self._absent.get(path)}
        self.asked.emit(WhatIfAsked(shown, self.air.currentData(), self.liquid.currentData(), self.lag.isChecked()))

    def show_answers(self, recorded: str, answer: str) -> None:
        set_text(self.recorded, tr("recorded: {0}").format(recorded))
        set_text(self.answer, tr("what if: {0}").format(answer) if answer else "")

    def show_lines(self, rows: Sequence[Row]) -> None:
        self.lines.show_rows(rows)
