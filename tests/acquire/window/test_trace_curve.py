"""The line of a trace on the screen: the same dots as a painter's own line, however it is asked for."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
import pytest
from PyQt5.QtCore import QPointF, QRect
from PyQt5.QtGui import QImage, QPainter, QPen, QPolygonF
from PyQt5.QtWidgets import QApplication

from acquire.window.parts import fill_view
from acquire.window.strip_axes import TimeAxis, ValueAxis
from acquire.window.trace_curve import TraceCurve, columns

WIDE, HIGH = 300, 200


def slow_columns(x, y, first, last):
    """Every piece of the line walked in steps of a hundredth of a dot."""
    low, high = np.full(last - first, np.nan), np.full(last - first, np.nan)
    for (x0, y0), (x1, y1) in zip(zip(x, y, strict=True), zip(x[1:], y[1:], strict=False), strict=False):
        if not np.isfinite(y0 + y1):
            continue
        along = np.linspace(0.0, 1.0, 2 + int(100 * max(1, x1 - x0)))
        for at, height in zip(x0 + along * (x1 - x0), y0 + along * (y1 - y0), strict=True):
            place = int(np.floor(at)) - first
            if 0 <= place < last - first:
                low[place], high[place] = np.fmin(low[place], height), np.fmax(high[place], height)
    return low, high


@pytest.mark.parametrize("seed", range(6))
def test_a_column_has_what_the_line_passes_in_it(seed):
    rng = np.random.default_rng(seed)
    x = np.sort(rng.uniform(-20, 60, rng.integers(2, 120)))
    y = rng.normal(50, 20, len(x))
    if len(x) > 20:
        y[7], y[15] = np.nan, np.nan
    low, high = columns(x, y, 0, 40)
    slow_low, slow_high = slow_columns(x, y, 0, 40)
    steepest = np.nanmax(np.abs(np.diff(y)) / np.maximum(np.diff(x), 1.0))
    np.testing.assert_array_equal(np.isnan(low), np.isnan(slow_low))
    np.testing.assert_allclose(low, slow_low, atol=0.02 * steepest + 1e-9)
    np.testing.assert_allclose(high, slow_high, atol=0.02 * steepest + 1e-9)


def test_a_spike_keeps_its_height_and_a_reading_alone_between_gaps_is_seen():
    x, y = np.array([0.0, 5.3, 5.4, 5.5, 9.0, 9.0, 12.5, 12.5, 20.0]), np.ones(9)
    y[2], y[5], y[7] = 90.0, np.nan, np.nan
    low, high = columns(x, y, 0, 20)
    assert (low[5], high[5]) == (1.0, 90.0)
    assert np.isnan(low[10:12]).all()
    assert (low[12], high[12]) == (1.0, 1.0)
    assert np.isnan(low[13:19]).all()


@pytest.fixture
def drawn(qtbot):
    """A view with nothing but a trace."""
    view = pg.GraphicsView()
    qtbot.addWidget(view)
    view.resize(WIDE, HIGH)
    fill_view(view, "#ffffff")
    box = pg.ViewBox(enableMenu=False, border=None, defaultPadding=0.0)
    box.disableAutoRange()
    view.setCentralItem(box)
    curve = TraceCurve()
    box.addItem(curve)
    view.show()
    qtbot.waitExposed(view)
    return view, box, curve


def dots(image: QImage) -> np.ndarray:
    image = image.convertToFormat(QImage.Format_RGB32)
    held = image.constBits().asarray(image.byteCount())
    return np.frombuffer(held, np.uint32).reshape(image.height(), image.width()).copy() & 0xFFFFFF


def test_a_noisy_trace_looks_as_a_painter_draws_it(drawn):
    view, box, curve = drawn
    rng = np.random.default_rng(3)
    time = np.linspace(-10.0, 710.0, 2400)
    value = 20.0 + 0.01 * time + rng.normal(0, 0.6, len(time))
    value[900:905] += 4.0
    curve.set_pen("#00695c", 2)
    curve.set_data(time, value)
    box.setRange(xRange=(0, 700), yRange=(15, 32), padding=0)
    QApplication.processEvents()
    ours = dots(view.viewport().grab().toImage()) == 0x00695C

    page = QImage(ours.shape[1], ours.shape[0], QImage.Format_RGB32)
    page.fill(0xFFFFFF)
    painter = QPainter(page)
    painter.setPen(QPen(curve.colour, 2))
    left, top, size = box.x(), box.y(), box.rect()
    x, y = left + time / 700 * size.width(), top + (32 - value) / 17 * size.height()
    painter.drawPolyline(QPolygonF([QPointF(a, b) for a, b in zip(x, y, strict=True)]))
    painter.end()
    theirs = dots(page) == 0x00695C
    assert theirs.sum() > 4000
    inside = (slice(3, -3), slice(3, -3))
    assert not (ours & ~grown(theirs))[inside].any(), "no dot lies further than one from the painter's"
    assert not (theirs & ~grown(ours))[inside].any()


def grown(mask: np.ndarray) -> np.ndarray:
    """With every dot's neighbours."""
    out = mask.copy()
    for down in (-1, 0, 1):
        for right in (-1, 0, 1):
            out |= np.roll(mask, (down, right), (0, 1))
    return out


