"""The pooled report: one self-contained page, nothing fetched, no script."""

from __future__ import annotations

import math
from collections.abc import Iterable
from html import escape
from importlib import resources
from pathlib import Path

from acquire.pool.figures import air_figure, benches_figure, chart_figure, curve_figure, drawn_benches, mandel_figure
from acquire.pool.outcome import BenchRow, PoolOutcome
from acquire.pool.runs_section import runs_section
from acquire.pool.summary import RunSummary
from acquire.report.text import MINUS, quantity
from acquire.version import VERSION

MOST_CHARTS = 24
REASONS = {
    "leak": "a leak",
    "air": "the amount of air",
    "thermometer": "the thermometer",
    "pressure sensor": "the pressure sensor",
    "liquid": "another liquid",
    "curve": "no single fault",
}
EXTRA_CSS = """
.charts { display: grid; grid-template-columns: repeat(auto-fill, minmax(17rem, 1fr)); gap: .6rem 1.2rem; }
.charts h3 { margin: .3rem 0 0; }
table.all { width: 100%; }
.answer .number { font-size: clamp(1.6rem, 6vw, 2.4rem); }
.compare { width: 100%; }
.compare th { font-weight: 400; }
.compare td { padding-top: .2rem; padding-bottom: .2rem; }
"""


def write_pool_page(outcome: PoolOutcome, path: str | Path, runs: Iterable[RunSummary] = ()) -> Path:
    """Write the page, with a list of these runs; the path it was written to."""
    path = Path(path)
    path.write_text(pool_page(outcome, runs_section(runs, path.parent, outcome.runs)), encoding="utf-8")
    return path


def pool_page(outcome: PoolOutcome, runs: str = "") -> str:
    """The page as text, with the list of the single runs."""
    title = f"{outcome.runs} runs with {outcome.liquid}, pooled"
    body = "".join(
        part
        for part in (
            _header(outcome, title),
            "<main>",
            _answer(outcome),
            _standing_out(outcome),
            _benches(outcome),
            _precision(outcome),
            _curve(outcome),
            _blind(outcome),
            _charts(outcome),
            runs,
            _left_out(outcome),
            _method(outcome),
            "</main>",
        )
    )
    return whole_page(title, body)


def whole_page(title: str, body: str) -> str:
    """A page of the report's style around a body; the footer that every page of ours has is added."""
    css = resources.files("acquire.report").joinpath("report.css").read_text(encoding="utf-8")
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f'<meta name="generator" content="satline {VERSION}">\n<title>{escape(title)}</title>\n'
        f'<link rel="icon" href="data:,">\n<style>\n{css}{EXTRA_CSS}</style>\n</head>\n<body>\n{body}{_footer()}'
        "</body>\n</html>\n"
    )


def _header(outcome: PoolOutcome, title: str) -> str:
    banner = '<p class="banner">All of these runs are simulated.</p>' if outcome.simulated else ""
    benches = len(outcome.benches)
    return (
        f"<header><h1>{escape(title)}</h1><p class='quiet'>{benches} bench{'es' * (benches != 1)}, air treated as "
        f"{escape(outcome.air or 'not said')}</p>{banner}</header>"
    )


def _answer(outcome: PoolOutcome) -> str:
    found = outcome.consensus
    low, high = (x / 1e3 for x in found.interval_95)
    number, _, unit = _kj(found.value, found.standard_uncertainty).rpartition("\N{NO-BREAK SPACE}")
    new_low, new_high = (x / 1e3 for x in found.prediction_95)
    parts = [
        "<div class='answer'><div><p class='name'>Consensus of the enthalpy of vaporisation at 298.15 K</p>",
        f"<p class='number'>{escape(number)} <span class='unit'>{escape(unit)}</span></p>",
        f"<p class='interval'>95 % interval {low:.2f} to {high:.2f} kJ/mol</p>",
        f"<p>Another run on another bench would lie between {new_low:.2f} and {new_high:.2f} kJ/mol in 95 of 100 "
        "cases, its own reading noise apart.</p>",
        "</div><div>",
        "<table class='compare'><caption>The same runs by simpler means, for comparison</caption><tbody>",
        _row("plain average", _kj(outcome.average, outcome.average_u)),
        _row("weighted, taken as independent", _kj(outcome.weighted, outcome.weighted_u)),
    ]
    if outcome.outlying and outcome.with_all is not found:
        parts.append(
            _row("with the benches that stand out", _kj(outcome.with_all.value, outcome.with_all.standard_uncertainty))
        )
    if math.isfinite(outcome.reference):
        parts.append(_row("table value", _kj(outcome.reference, outcome.u_reference)))
    parts.append("</tbody></table><p class='quiet'>The first two take what benches share (one barometer, one set of "
                 "liquid data) for independent and are too sure of themselves.</p></div></div>")  # fmt: skip
    return "".join(parts)


