"""The study as one self-contained page: what each choice gains, and every combination."""

from __future__ import annotations

import math
from html import escape
from typing import Any

from acquire.pool.drawing import Drawing, padded
from acquire.pool.page import number_text, whole_page
from acquire.pool.study import Gain, SettingResult, StudyOutcome
from acquire.report import palette

NAMES = {
    "plateaus": "points",
    "span": "span",
    "wait": "wait",
    "take": "point taken",
    "return_point": "return point",
    "sensors": "sensors",
    "physics": "physics",
}


def choice_text(factor: str, choice: Any) -> str:
    """A choice as a reader sees it."""
    if factor == "span":
        return f"{choice:g}\N{NO-BREAK SPACE}K"
    if factor == "wait":
        return f"{choice / 60:g}\N{NO-BREAK SPACE}min" if choice >= 120 else f"{choice:g}\N{NO-BREAK SPACE}s"
    if factor == "take":
        return "when settled" if choice == "settled" else "as waited"
    if factor == "return_point":
        return "with" if choice else "without"
    return str(choice)


def study_page(outcome: StudyOutcome) -> str:
    """The page as text."""
    plan = outcome.plan
    total = plan.runs * len(outcome.results)
    body = (
        f"<header><h1>{escape(plan.title)}</h1><p class='quiet'>{total} simulated runs with {escape(plan.liquid)}, "
        f"{plan.runs} for each of {len(outcome.results)} combinations</p>"
        "<p class='banner'>All of these runs are simulated.</p></header><main>"
        + _gains(outcome)
        + _trade(outcome)
        + _all(outcome)
        + _method(outcome)
        + "</main>"
    )
    return whole_page(plan.title, body)


def _gains(outcome: StudyOutcome) -> str:
    if not outcome.gains:
        return "<h2>What each choice gains</h2><p>Nothing was varied: give lists of two and more choices.</p>"
    rows = "".join(_gain_row(gain) for gain in outcome.gains)
    return (
        "<h2>What each choice gains</h2><div class='scroll' tabindex='0'><table><caption>Each choice beside the first "
        "of its kind, everything else averaged over.</caption><thead><tr><th scope='col'>choice</th>"
        "<th class='n' scope='col'>error, beside the first</th><th class='n' scope='col'>stated u<span class='u'>kJ/mol"
        "</span></th><th class='n' scope='col'>95 % interval covers<span class='u'>%</span></th><th class='n' "
        f"scope='col'>time of a run<span class='u'>min</span></th></tr></thead><tbody>{rows}</tbody></table></div>"
    )


def _gain_row(gain: Gain) -> str:
    change = "—" if gain.rms_ratio == 1.0 else f"{100 * (gain.rms_ratio - 1):+.0f} %".replace("-", "\N{MINUS SIGN}")
    return (
        f"<tr><th scope='row'>{escape(NAMES[gain.factor])}: {escape(choice_text(gain.factor, gain.choice))}</th>"
        f"<td class='n'>{change}</td><td class='n'>{number_text(gain.mean_u / 1e3, 2)}</td>"
        f"<td class='n'>{number_text(100 * gain.coverage, 1)}</td>"
        f"<td class='n'>{number_text(gain.duration / 60, 0)}</td></tr>"
    )


def _trade(outcome: StudyOutcome) -> str:
    """Error against time: what an extra quarter of an hour buys."""
    good = [r for r in outcome.results if math.isfinite(r.rms)]
    if len(good) < 2:
        return ""
    xs = padded([r.duration / 60 for r in good])
    top = 1.08 * max(r.rms / 1e3 for r in good)
    draw = Drawing(760, 300, xs, (0.0, top), (56, 120, 26, 44))
    draw.x_axis("time of a run / min")
    draw.y_axis("rms error / (kJ/mol)")
    sets = list(dict.fromkeys(r.setting.sensors for r in good))
    colours = (palette.PRESSURE, palette.TEMPERATURE, palette.INK, palette.MUTED)
    for r in good:
        place = sets.index(r.setting.sensors)
        mark = draw.diamond if place % 2 else draw.dot
        mark(r.duration / 60, r.rms / 1e3, colours[place % 4])
    for place, name in enumerate(sets):
        at = 40 + 18 * place
        shape = "◆" if place % 2 else "●"
        draw.text(draw.right + 10, at, f"{shape} {name}"[:18], colour=colours[place % 4])
    svg = draw.svg("Error of a run against the time it takes, one mark for each combination")
    return (
        f"<h2>Error against time</h2><figure>{svg}<figcaption>One mark for each combination; lower and further left is "
        "better.</figcaption></figure>"
    )


def _all(outcome: StudyOutcome) -> str:
    heads = [*NAMES.values()]
    head = "".join(f"<th scope='col'>{name}</th>" for name in heads) + "".join(
        f"<th class='n' scope='col'>{name}<span class='u'>{unit}</span></th>"
        for name, unit in (
            ("rms error", "kJ/mol"), ("bias", "kJ/mol"), ("stated u", "kJ/mol"), ("covers", "%"), ("refused", "%"),
            ("textbook rms", "kJ/mol"), ("leaks found", "%"), ("time", "min"),
        )
    )  # fmt: skip
    ordered = sorted(outcome.results, key=lambda r: r.rms if math.isfinite(r.rms) else math.inf)
    rows = "".join(_setting_row(r) for r in ordered)
    return (
        "<h2>Every combination, best first</h2><div class='scroll' tabindex='0'><table class='all'><thead>"
        f"<tr>{head}</tr></thead><tbody>{rows}</tbody></table></div>"
    )


def _setting_row(r: SettingResult) -> str:
    texts = "".join(f"<td>{escape(choice_text(name, value))}</td>" for name, value in r.setting.as_dict().items())
    numbers = (
        (r.rms / 1e3, 2), (r.bias / 1e3, 2), (r.mean_u / 1e3, 2), (100 * r.coverage, 1), (100 * r.refused, 1),
        (r.textbook_rms / 1e3, 2), (100 * r.leaks_found, 0), (r.duration / 60, 0),
    )  # fmt: skip
    cells = "".join(f"<td class='n'>{number_text(value, digits)}</td>" for value, digits in numbers)
    return f"<tr>{texts}{cells}</tr>"


def _method(outcome: StudyOutcome) -> str:
    spread = 100 * math.sqrt(0.05 * 0.95 / outcome.plan.runs)
    leak = outcome.plan.mishaps.leak
    leaks = f" In {100 * leak:g} % of the runs the cell leaks." if leak else ""
    return (
        "<h2>How it was done</h2><p>Each run is simulated second by second with its own lags, drifts and sensor "
        "errors, read as the sensors of the combination would read it, and fitted with the uncertainties that belong "
        "to those sensors. A point taken as waited stands a fixed time after the hot water without correction for lag; "
        "one taken as settled when the settling judge offers it, at the latest after the wait, and is corrected. All "
        f"combinations use the same benches. A coverage is known to ±{spread:.1f} % (one standard deviation).{leaks} "
        "These are limits for a bench that behaves like the simulated ones, not a promise for a real flask.</p>"
    )
