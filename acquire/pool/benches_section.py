"""The parts of the pooled page that show every bench: beside the consensus, in a table, over time."""

from __future__ import annotations

from html import escape

from acquire.pool.figures import benches_figure, chart_figure, drawn_benches
from acquire.pool.outcome import BenchRow, PoolOutcome
from acquire.pool.parts import figure, number_text
from acquire.pool.words import REASONS
from acquire.report.language import counted, said, tr
from acquire.report.text import ABSENT

MOST_CHARTS = 24
COLUMNS = (
    (said("runs"), ""), (said("mean"), "kJ/mol"), ("u", "kJ/mol"), (said("scatter"), "kJ/mol"), ("z", ""), ("ζ", ""),
    ("E<sub>n</sub>", ""), ("h", ""), ("k", ""), (said("change a year"), "kJ/mol"),
)  # fmt: skip


def benches_section(outcome: PoolOutcome) -> str:
    """A picture and a table of all benches, of very many the most extreme."""
    drawn, count = drawn_benches(outcome), len(outcome.benches)
    more = " " + tr("The {0} most extreme of {1} are drawn.").format(len(drawn), count) if len(drawn) < count else ""
    head = "".join(f"<th class='n' scope='col'>{tr(name)}<span class='u'>{unit}</span></th>" for name, unit in COLUMNS)
    rows = "".join(_bench_row(one) for one in drawn)
    under = tr(
        "Mean of each bench with its 95 % interval; blue band: the consensus with its 95 % interval; dashed: the table "
        "value; diamonds: benches that stand out."
    )
    scores = tr(
        "z: against the robust spread of all benches (3 and above calls for action); ζ: against the stated "
        "uncertainties (2 and above is a warning); E<sub>n</sub>: the same with expanded uncertainties (1 and above "
        "calls for action)."
    )
    return (
        f"<h2>{tr('The benches')}</h2>{figure(benches_figure(outcome), under + more)}<p class='quiet'>{scores}</p>"
        "<div class='scroll' tabindex='0'><table class='all'><thead><tr>"
        f"<th scope='col'>{tr('bench')}</th>{head}<th scope='col'>{tr('remarks')}</th></tr></thead>"
        f"<tbody>{rows}</tbody></table></div>"
    )


def _bench_row(row: BenchRow) -> str:
    change = number_text(row.trend.slope / 1e3, 2, signed=True) if row.trend and row.changes else ABSENT
    remarks = []
    if row.outlying:
        remarks.append(tr(REASONS[row.outlying.reason]))
    if row.chart and row.chart.signals:
        remarks.append(counted("{0} signal on its chart", "{0} signals on its chart", len(row.chart.signals)))
    if row.changes:
        remarks.append(tr("changes with time"))
    cells = (
        number_text(row.runs, 0),
        *(number_text(value / 1e3, 2) for value in (row.mean, row.u, row.deviation)),
        *(number_text(value, 1) for value in (row.z, row.zeta, row.e_n, row.h, row.k)),
        change,
    )
    numbers = "".join(f"<td class='n'>{cell}</td>" for cell in cells)
    return f"<tr><th scope='row'>{escape(row.bench)}</th>{numbers}<td>{escape('; '.join(remarks))}</td></tr>"


def charts_section(outcome: PoolOutcome) -> str:
    """The runs of each bench in order of time, those with the most signals first."""
    rows = [row for row in outcome.benches if row.chart]
    if not rows:
        return ""
    rows.sort(key=lambda row: -len(row.chart.signals) if row.chart else 0)
    shown = "".join(f"<div><h3>{escape(row.bench)}</h3>{chart_figure(row)}</div>" for row in rows[:MOST_CHARTS])
    more = (
        " " + tr("The {0} with the most signals of {1} are drawn.").format(MOST_CHARTS, len(rows))
        if len(rows) > MOST_CHARTS
        else ""
    )
    how = tr(
        "Single runs in order of time between limits made of their own short-term scatter; a diamond is a signal: "
        "beyond the limits, or eight in a row on one side. Of a long series that only scatters one run in 150 is one."
    )
    return f"<h2>{tr('Each bench over time')}</h2><p>{how}{more}</p><div class='charts'>{shown}</div>"
