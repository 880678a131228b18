"""The drawings of the pooled page, from an outcome."""

from __future__ import annotations

import math

import numpy as np

from acquire.pool.drawing import Drawing, padded
from acquire.pool.outcome import BenchRow, PoolOutcome
from acquire.pool.parts import number_text
from acquire.report import palette
from acquire.report.language import tr
from analysis.pooling.curve import Curve

MOST_BENCHES = 80  # of a drawing with a line for each; beyond that the most extreme ones are drawn
MOST_NAMES = 45  # of benches under bars; more would lie over each other
ROW = 17.0  # [px]


def drawn_benches(outcome: PoolOutcome) -> list[BenchRow]:
    """Benches in order of their value; of very many, the outlying and the most extreme ones."""
    rows = sorted(outcome.benches, key=lambda row: row.mean)
    if len(rows) > MOST_BENCHES:
        rows.sort(key=lambda row: (row.outlying is None, -abs(row.zeta) if math.isfinite(row.zeta) else 0.0))
        rows = sorted(rows[:MOST_BENCHES], key=lambda row: row.mean)
    return rows


def benches_figure(outcome: PoolOutcome) -> str:
    """Each bench with its 95 % interval, the consensus as a band, the reference as a dashed line."""
    rows = drawn_benches(outcome)
    ends = [x for row in rows for x in (row.mean - 1.96 * row.u, row.mean + 1.96 * row.u)]
    # one wild bench must not squeeze all others into a line: the frame holds the middle and arrows say "further out"
    middle = outcome.consensus.value
    reach = 1.25 * float(np.quantile([abs(x - middle) for x in ends], 0.9))
    shown = [x for x in ends if abs(x - middle) <= reach] + [*outcome.consensus.interval_95]
    if math.isfinite(outcome.reference):
        shown.append(outcome.reference)
    low, high = padded([x / 1e3 for x in shown])
    longest = max(len(_short(row.bench)) for row in rows)
    left = min(40 + 6.2 * longest, 190)
    height = 30 + ROW * len(rows) + 44
    draw = Drawing(760, height, (low, high), (-0.8, len(rows) - 0.2), (left, 14, 24, 44))
    a, b = (x / 1e3 for x in outcome.consensus.interval_95)
    draw.band_x(a, b, palette.PLATEAU)
    draw.x_axis(tr("enthalpy of vaporisation at 298.15 K / (kJ/mol)"))
    if math.isfinite(outcome.reference) and low < outcome.reference / 1e3 < high:
        at = outcome.reference / 1e3
        draw.line(at, -0.8, at, len(rows) - 0.2, palette.MUTED, 1.2, "5 4")
        draw.text(draw.x(at), 16, tr("table"), anchor="middle", colour=palette.MUTED)
    draw.line(middle / 1e3, -0.8, middle / 1e3, len(rows) - 0.2, palette.INK, 1.2)
    for place, row in enumerate(rows):
        colour = palette.TEMPERATURE if row.outlying else palette.INK
        value, half = row.mean / 1e3, 1.96 * row.u / 1e3
        draw.text(draw.left - 8, draw.y(place) + 4, _short(row.bench), anchor="end", colour=colour)
        if not low < value < high:
            side = "◂" if value <= low else "▸"
            at = draw.left + 4 if value <= low else draw.right - 4
            anchor = "start" if value <= low else "end"
            draw.text(at, draw.y(place) + 4, f"{side} {number_text(value, 2)}", anchor=anchor, colour=colour)
            continue
        draw.line(max(value - half, low), place, min(value + half, high), place, colour, 1.5)
        if row.outlying:
            draw.diamond(value, place, colour)
        else:
            draw.dot(value, place, colour)
    return draw.svg(tr("Every bench with its 95 % interval beside the consensus"))


def _short(name: str) -> str:
    return name if len(name) <= 24 else name[:23] + "…"


def mandel_figure(outcome: PoolOutcome, which: str) -> str:
    """Bars of Mandel's h or k over the benches with the lines at 5 % and 1 %."""
    judged = outcome.consistency
    assert judged is not None
    values, lines = (judged.h, judged.h_lines) if which == "h" else (judged.k, judged.k_lines)
    finite = [float(v) for v in values if math.isfinite(v)]
    marks = [x for line in lines if math.isfinite(line) for x in ((line, -line) if which == "h" else (line,))]
    low, high = padded([*finite, *marks, 0.0])
    low = low if which == "h" else 0.0
    named = len(values) <= MOST_NAMES
    longest = max(len(_short(str(bench))) for bench in judged.benches) if named else 0
    under = 22 + 4.6 * longest
    draw = Drawing(760, 168 + under, (-0.7, len(values) - 0.3), (low, high), (56, 30, 22, under))
    draw.y_axis(which, count=4)
    for at, bench in enumerate(judged.benches) if named else ():
        draw.text_up(draw.x(at) + 3, draw.bottom + 8, _short(str(bench)), colour=palette.MUTED)
    outlying = {one.bench for one in outcome.outlying}
    for at, (bench, value) in enumerate(zip(judged.benches, values, strict=True)):
        if math.isfinite(value):
            draw.bar(at, float(value), 0.66, palette.TEMPERATURE if bench in outlying else palette.PRESSURE)
    # with many runs the lines lie close together, their names must not
    apart = max(0.0, 11.0 - abs(draw.y(lines[1]) - draw.y(lines[0]))) / 2 if all(map(math.isfinite, lines)) else 0.0
    for line, name, lower in zip(lines, ("5 %", "1 %"), (apart, -apart), strict=True):
        if math.isfinite(line):
            for sign in (1, -1) if which == "h" else (1,):
                draw.line(-0.7, sign * line, len(values) - 0.3, sign * line, palette.INK, 1.0, "5 4")
            draw.text(draw.right + 3, draw.y(line) + 4 + lower, name, size=10, colour=palette.MUTED)
    draw.line(-0.7, 0.0, len(values) - 0.3, 0.0, palette.INK)
    return draw.svg(
        tr("Mandel's h: how far each bench's mean lies off")
        if which == "h"
        else tr("Mandel's k: how much each bench's runs scatter")
    )