def _standing_out(outcome: PoolOutcome) -> str:
    if not outcome.outlying:
        if outcome.curve is None:
            return ""
        return "<h2>Benches that stand out</h2><p>None of the benches stands out from the others.</p>"
    items = []
    for one in outcome.outlying:
        also = f" It could also be {_either(REASONS[r] for r in one.other_reasons)}." if one.other_reasons else ""
        chance = f"{one.p_value:.1g}" if one.p_value > 1e-6 else "under one in a million"
        items.append(
            f"<li class='doubt'><p><span class='severity'>{escape(one.bench)}: {escape(REASONS[one.reason])}.</span> "
            f"{escape(one.text)}{escape(also)}</p><p class='quiet'>{escape(one.advice)} "
            f"Chance of this in a campaign without any fault: {chance}.</p></li>"
        )
    left = "" if outcome.with_all is outcome.consensus else " They are not in the consensus above."
    return (
        "<h2>Benches that stand out</h2><p>Each bench was compared with all others together: its points with their "
        f"curve, its air, its pressure sensor.{left}</p><ul class='findings'>{''.join(items)}</ul>"
    )


def _either(words: Iterable[str]) -> str:
    listed = list(words)
    return listed[0] if len(listed) == 1 else f"{', '.join(listed[:-1])} or {listed[-1]}"


def _benches(outcome: PoolOutcome) -> str:
    drawn = drawn_benches(outcome)
    more = (
        f" The {len(drawn)} most extreme of {len(outcome.benches)} are drawn."
        if len(drawn) < len(outcome.benches)
        else ""
    )
    head = "".join(
        f"<th class='n' scope='col'>{name}<span class='u'>{unit}</span></th>"
        for name, unit in (
            ("runs", ""), ("mean", "kJ/mol"), ("u", "kJ/mol"), ("scatter", "kJ/mol"), ("z", ""), ("ζ", ""),
            ("E<sub>n</sub>", ""), ("h", ""), ("k", ""), ("change a year", "kJ/mol"),
        )
    )  # fmt: skip
    rows = "".join(_bench_row(row) for row in drawn)
    return (
        f"<h2>The benches</h2><figure>{benches_figure(outcome)}<figcaption>Mean of each bench with its 95 % interval; "
        "blue band: the consensus with its 95 % interval; dashed: the table value; diamonds: benches that stand out."
        f"{more}</figcaption></figure><div class='scroll' tabindex='0'><table class='all'><caption>z: against the "
        "robust spread of all benches (3 and above calls for action); ζ: against the stated uncertainties (2 and "
        "above is a warning); E<sub>n</sub>: the same with expanded uncertainties (1 and above calls for action)."
        f"</caption><thead><tr><th scope='col'>bench</th>{head}<th scope='col'>remarks</th></tr></thead>"
        f"<tbody>{rows}</tbody></table></div>"
    )


def _bench_row(row: BenchRow) -> str:
    change = number_text(row.trend.slope / 1e3, 2) if row.trend and row.changes else "—"
    remarks = []
    if row.outlying:
        remarks.append(REASONS[row.outlying.reason])
    if row.chart and row.chart.signals:
        remarks.append(f"{len(row.chart.signals)} signal{'s' * (len(row.chart.signals) != 1)} on its chart")
    if row.changes:
        remarks.append("changes with time")
    scores = (row.z, row.zeta, row.e_n, row.h, row.k)
    cells = (
        str(row.runs),
        *(number_text(value / 1e3, 2) for value in (row.mean, row.u, row.deviation)),
        *(number_text(value, 1) for value in scores),
        change,
    )
    numbers = "".join(f"<td class='n'>{cell}</td>" for cell in cells)
    return f"<tr><th scope='row'>{escape(row.bench)}</th>{numbers}<td>{escape('; '.join(remarks))}</td></tr>"


