"""Small widgets that several panels share: text in a role, a bar, digits of a given height."""

from __future__ import annotations

from PyQt5.QtCore import QCoreApplication, QEvent, QRectF, QSize, Qt
from PyQt5.QtGui import QBrush, QColor, QFont, QFontMetricsF, QPainter, QPaintEvent
from PyQt5.QtWidgets import QFrame, QGraphicsView, QLabel, QSizePolicy, QWidget

TALL, DESCENT = 1.3, 0.22  # height of the widget and room below the digits, for a decimal comma, in digit heights
DIGIT_MM = 17.0  # [mm] 30 minutes of arc at 2 m, twice the least height of ISO 9241-303 (from memory)


def text_label(role: str, tone: str = "", *, wrap: bool = False) -> QLabel:
    """A label whose size and colour the style sheet gives by `role` and `tone`."""
    label = QLabel()
    label.setProperty("role", role)
    label.setProperty("tone", tone)
    label.setWordWrap(wrap)
    label.setTextFormat(Qt.PlainText)
    return label


def framed(role: str) -> QFrame:
    frame = QFrame()
    frame.setProperty("role", role)
    return frame


def on_paper(window: QWidget) -> None:
    """Have the style sheet paint the background of a window of its own."""
    window.setProperty("role", "window")
    window.setAttribute(Qt.WA_StyledBackground)


def fill_view(view: QGraphicsView, colour: str) -> None:
    """Give a view its paper, so that nothing under it is painted in its frames.

    Its own background would leave a column of dots at its edge to chance, and all parents would be painted for that.
    """
    view.setBackgroundBrush(QBrush())
    viewport = view.viewport()
    palette = viewport.palette()
    palette.setColor(viewport.backgroundRole(), QColor(colour))
    viewport.setPalette(palette)
    viewport.setAutoFillBackground(True)


def set_text(label: QLabel, text: str) -> None:
    """Set the text only where it is new: unchanged labels cost no layout."""
    if label.text() != text:
        label.setText(text)


def restyle(widget: QWidget, **properties: object) -> None:
    """Change properties that the style sheet looks at, and have it look again."""
    if all(widget.property(name) == value for name, value in properties.items()):
        return
    for name, value in properties.items():
        widget.setProperty(name, value)
    widget.style().unpolish(widget)
    widget.style().polish(widget)
    if isinstance(widget, QLabel):  # it looks for its padding only then
        QCoreApplication.sendEvent(widget, QEvent(QEvent.StyleChange))
    for child in widget.findChildren(QLabel):
        widget.style().unpolish(child)
        widget.style().polish(child)


class ElidedLabel(QLabel):
    """A label that gives up the middle of its text before it makes a window wider; the whole text stays its name."""

    def minimumSizeHint(self) -> QSize:
        return QSize(60, super().minimumSizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        whole = self.text()
        shown = self.fontMetrics().elidedText(whole, Qt.ElideMiddle, self.contentsRect().width())
        if shown == whole:
            super().paintEvent(event)
            return
        painter = QPainter(self)
        painter.setFont(self.font())
        painter.setPen(self.palette().windowText().color())
        painter.drawText(self.contentsRect(), Qt.AlignLeft | Qt.AlignVCenter, shown)
        painter.end()


class Bar(QWidget):
    """A horizontal bar from 0 to 1."""

    def __init__(self, height: int = 7) -> None:
        super().__init__()
        self._share, self._colour, self._back = 0.0, QColor("black"), QColor("gray")
        self.setFixedHeight(height)
        self.setSizePolicy(QSizePolicy.Expanding, QSizePolicy.Fixed)

    def set_colours(self, colour: str, back: str) -> None:
        self._colour, self._back = QColor(colour), QColor(back)
        self.update()

    def set_share(self, share: float) -> None:
        if share != self._share:
            self._share = share
            self.update()

    @property
    def share(self) -> float:
        return self._share

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.Antialiasing)
        painter.setPen(Qt.NoPen)
        radius = self.height() / 2
        painter.setBrush(self._back)
        painter.drawRoundedRect(QRectF(self.rect()), radius, radius)
        if self._share > 0:
            painter.setBrush(self._colour)
            width = max(self.height(), self.width() * min(1.0, self._share))
            painter.drawRoundedRect(QRectF(0, 0, width, self.height()), radius, radius)
        painter.end()


