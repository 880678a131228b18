"""A number field that takes a decimal point or a decimal comma and says when Enter was pressed."""

from __future__ import annotations

from PyQt5.QtCore import QLocale, Qt, pyqtSignal
from PyQt5.QtGui import QKeyEvent, QValidator
from PyQt5.QtWidgets import QDoubleSpinBox

from acquire.window.language import current_language


class AmountBox(QDoubleSpinBox):
    """One amount with its unit in the field.

    Signals
    -------
    entered
        Enter was pressed in the field.
    """

    entered = pyqtSignal()

    def __init__(self, suffix: str, low: float, high: float, name: str) -> None:
        super().__init__()
        # Digits are never grouped, and the locale of the machine never decides what a mark means.
        locale = QLocale(QLocale.C)
        locale.setNumberOptions(QLocale.OmitGroupSeparator)
        self.setLocale(locale)
        self.setDecimals(1)
        self.setRange(low, high)
        self.setSuffix(suffix)
        self.setAccessibleName(name)
        self.setButtonSymbols(QDoubleSpinBox.NoButtons)
        self.setFocusPolicy(Qt.ClickFocus | Qt.TabFocus)
        self.touched = False
        self.lineEdit().textEdited.connect(self._touch)

    def _touch(self) -> None:
        self.touched = True

    def validate(self, text: str, position: int) -> tuple[QValidator.State, str, int]:
        state, _, place = super().validate(text.replace(",", "."), position)
        return state, text, place

    def valueFromText(self, text: str) -> float:
        return super().valueFromText(text.replace(",", "."))

    def textFromValue(self, value: float) -> str:
        return super().textFromValue(value).replace(".", current_language().decimal_mark)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key_Return, Qt.Key_Enter):
            self.interpretText()
            self.entered.emit()
            return
        if event.key() == Qt.Key_Escape:
            self.touched = False
            self.clearFocus()
            return
        super().keyPressEvent(event)