def _precision(outcome: PoolOutcome) -> str:
    found, judged = outcome.precision, outcome.consistency
    if found is None:
        return (
            "<h2>Precision of the method</h2><p>It takes at least two benches and one bench with two runs to say how "
            "well runs repeat.</p>"
        )
    rows = (
        ("repeatability s<sub>r</sub>, runs of one bench", found.repeatability, found.repeatability_limit),
        ("between benches s<sub>L</sub>", found.between, math.nan),
        ("reproducibility s<sub>R</sub>, runs of any bench", found.reproducibility, found.reproducibility_limit),
    )
    body = "".join(
        f"<tr><th scope='row'>{name}</th><td class='n'>{number_text(s / 1e3, 3)}</td>"
        f"<td class='n'>{number_text(limit / 1e3, 2)}</td></tr>"
        for name, s, limit in rows
    )
    text = (
        "<h2>Precision of the method</h2><table><caption>ISO 5725-2; without the benches that stand out. Two runs "
        "differ by more than the limit in one of twenty cases.</caption><thead><tr><th scope='col'></th>"
        "<th class='n' scope='col'>standard deviation<span class='u'>kJ/mol</span></th><th class='n' scope='col'>"
        f"limit<span class='u'>kJ/mol</span></th></tr></thead><tbody>{body}</tbody></table>"
    )
    if judged is None or len(judged.benches) > 80:
        return text
    tests = "".join(
        f"<li>{escape(test.name)}: {'outlier (1 %)' if test.outlier else 'straggler (5 %)'} — "
        f"{escape(', '.join(str(judged.benches[i]) for i in test.suspects))}</li>"
        for test in judged.tests
        if test.outlier or test.straggler
    )
    said = f"<ul>{tests}</ul>" if tests else "<p>No test of Cochran or Grubbs finds an outlying bench.</p>"
    figures = _figure(mandel_figure(outcome, "h"), "Mandel's h: each bench's mean among the others.")
    if any(math.isfinite(k) for k in judged.k):
        figures += _figure(mandel_figure(outcome, "k"), "Mandel's k: the scatter of each bench's runs.")
    return text + "<h3>All benches among each other</h3>" + said + figures


def _curve(outcome: PoolOutcome) -> str:
    pooled = outcome.curve
    if pooled is None:
        return ""
    curve = pooled.curve
    pressure = math.exp(curve.ln_pressure)
    capacity = f"({curve.heat_capacity:.0f} ± {pooled.u('heat_capacity'):.0f}) J/(mol K)".replace("-", MINUS)
    rows = (
        ("vapour pressure at 298.15 K", quantity(pressure, pressure * pooled.u("ln_pressure"), "kPa")),
        ("enthalpy of vaporisation at 298.15 K", _kj(curve.enthalpy_vap, pooled.u("enthalpy_vap"))),
        ("change of the enthalpy with temperature", capacity),
        ("readings about the curve, χ² over degrees of freedom", f"{pooled.chi2:.0f} over {pooled.dof}"),
    )
    body = "".join(_row(name, value) for name, value in rows)
    return (
        "<h2>One curve through all points</h2><p>Every point of every run that does not stand out, fitted together: "
        "each sensor's errors once, the heat-capacity difference free.</p>"
        f"<table><tbody>{body}</tbody></table><figure>{curve_figure(outcome)}<figcaption>The pooled curve less that of "
        "the liquid table, with its 95 % band.</figcaption></figure>"
    )


