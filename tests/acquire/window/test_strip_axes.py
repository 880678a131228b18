"""Numbers on the axes: every label says exactly where its mark is."""

from __future__ import annotations

import pytest

pytest.importorskip("PyQt5.QtWidgets", exc_type=ImportError)

from PyQt5.QtCore import QPointF

from acquire.window.review_panels import ResidualPlot
from acquire.window.strip_axes import HOURS_FROM, TimeAxis
from acquire.window.themes import LIGHT


@pytest.mark.parametrize("size", [300.0, 640.0, 1100.0, 2600.0])
@pytest.mark.parametrize("shown", [4.0, 35.0, 70.0, 190.0, 600.0, 2400.0, HOURS_FROM + 1.0, 20_000.0, 90_000.0])
def test_a_time_label_is_the_time_of_its_mark(qtbot, shown, size):
    axis = TimeAxis()
    ((spacing, _),) = axis.tickSpacing(0.0, shown, size)
    marks = [index * spacing for index in range(int(shown / spacing) + 1)]
    unit = 3600.0 if shown >= HOURS_FROM else 60.0
    labels = axis.tickStrings(marks, 1.0, spacing)
    assert [float(label) * unit for label in labels] == pytest.approx(marks, abs=1e-6)
    assert len(set(labels)) == len(labels)
    assert len(labels) <= max(2.0, size / 95) + 1, "they have room beside each other"


def test_the_number_at_the_highest_mark_is_not_cut(qtbot):
    plot = ResidualPlot()
    qtbot.addWidget(plot)
    plot.resize(500, 200)
    plot.set_look(LIGHT, 16)
    plot.show_residuals([(20.0, -10.0, 1.0), (30.0, 20.0 / 1.15 - 1.96, 1.0)])
    with qtbot.waitExposed(plot):
        plot.show()
    axis = plot.getPlotItem().getAxis("left")
    assert plot.getPlotItem().viewRange()[1][1] == pytest.approx(20.0, abs=1e-9)
    assert axis.mapToScene(QPointF(0, 0)).y() >= 0.5 * 16, "half of a number"
