"""The pooled report: one self-contained page, nothing fetched, no script."""

from __future__ import annotations

import math
from collections.abc import Iterable
from html import escape
from importlib import resources
from pathlib import Path

from acquire.pool.benches_section import benches_section, charts_section
from acquire.pool.figures import air_figure, curve_figure, mandel_figure
from acquire.pool.outcome import PoolOutcome
from acquire.pool.parts import figure, kilojoules, number_text, row
from acquire.pool.runs_section import runs_section
from acquire.pool.summary import RunSummary
from acquire.pool.words import ADVICE, AIR, REASONS, decimals_of, why_words
from acquire.report.given_words import cited
from acquire.report.language import counted, language, said, spoken, tr
from acquire.report.refused_files import told
from acquire.report.text import K_IS_1, SPACE, quantity, typeset
from acquire.version import VERSION

MOST_NAMED = 80  # benches; of more the tests of one against all are not drawn
#: Names of the tests of benches.
TESTS = {
    "Cochran": said("Cochran"),
    "Grubbs, largest": said("Grubbs, largest"),
    "Grubbs, smallest": said("Grubbs, smallest"),
    "Grubbs, two largest": said("Grubbs, two largest"),
    "Grubbs, two smallest": said("Grubbs, two smallest"),
}
EXTRA_CSS = """
.charts { display: grid; grid-template-columns: repeat(auto-fill, minmax(17rem, 1fr)); gap: .6rem 1.2rem; }
.charts h3 { margin: .3rem 0 0; }
table.all { width: 100%; }
table.all th[scope=row], table.study th[scope=row] { white-space: nowrap; }
table.study thead th { white-space: normal; min-width: 4.2rem; }
.answer .number { font-size: clamp(1.6rem, 6vw, 2.4rem); }
.compare { width: 100%; }
.compare th { font-weight: 400; }
.compare td { padding-top: .2rem; padding-bottom: .2rem; }
@media screen and (max-width: 34rem) { .drawn svg { min-width: 44rem; } thead th.n { white-space: normal; } }
"""


def write_pool_page(
    outcome: PoolOutcome, path: str | Path, runs: Iterable[RunSummary] = (), language: str = "en"
) -> Path:
    """Write the page in a language, with a list of these runs; the path it was written to."""
    path = Path(path)
    path.write_text(pool_page(outcome, runs, path.parent, language), encoding="utf-8")
    return path