def _blind(outcome: PoolOutcome) -> str:
    found = outcome.air_share
    if found is None:
        return ""
    low, high = (100 * x for x in found.interval_95)
    said = (
        f"Beside the table's curve the benches' points follow the share of air: as if each cell held "
        f"{100 * found.slope:+.2f} % of the air that its inputs say ({low:+.2f} % to {high:+.2f} %). That is an error "
        "the whole method has in common; humidity, volumes and the way of closing the cell are the first to look at."
        if found.significant
        else "The points do not follow the share of air beside the table's curve: an error of the air that all have "
        f"in common lies between {low:+.2f} % and {high:+.2f} %."
    )
    figure = (
        _figure(
            air_figure(outcome),
            "Means of points with a similar share of air, 95 % intervals as if points were independent; line and "
            "band: the error of the air that the benches, each one vote, have in common.",
        )
        if len(found.steps) >= 2
        else ""
    )
    return f"<h2>What no single run can see</h2><p>{said.replace('-', MINUS)}</p>{figure}"


def _charts(outcome: PoolOutcome) -> str:
    rows = [row for row in outcome.benches if row.chart]
    if not rows:
        return ""
    rows.sort(key=lambda row: -len(row.chart.signals) if row.chart else 0)
    shown = "".join(f"<div><h3>{escape(row.bench)}</h3>{chart_figure(row)}</div>" for row in rows[:MOST_CHARTS])
    more = f" The {MOST_CHARTS} with the most signals of {len(rows)} are drawn." if len(rows) > MOST_CHARTS else ""
    return (
        "<h2>Each bench over time</h2><p>Single runs in order of time between limits made of their own short-term "
        f"scatter; a diamond is a signal: beyond the limits, or eight in a row on one side.{more}</p>"
        f"<div class='charts'>{shown}</div>"
    )


def _left_out(outcome: PoolOutcome) -> str:
    if not outcome.left_out:
        return ""
    rows = "".join(
        f"<tr><td class='n'>{count}</td><td>{escape(reason)}</td></tr>" for reason, count in outcome.left_out[:20]
    )
    more = (
        f"<p class='quiet'>And {len(outcome.left_out) - 20} further reasons.</p>" if len(outcome.left_out) > 20 else ""
    )
    return (
        "<h2>Left out</h2><p>Which file is left out for which reason stands in the table of runs.</p>"
        f"<table><thead><tr><th class='n' scope='col'>files</th><th scope='col'>reason</th></tr></thead>"
        f"<tbody>{rows}</tbody></table>{more}"
    )


def _method(outcome: PoolOutcome) -> str:
    found = outcome.consensus
    between = (
        f"between runs {found.between_runs / 1e3:.2f} kJ/mol"
        if math.isnan(found.between_benches)
        else f"between runs of a bench {found.between_runs / 1e3:.2f} kJ/mol, between benches "
        f"{found.between_benches / 1e3:.2f} kJ/mol ({found.between_benches_95[0] / 1e3:.2f} to "
        f"{found.between_benches_95[1] / 1e3:.2f})"
    )
    source = f" Table value: {escape(outcome.reference_source)}." if outcome.reference_source else ""
    return (
        "<h2>How it was done</h2><p>Restricted likelihood with the parts of each run's uncertainty that others share "
        "(pressure sensor, thermometer, cell, liquid data) kept as correlations, averaged over the plausible amounts "
        f"of unexplained scatter: {between}. Even endless runs on the same benches would leave "
        f"{found.common / 1e3:.2f} kJ/mol.{source}</p>"
    )


def _footer() -> str:
    return (
        "<footer><p class='quiet'>satline controls nothing and is not a safety device. Local rules, the safety data "
        f"sheet and the person in charge decide. Made by satline {VERSION}.</p></footer>"
    )


def _figure(drawing: str, caption: str) -> str:
    return f"<figure>{drawing}<figcaption>{caption}</figcaption></figure>"


def _row(name: str, value: str) -> str:
    return f"<tr><th scope='row'>{escape(name)}</th><td class='n'>{escape(value)}</td></tr>"


def _kj(value: float, u: float) -> str:
    return quantity(value, u, "kJ/mol")


def number_text(value: float, digits: int) -> str:
    """With so many decimals and a real minus sign; a dash where there is none."""
    if not math.isfinite(value):
        return "—"
    return f"{value:.{digits}f}".replace("-", MINUS)
