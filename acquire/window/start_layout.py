"""Where the fields of the start page are; nothing of what they say."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PyQt5.QtCore import Qt
from PyQt5.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from acquire.window.language import tr
from acquire.window.parts import framed, text_label
from acquire.window.start_state import CAUTIONS

if TYPE_CHECKING:
    from acquire.window.start import StartPage


def lay_out(page: StartPage) -> None:
    """Devices on the left; run, checks of the bench and cautions on the right; what begins the run below."""
    title = text_label("page title")
    title.setText(tr("A new run"))
    top = QHBoxLayout()
    top.setSpacing(10)
    top.addWidget(title)
    top.addStretch(1)
    for button in page.elsewhere.buttons:
        top.addWidget(button)
    top.addSpacing(14)
    top.addWidget(page.language_label)
    top.addWidget(page.language)
    halves = QHBoxLayout()
    halves.setSpacing(10)
    halves.addWidget(_device_half(page), 1)
    halves.addWidget(_run_half(page), 1)
    bottom = QHBoxLayout()
    bottom.setSpacing(16)
    for button in (page.confirm, page.start):
        button.setProperty("role", "act")
    bottom.addWidget(page.why_not, 1)
    bottom.addWidget(page.confirm)
    bottom.addWidget(page.start)
    layout = QVBoxLayout(page)
    layout.setContentsMargins(28, 16, 28, 18)
    layout.setSpacing(12)
    layout.addLayout(top)
    layout.addLayout(halves, 1)
    layout.addLayout(bottom)


def _device_half(page: StartPage) -> QWidget:
    half = framed("panel")
    layout = QVBoxLayout(half)
    layout.setContentsMargins(20, 14, 20, 16)
    layout.setSpacing(10)
    top = QHBoxLayout()
    top.addWidget(_heading(tr("Device")))
    top.addStretch(1)
    page.again.setProperty("role", "small")
    top.addWidget(page.again)
    layout.addLayout(top)
    page.device.setAccessibleName(tr("Device"))
    layout.addWidget(page.device, 1)
    layout.addWidget(page.detail)
    page.listen.setProperty("role", "small")
    layout.addWidget(page.listen, 0, Qt.AlignLeft)
    page.address.setPlaceholderText("PROFILE@PORT")
    rows = (
        (page.address_label, page.address, tr("Address")),
        (page.profile_label, page.profile, tr("It speaks")),
        (page.speed_label, page.speed, tr("Clock")),
    )
    layout.addLayout(_form(rows))
    return half


def _run_half(page: StartPage) -> QWidget:
    half = framed("panel")
    layout = QVBoxLayout(half)
    layout.setContentsMargins(20, 14, 20, 16)
    layout.setSpacing(10)
    layout.addWidget(_heading(tr("Run")))
    page.plan.setProperty("role", "field")
    rows = (
        (text_label("body"), page.liquid, tr("Liquid")),
        (text_label("body"), page.plan, tr("Plan")),
    )
    layout.addLayout(_form(rows))
    layout.addSpacing(12)
    layout.addWidget(_heading(tr("This bench")))
    grid = QGridLayout()
    grid.setColumnStretch(1, 1)
    grid.setHorizontalSpacing(10)
    grid.setVerticalSpacing(8)
    for row, (sign, text) in enumerate(page.checks):
        sign.setAlignment(Qt.AlignTop | Qt.AlignHCenter)
        grid.addWidget(sign, row, 0, Qt.AlignTop)
        grid.addWidget(text, row, 1)
    layout.addLayout(grid)
    layout.addStretch(1)
    layout.addWidget(_cautions())
    return half


def _cautions() -> QWidget:
    caution = framed("caution")
    words = QVBoxLayout(caution)
    words.setContentsMargins(16, 12, 16, 12)
    words.setSpacing(7)
    for sentence in CAUTIONS:
        label = text_label("caution large", wrap=True)
        label.setText(tr(sentence))
        words.addWidget(label)
    return caution


def _heading(text: str) -> QLabel:
    label = text_label("panel heading")
    label.setText(text)
    return label


def _form(rows: tuple[tuple[QLabel, QWidget, str], ...]) -> QGridLayout:
    form = QGridLayout()
    form.setHorizontalSpacing(14)
    form.setVerticalSpacing(10)
    form.setColumnStretch(1, 1)
    for row, (label, field, text) in enumerate(rows):
        label.setText(text)
        form.addWidget(label, row, 0)
        form.addWidget(field, row, 1)
        field.setAccessibleName(text)
    return form
