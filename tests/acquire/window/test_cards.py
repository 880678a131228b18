"""The row of cards: a few pixels push no card out of sight."""

from __future__ import annotations

import dataclasses

import pytest
from PyQt5.QtWidgets import QApplication

from acquire.window.cards import LEAST_SPACING, SPACING, CardsRow
from acquire.window.cards_state import cards_state

pytestmark = pytest.mark.qt_log_ignore("This plugin does not support propagateSizeHints")


@pytest.fixture
def row(qtbot, snap, point):
    row = CardsRow()
    qtbot.addWidget(row)
    state = cards_state(snap(points=tuple(point(number) for number in range(1, 8)), proposal=None))
    row.show_state(dataclasses.replace(state, forming=None))
    row.resize(3000, 160)
    with qtbot.waitExposed(row):
        row.show()
    settle()
    return row


def settle():
    for _ in range(4):
        QApplication.processEvents()


def needed(row) -> int:
    """Width of all cards at the usual distance."""
    return row.widget().minimumSizeHint().width()


def test_cards_move_together_where_a_few_pixels_are_missing(row, monkeypatch):
    wide = needed(row)
    assert row._row.spacing() == SPACING
    row.resize(wide - 6 * (SPACING - LEAST_SPACING) + row.width() - row.viewport().width(), 160)
    settle()
    assert (row._row.spacing(), row.horizontalScrollBar().maximum()) == (LEAST_SPACING, 0)
    assert not row._curtain.isVisible()
    asked = []
    monkeypatch.setattr(row._row, "setSpacing", asked.append)
    row.resize(row.width(), 120)
    settle()
    assert SPACING not in asked, "its height changes when its bar goes: it would come and go for ever"
    monkeypatch.undo()
    row.resize(wide + 40, 160)
    settle()
    assert row._row.spacing() == SPACING


def test_where_more_is_missing_the_newest_stays_in_sight_at_the_usual_distance(row):
    row.resize(needed(row) - 100, 160)
    settle()
    assert row._row.spacing() == SPACING
    assert row.horizontalScrollBar().value() == row.horizontalScrollBar().maximum() > 0
    assert row._curtain.isVisible(), "half a card is covered"