def curve_figure(outcome: PoolOutcome) -> str:
    """The pooled curve against the reference: difference of ln p in per cent, with its 95 % band."""
    assert outcome.curve is not None
    table: Curve = outcome.table_curve
    kelvin = np.linspace(283.15, 323.15, 41)
    ln_p, u = outcome.curve.band(kelvin)
    difference = 100 * (ln_p - table.ln_pressure_at(kelvin))
    half = 196 * u
    celsius = kelvin - 273.15
    low, high = padded([*(difference - half), *(difference + half), 0.0])
    draw = Drawing(760, 240, (10.0, 50.0), (low, high), (56, 14, 26, 44))
    draw.x_axis(tr("temperature / °C"))
    draw.y_axis(tr("p off the table / %"))
    forth = [f"{draw.x(t):.1f},{draw.y(d + h):.1f}" for t, d, h in zip(celsius, difference, half, strict=True)]
    back = [f"{draw.x(t):.1f},{draw.y(d - h):.1f}" for t, d, h in zip(celsius, difference, half, strict=True)]
    draw.add(f"<polygon points='{' '.join(forth + back[::-1])}' fill='{palette.PLATEAU}'/>")
    draw.line(10.0, 0.0, 50.0, 0.0, palette.MUTED, 1.2, "5 4")
    draw.path(celsius.tolist(), difference.tolist(), palette.PRESSURE, 1.8)
    return draw.svg(tr("The pooled vapour-pressure curve less that of the table, with its 95 % band"))


def air_figure(outcome: PoolOutcome) -> str:
    """Mean residual beside the table's curve over the share of air, and the line of a common error of the air."""
    found = outcome.air_share
    assert found is not None
    share = [100 * step.share for step in found.steps]
    mean = [100 * step.residual for step in found.steps]
    half = [196 * step.u_residual for step in found.steps]
    slopes = (found.slope, *found.interval_95)
    at_end = [100 * slope * max(step.share for step in found.steps) for slope in slopes]
    low, high = padded([*(m - h for m, h in zip(mean, half, strict=True)),
                        *(m + h for m, h in zip(mean, half, strict=True)), *at_end, 0.0])  # fmt: skip
    left, right = padded(share)
    left, right = max(left, 0.0), min(right, 100.0)
    draw = Drawing(760, 240, (left, right), (low, high), (56, 14, 26, 44))
    edges = [
        (x, slope * x) for slope, x in ((slopes[1], left), (slopes[1], right), (slopes[2], right), (slopes[2], left))
    ]
    draw.add(f"<polygon points='{' '.join(f'{draw.x(x):.1f},{draw.y(y):.1f}' for x, y in edges)}' "
             f"fill='{palette.PLATEAU}'/>")  # fmt: skip
    draw.x_axis(tr("share of the pressure that is air / %"))
    draw.y_axis(tr("reading off the table's curve / %"))
    draw.line(left, 0.0, right, 0.0, palette.MUTED, 1.2, "5 4")
    draw.line(left, slopes[0] * left, right, slopes[0] * right, palette.PRESSURE, 1.8)
    for x, y, h in zip(share, mean, half, strict=True):
        draw.line(x, y - h, x, y + h, palette.INK, 1.3)
        draw.dot(x, y, palette.INK)
    return draw.svg(tr("How far readings lie off the table's curve, over their share of air"))


def chart_figure(row: BenchRow) -> str:
    """One bench's runs in order of time between their control limits."""
    chart = row.chart
    assert chart is not None
    values = chart.values / 1e3
    low, high = padded([*values, chart.lower / 1e3, chart.upper / 1e3])
    draw = Drawing(370, 150, (-0.5, len(values) - 0.5), (low, high), (52, 8, 20, 18))
    draw.y_axis("kJ/mol", count=3)
    draw.band_y(chart.lower / 1e3, chart.upper / 1e3, palette.PLATEAU)
    draw.line(-0.5, chart.centre / 1e3, len(values) - 0.5, chart.centre / 1e3, palette.INK)
    draw.path(list(range(len(values))), values.tolist(), palette.MUTED)
    flagged = {signal.index for signal in chart.signals}
    for at, value in enumerate(values):
        if at in flagged:
            draw.diamond(at, float(value), palette.TEMPERATURE)
        elif len(values) <= 60:
            draw.dot(at, float(value), palette.INK, size=2.4)
    draw.text(draw.left, draw.height - 4, tr("run by run, oldest first"), size=10, colour=palette.MUTED)
    return draw.svg(tr("Runs of {0} in order of time between control limits").format(row.bench))