@pytest.mark.parametrize("thick", [1, 2, 5])
def test_a_part_painted_anew_is_the_part_of_the_whole(drawn, thick):
    view, box, curve = drawn
    rng = np.random.default_rng(4)
    time = np.sort(rng.uniform(0.0, 100.0, 170))
    value = rng.normal(0.0, 1.0, len(time))
    value[60:63] = np.nan
    curve.set_pen("#b3541e", thick)
    curve.set_data(time, value)
    box.setRange(xRange=(5, 95), yRange=(-3, 3), padding=0)
    QApplication.processEvents()
    whole = view.viewport().grab().toImage()
    assert (dots(whole) == 0xB3541E).sum() > 200 * thick
    for x in (0, 1, 100, 151, WIDE - 31):
        strip = QRect(x, 20, 30, 140)
        part = view.viewport().grab(strip).toImage()
        np.testing.assert_array_equal(dots(part), dots(whole.copy(strip)))


def test_a_flat_line_is_as_thick_as_asked_and_an_empty_trace_is_nothing(drawn):
    view, box, curve = drawn
    box.setRange(xRange=(0, 10), yRange=(-1, 1), padding=0)
    assert (dots(view.viewport().grab().toImage()) == 0xFFFFFF).all()
    for thick in (1, 2, 3, 4):
        curve.set_pen("#000000", thick)
        curve.set_data(np.array([-1.0, 11.0]), np.array([0.1, 0.1]))
        QApplication.processEvents()
        assert set((dots(view.viewport().grab().toImage()) == 0)[:, 2:-2].sum(axis=0)) == {thick}
    curve.set_data(np.array([-1.0, 11.0]), np.full(2, np.nan))
    assert (dots(view.viewport().grab().toImage()) == 0xFFFFFF).all()
    curve.set_data(np.array([-1.0, 11.0]), np.full(2, 1e9))
    assert (dots(view.viewport().grab().toImage()) == 0xFFFFFF).all()


def test_a_time_axis_without_a_name_gets_none_when_minutes_become_hours(qtbot):
    bare, named = TimeAxis(named=False), TimeAxis()
    for axis in (bare, named):
        for shown in (600.0, 40_000.0, 600.0):
            axis.tickSpacing(0.0, shown, 900.0)
    assert not bare.label.isVisible()
    assert named.label.isVisible()


@pytest.mark.parametrize(("low", "high"), [(-3.2, 17.9), (100.03, 100.9), (21.0, 21.0), (0.0, 1e-3)])
def test_marks_of_an_axis_lie_one_step_apart_within_it(qtbot, low, high):
    axis = ValueAxis()
    ((step, values),) = axis.tickValues(low, high, 400.0)
    assert all(low <= value + 1e-9 and value - 1e-9 <= high for value in values)
    assert np.allclose(np.diff(values), step)
    if high > low:
        assert values[0] - step < low
        assert values[-1] + step > high