class FittedText(QWidget):
    """One line, as large as planned and smaller where the panel is narrow; never cut off, never broken."""

    def __init__(self, size: float, *, bold: bool = True) -> None:
        super().__init__()
        self._size, self._scale = size, 1.0
        self._weight = QFont.Bold if bold else QFont.Normal
        self._text, self._colour = "", QColor("black")
        self.setSizePolicy(QSizePolicy.Expanding, QSizePolicy.Fixed)
        self.setFixedHeight(round(1.35 * size))

    def set_look(self, colour: str, scale: float) -> None:
        self._colour, self._scale = QColor(colour), scale
        self.setFixedHeight(round(1.35 * self._size * scale))
        self.update()

    def set_text(self, text: str) -> None:
        if text != self._text:
            self._text = text
            self.setAccessibleName(text)
            self.update()

    def text(self) -> str:
        return self._text

    def paintEvent(self, event: QPaintEvent) -> None:
        font = QFont(self.font())
        font.setWeight(self._weight)
        font.setPixelSize(100)
        width = QFontMetricsF(font).horizontalAdvance(self._text)
        font.setPixelSize(max(6, int(min(self._size * self._scale, 99.0 * self.width() / max(width, 1.0)))))
        painter = QPainter(self)
        painter.setPen(self._colour)
        painter.setFont(font)
        painter.drawText(self.rect(), Qt.AlignLeft | Qt.AlignVCenter, self._text)
        painter.end()


class Digits(QWidget):
    """A number and its unit, with digits as high as asked for and the room allows; digits never jump sideways."""

    def __init__(self, widest: str) -> None:
        super().__init__()
        self._widest, self._value, self._unit = widest, "", ""
        self._colour = QColor("black")
        self._wanted = 64.0  # [px] height of a digit
        self.setSizePolicy(QSizePolicy.Expanding, QSizePolicy.Fixed)

    def set_colour(self, colour: str) -> None:
        self._colour = QColor(colour)
        self.update()

    def set_digit_height(self, pixels: float) -> None:
        if pixels != self._wanted:
            self._wanted = pixels
            self.setFixedHeight(round(pixels * TALL))

    def set_value(self, value: str, unit: str) -> None:
        if (value, unit) != (self._value, self._unit):
            self._value, self._unit = value, unit
            self.update()

    @property
    def value(self) -> str:
        return self._value

    def sizeHint(self) -> QSize:
        return QSize(round(self._wanted * 4), round(self._wanted * TALL))

    def minimumSizeHint(self) -> QSize:
        return QSize(100, round(self._wanted * TALL))

    def digit_height(self) -> float:
        """Height of a digit as it is drawn now.  [px]"""
        return min(self._wanted, self.fitting_height())

    def _font(self, pixels: float) -> QFont:
        font = QFont(self.font())
        font.setWeight(QFont.Bold)
        font.setPixelSize(max(6, int(pixels)))
        return font

    def fitting_height(self) -> float:
        """The highest digits that the width has room for.  [px]"""
        metrics = QFontMetricsF(self._font(100))
        digit = metrics.tightBoundingRect("0").height()
        width = metrics.horizontalAdvance(self._widest) + 0.36 * metrics.horizontalAdvance(" " + self._unit) + 4
        return self.width() / width * digit

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.TextAntialiasing)
        painter.setPen(self._colour)
        digit = QFontMetricsF(self._font(100)).tightBoundingRect("0").height()
        size = self.digit_height() * 100 / digit
        font = self._font(size)
        metrics = QFontMetricsF(font)
        baseline = self.height() - DESCENT * self._wanted
        # Right edge of the last digit stays where it is: the room is that of the widest number.
        room = metrics.horizontalAdvance(self._widest)
        left = max(0.0, room - metrics.horizontalAdvance(self._value)) if self._value[:1].isdigit() else 0.0
        painter.setFont(font)
        painter.drawText(round(left), round(baseline), self._value)
        painter.setFont(self._font(size * 0.36))
        painter.drawText(round(max(left + metrics.horizontalAdvance(self._value), room) + size * 0.08),
                         round(baseline), self._unit)  # fmt: skip
        painter.end()