def pool_page(
    outcome: PoolOutcome, runs: Iterable[RunSummary] = (), folder: str | Path = ".", language: str = "en"
) -> str:
    """The page as text, with a list of these runs that leads to their files from this folder."""
    with spoken(language):
        title = tr("{0} runs with {1}, pooled").format(typeset(str(outcome.runs)), tr(outcome.liquid))
        body = "".join(
            (
                _header(outcome, title),
                "<main>",
                _answer(outcome),
                _standing_out(outcome),
                benches_section(outcome),
                _precision(outcome),
                _curve(outcome),
                _blind(outcome),
                charts_section(outcome),
                runs_section(runs, folder, outcome.runs),
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
        f'<!doctype html>\n<html lang="{language().code}">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f'<meta name="generator" content="satline {VERSION}">\n<title>{escape(title)}</title>\n'
        f'<link rel="icon" href="data:,">\n<style>\n{css}{EXTRA_CSS}</style>\n</head>\n<body>\n{body}{_footer()}'
        "</body>\n</html>\n"
    )


def _header(outcome: PoolOutcome, title: str) -> str:
    banner = f'<p class="banner">{tr("All of these runs are simulated.")}</p>' if outcome.simulated else ""
    air = tr("air: {0}").format(tr(AIR.get(outcome.air, outcome.air)) if outcome.air else tr("not said"))
    benches = counted("{0} bench", "{0} benches", len(outcome.benches))
    return f"<header><h1>{escape(title)}</h1><p class='quiet'>{benches}, {escape(air)}</p>{banner}</header>"


def _answer(outcome: PoolOutcome) -> str:
    found = outcome.consensus
    low, high, new_low, new_high = (number_text(x / 1e3, 2) for x in (*found.interval_95, *found.prediction_95))
    number, _, unit = kilojoules(found.value, found.standard_uncertainty).rpartition(SPACE)
    new = tr(
        "Another run on another bench would lie between {0} and {1} kJ/mol in 95 of 100 cases, its own reading noise "
        "apart."
    )
    parts = [
        "<div class='answer pair'><div>",
        f"<p class='name'>{tr('Consensus of the enthalpy of vaporisation at 298.15 K')}</p>",
        f"<p class='number'>{escape(number)} <span class='unit'>{escape(unit)}</span></p>",
        f"<p class='interval'>{tr('95 % interval {0} to {1} kJ/mol').format(low, high)}</p>",
        f"<p>{new.format(new_low, new_high)}</p></div><div><table class='compare'><caption>",
        tr("All runs by simpler means, for comparison"),
        "</caption><tbody>",
        row(tr("plain average"), kilojoules(outcome.average, outcome.average_u)),
        row(tr("weighted, taken as independent"), kilojoules(outcome.weighted, outcome.weighted_u)),
    ]
    if outcome.outlying and outcome.with_all is not found:
        everybody = kilojoules(outcome.with_all.value, outcome.with_all.standard_uncertainty)
        parts.append(row(tr("with the benches that stand out"), everybody))
    if math.isfinite(outcome.reference):
        parts.append(row(tr("table value"), kilojoules(outcome.reference, outcome.u_reference)))
    sure = tr(
        "The first two take what benches share (one barometer, one set of liquid data) for independent and are too "
        "sure of themselves. What stands behind ± is one standard uncertainty {0}."
    ).format(K_IS_1)
    return "".join([*parts, f"</tbody></table><p class='quiet'>{sure}</p></div></div>"])


def _standing_out(outcome: PoolOutcome) -> str:
    heading = f"<h2>{tr('Benches that stand out')}</h2>"
    if not outcome.outlying:
        nobody = tr("No bench stands out from the others.")
        return "" if outcome.curve is None else f"{heading}<p>{nobody}</p>"
    items = []
    for one in outcome.outlying:
        also = ", ".join(tr(REASONS[reason]) for reason in one.other_reasons)
        also = f" {tr('It could also be: {0}.').format(also)}" if also else ""
        chance = typeset(f"{one.p_value:.1g}") if one.p_value > 1e-6 else tr("under one in a million")
        likely = tr("Chance of this in a campaign without any fault: {0}.").format(chance)
        items.append(
            f"<li class='doubt'><p><span class='severity'>{escape(one.bench)}: {escape(tr(REASONS[one.reason]))}."
            f"</span> {escape(why_words(one, tr, number_text) + also)}</p><p class='quiet'>"
            f"{escape(tr(ADVICE[one.reason]))} {likely}</p></li>"
        )
    how = tr("Each bench was compared with all others together: its points with their curve, its air, its sensors.")
    left = "" if outcome.with_all is outcome.consensus else " " + tr("They are not in the consensus above.")
    return f"{heading}<p>{how}{left}</p><ul class='findings'>{''.join(items)}</ul>"


def _precision(outcome: PoolOutcome) -> str:
    found, judged = outcome.precision, outcome.consistency
    heading = f"<h2>{tr('Precision of the method')}</h2>"
    if found is None:
        few = tr("It takes at least two benches and one bench with two runs to say how well runs repeat.")
        return f"{heading}<p>{few}</p>"
    rows = (
        (tr("repeatability s<sub>r</sub>, runs of one bench"), found.repeatability, found.repeatability_limit),
        (tr("between benches s<sub>L</sub>"), found.between, math.nan),
        (tr("reproducibility s<sub>R</sub>, runs of any bench"), found.reproducibility, found.reproducibility_limit),
    )
    body = "".join(
        f"<tr><th scope='row'>{name}</th><td class='n'>{number_text(s / 1e3, 3)}</td>"
        f"<td class='n'>{number_text(limit / 1e3, 2)}</td></tr>"
        for name, s, limit in rows
    )
    caption = tr(
        "ISO 5725-2; without the benches that stand out. Two runs differ by more than the limit in one of twenty cases."
    )
    text = (
        f"{heading}<p class='quiet'>{caption}</p><div class='scroll' tabindex='0'><table><thead><tr>"
        f"<th scope='col'></th><th class='n' scope='col'>{tr('standard deviation')}<span class='u'>kJ/mol</span></th>"
        f"<th class='n' scope='col'>{tr('limit')}<span class='u'>kJ/mol</span></th></tr></thead>"
        f"<tbody>{body}</tbody></table></div>"
    )
    if judged is None or len(judged.benches) > MOST_NAMED:
        return text
    tests = "".join(
        f"<li>{escape(tr(TESTS.get(test.name, test.name)))}: "
        f"{tr('outlier (1 %)') if test.outlier else tr('straggler (5 %)')} — "
        f"{escape(', '.join(str(judged.benches[i]) for i in test.suspects))}</li>"
        for test in judged.tests
        if test.outlier or test.straggler
    )
    none = tr("No test of Cochran or Grubbs finds an outlying bench.")
    figures = figure(mandel_figure(outcome, "h"), tr("Mandel's h: each bench's mean among the others."))
    if any(math.isfinite(k) for k in judged.k):
        figures += figure(mandel_figure(outcome, "k"), tr("Mandel's k: the scatter of each bench's runs."))
    said_by_tests = f"<ul>{tests}</ul>" if tests else f"<p>{none}</p>"
    return f"{text}<h3>{tr('All benches among each other')}</h3>{said_by_tests}{figures}"


def _curve(outcome: PoolOutcome) -> str:
    pooled = outcome.curve
    if pooled is None:
        return ""
    curve = pooled.curve
    pressure = math.exp(curve.ln_pressure)
    capacity = f"{curve.heat_capacity:.0f} ± {pooled.u('heat_capacity'):.0f}"
    rows = (
        (tr("vapour pressure at 298.15 K"), quantity(pressure, pressure * pooled.u("ln_pressure"), "kPa")),
        (tr("enthalpy of vaporisation at 298.15 K"), kilojoules(curve.enthalpy_vap, pooled.u("enthalpy_vap"))),
        (tr("change of the enthalpy with temperature"), f"({typeset(capacity)}){SPACE}J/(mol{SPACE}K)"),
        (
            tr("readings about the curve, χ² over degrees of freedom"),
            tr("{0} over {1}").format(typeset(f"{pooled.chi2:.0f}"), typeset(str(pooled.dof))),
        ),
    )
    how = tr(
        "Every point of every run that does not stand out, fitted together: each sensor's errors once, the "
        "heat-capacity difference free."
    )
    under = tr("The pooled curve less that of the liquid table, with its 95 % band.")
    return (
        f"<h2>{tr('One curve through all points')}</h2><p>{how}</p><table><tbody>"
        f"{''.join(row(name, value) for name, value in rows)}</tbody></table>{figure(curve_figure(outcome), under)}"
    )


def _blind(outcome: PoolOutcome) -> str:
    found = outcome.air_share
    if found is None:
        return ""
    decimals = decimals_of(found.interval_95, 100.0)
    slope, low, high = (number_text(100 * x, decimals, signed=True) for x in (found.slope, *found.interval_95))
    words = (
        tr(
            "Beside the table's curve the benches' points follow the share of air, as if each cell held {0} % of air "
            "more than its inputs say ({1} % to {2} %). That is an error the whole method has in common; humidity, "
            "volumes and the way of closing the cell are the first to look at."
        )
        if found.significant
        else tr(
            "The points do not follow the share of air beside the table's curve: an error of the air that all have in "
            "common lies between {1} % and {2} %."
        )
    )
    under = tr(
        "Means of points with a similar share of air, 95 % intervals as if points were independent; line and band: the "
        "error of the air that the benches, each one vote, have in common."
    )
    drawn = figure(air_figure(outcome), under) if len(found.steps) >= 2 else ""
    return f"<h2>{tr('What no single run can see')}</h2><p>{words.format(slope, low, high)}</p>{drawn}"


def _left_out(outcome: PoolOutcome) -> str:
    if not outcome.left_out:
        return ""
    # the reasons are quoted as they stand in the table of runs
    rows = "".join(
        f"<tr><td class='n'>{count}</td>{_reason_cell(reason)}</tr>" for reason, count in outcome.left_out[:20]
    )
    others = len(outcome.left_out) - 20
    more = f"<p class='quiet'>{tr('And {0} further reasons.').format(others)}</p>" if others > 0 else ""
    where = tr("Which file is left out for which reason stands in the table of runs.")
    return (
        f"<h2>{tr('Left out')}</h2><p>{where}</p><table><thead><tr><th class='n' scope='col'>{tr('files')}</th>"
        f"<th scope='col'>{tr('reason')}</th></tr></thead><tbody>{rows}</tbody></table>{more}"
    )


def _reason_cell(reason: str) -> str:
    """A reason that is not known in the language of the page is quoted as it stands in the table of runs."""
    words = told(reason)
    return f"<td>{escape(words)}</td>" if words else f"<td lang='en'>{escape(reason)}</td>"


def _method(outcome: PoolOutcome) -> str:
    found = outcome.consensus
    runs, benches, low, high, common = (
        number_text(x / 1e3, 2)
        for x in (found.between_runs, found.between_benches, *found.between_benches_95, found.common)
    )
    scatter = (
        tr("between runs {0} kJ/mol")
        if math.isnan(found.between_benches)
        else tr("between runs of a bench {0} kJ/mol, between benches {1} kJ/mol ({2} to {3})")
    ).format(runs, benches, low, high)
    source = f" {tr('Table value: {0}.').format(cited(outcome.reference_source))}" if outcome.reference_source else ""
    weights = tr(
        "Runs and benches are weighed by what they do not share: their own uncertainty and the scatter that the stated "
        "uncertainties leave unexplained. Benches with an error in common that others do not have, as one barometer in "
        "one room, count less, and no weight is below zero."
    )
    shared = tr(
        "What runs share (pressure sensor, thermometer, cell, liquid data) stays whole in the uncertainty of the mean; "
        "small differences between the stated parts are not taken for knowledge of the common error."
    )
    averaged = tr("The unexplained scatter is averaged over its plausible amounts (restricted likelihood): {0}.")
    endless = tr("Even endless runs on the same benches would leave {0} kJ/mol.")
    return (
        f"<h2>{tr('How it was done')}</h2><p>{weights} {shared}</p><p>{averaged.format(scatter)} "
        f"{endless.format(common)}{escape(source)}</p>"
    )


def _footer() -> str:
    care = tr(
        "satline controls nothing and is not a safety device. Local rules, the safety data sheet and the person in "
        "charge decide."
    )
    return f"<footer><p class='quiet'>{care} {tr('Made by satline {0}.').format(VERSION)}</p></footer>"
