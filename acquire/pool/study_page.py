"""The study as one self-contained page: what each choice gains, and every combination."""

from __future__ import annotations

import math
from html import escape
from typing import Any

from acquire.pool.drawing import Drawing, padded
from acquire.pool.page import whole_page
from acquire.pool.parts import figure, number_text
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
    "mishaps": "mishaps",
}
MISHAPS = {
    "": "none",
    "leak": "the cell leaks",
    "stopper_lifts": "the stopper lifts once",
    "air_with_charge": "air goes in with the liquid",
    "plunger_left_in": "the plunger is not drawn back",
    "cell_not_soaked": "the cell is closed too early",
    "small_charge": "too little liquid",
    "stirrer_stops": "the bath is not stirred",
    "sensors_swapped": "the sensors are swapped",
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
    if factor == "mishaps":
        return {0.0: "none", 1.0: "as stated"}.get(choice, f"{choice:g} times")
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
        + _gains_figure(outcome)
        + _trade(outcome)
        + _mishaps(outcome)
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
        "of its kind, everything else averaged over; sound runs are those to which nothing happened.</caption>"
        "<thead><tr><th scope='col'>choice</th><th class='n' scope='col'>error, beside the first"
        "<span class='u'>all runs</span></th><th class='n' scope='col'>error, beside the first"
        "<span class='u'>sound runs</span></th>"
        "<th class='n' scope='col'>stated u<span class='u'>kJ/mol"
        "</span></th><th class='n' scope='col'>95 % interval covers<span class='u'>%</span></th><th class='n' "
        f"scope='col'>time of a run<span class='u'>min</span></th></tr></thead><tbody>{rows}</tbody></table></div>"
    )


def _gain_row(gain: Gain) -> str:
    changes = "".join(f"<td class='n'>{_change(ratio)}</td>" for ratio in (gain.rms_ratio, gain.sound_ratio))
    return (
        f"<tr><th scope='row'>{escape(NAMES[gain.factor])}: {escape(choice_text(gain.factor, gain.choice))}</th>"
        f"{changes}<td class='n'>{number_text(gain.mean_u / 1e3, 2)}</td>"
        f"<td class='n'>{number_text(100 * gain.coverage, 1)}</td>"
        f"<td class='n'>{number_text(gain.duration / 60, 0)}</td></tr>"
    )


def _change(ratio: float) -> str:
    """In per cent of the first choice, which has none itself."""
    if ratio == 1.0 or not math.isfinite(ratio):
        return "—"
    return f"{100 * (ratio - 1):+.0f}\N{NO-BREAK SPACE}%".replace("-", "\N{MINUS SIGN}")


def _gains_figure(outcome: StudyOutcome) -> str:
    """A bar for each choice: its error beside that of the first of its kind."""
    gains = [gain for gain in outcome.gains if gain.rms_ratio != 1.0]
    if not gains:
        return ""
    changes = [100 * (gain.rms_ratio - 1) for gain in gains]
    low, high = padded([*changes, 0.0])
    low -= 0.1 * (high - low) if min(changes) < 0 else 0.0  # room for the number beside the longest bar
    texts = [f"{NAMES[gain.factor]}: {choice_text(gain.factor, gain.choice)}" for gain in gains]
    left = min(30 + 6.4 * max(len(text) for text in texts), 300)
    draw = Drawing(760, 30 + 20 * len(gains) + 44, (low, high), (-0.8, len(gains) - 0.2), (left, 60, 12, 44))
    draw.x_axis("change of the error beside the first choice / %")
    for place, (text, change) in enumerate(zip(texts, changes, strict=True)):
        row = len(gains) - 1 - place
        colour = palette.PRESSURE if change < 0 else palette.TEMPERATURE
        a, b = sorted((draw.x(0.0), draw.x(change)))
        draw.add(
            f"<rect x='{a:.1f}' y='{draw.y(row) - 6:.1f}' width='{max(b - a, 0.8):.1f}' height='12' fill='{colour}'/>"
        )
        draw.text(draw.left - 8, draw.y(row) + 4, text, anchor="end")
        shown = _change(1 + change / 100)
        draw.text(b + 5 if change > 0 else a - 5, draw.y(row) + 4, shown, anchor="start" if change > 0 else "end")
    draw.line(0.0, -0.8, 0.0, len(gains) - 0.2, palette.INK)
    svg = draw.svg("Change of the error with each choice beside the first of its kind")
    return figure(svg, "To the left is better: the error of a run with this choice beside the first of its kind.")


def _mishaps(outcome: StudyOutcome) -> str:
    """What each mishap does to a result, and how often the program says so."""
    if len(outcome.mishaps) < 2:
        return ""
    rows = "".join(
        f"<tr><th scope='row'>{escape(MISHAPS.get(one.mishap, one.mishap))}</th><td class='n'>{one.runs}</td>"
        + "".join(
            f"<td class='n'>{number_text(value, digits)}</td>"
            for value, digits in (
                (one.bias / 1e3, 2), (one.rms / 1e3, 2), (100 * one.coverage, 0), (100 * one.noticed, 0),
            )
        )
        + "</tr>"
        for one in outcome.mishaps
    )  # fmt: skip
    return (
        "<h2>What goes wrong, and whether it is noticed</h2><div class='scroll' tabindex='0'><table><caption>All "
        "combinations together. Noticed: the fit refuses, or calls the result doubtful; of runs without a mishap these "
        "are false alarms. What a run notices from its traces while it goes on comes on top.</caption><thead><tr>"
        "<th scope='col'>mishap</th><th class='n' scope='col'>runs</th><th class='n' scope='col'>bias<span class='u'>"
        "kJ/mol</span></th><th class='n' scope='col'>rms error<span class='u'>kJ/mol</span></th><th class='n' "
        "scope='col'>interval covers<span class='u'>%</span></th><th class='n' scope='col'>noticed<span class='u'>%"
        f"</span></th></tr></thead><tbody>{rows}</tbody></table></div>"
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
    under = "One mark for each combination; lower and further left is better."
    return f"<h2>Error against time</h2>{figure(svg, under)}"


def _all(outcome: StudyOutcome) -> str:
    varied, fixed = _varied(outcome)
    head = "".join(f"<th scope='col'>{NAMES[name]}</th>" for name in varied) + "".join(
        f"<th class='n' scope='col'>{name}<span class='u'>{unit}</span></th>"
        for name, unit in (
            ("rms error", "kJ/mol"), ("bias", "kJ/mol"), ("stated u", "kJ/mol"), ("covers", "%"), ("refused", "%"),
            ("textbook rms", "kJ/mol"), ("leaks found", "%"), ("time", "min"),
        )
    )  # fmt: skip
    ordered = sorted(outcome.results, key=lambda r: r.rms if math.isfinite(r.rms) else math.inf)
    rows = "".join(_setting_row(r, varied) for r in ordered)
    same = f"<p>The same in all of them: {escape('; '.join(fixed))}.</p>" if fixed else ""
    return (
        f"<h2>Every combination, best first</h2>{same}<div class='scroll' tabindex='0'><table class='all'><thead>"
        f"<tr>{head}</tr></thead><tbody>{rows}</tbody></table></div>"
    )


def _varied(outcome: StudyOutcome) -> tuple[list[str], list[str]]:
    """Names of what differs between the combinations, and in words what does not."""
    all_of = {name: {r.setting.as_dict()[name] for r in outcome.results} for name in NAMES}
    varied = [name for name, choices in all_of.items() if len(choices) > 1]
    fixed = [
        f"{NAMES[name]} {choice_text(name, next(iter(choices)))}"
        for name, choices in all_of.items()
        if len(choices) == 1
    ]
    return varied, fixed


def _setting_row(r: SettingResult, varied: list[str]) -> str:
    chosen = r.setting.as_dict()
    texts = "".join(f"<td>{escape(choice_text(name, chosen[name]))}</td>" for name in varied)
    numbers = (
        (r.rms / 1e3, 2), (r.bias / 1e3, 2), (r.mean_u / 1e3, 2), (100 * r.coverage, 1), (100 * r.refused, 1),
        (r.textbook_rms / 1e3, 2), (100 * r.leaks_found, 0), (r.duration / 60, 0),
    )  # fmt: skip
    cells = "".join(f"<td class='n'>{number_text(value, digits)}</td>" for value, digits in numbers)
    return f"<tr>{texts}{cells}</tr>"


def _method(outcome: StudyOutcome) -> str:
    spread = 100 * math.sqrt(0.05 * 0.95 / outcome.plan.runs)
    shares = outcome.plan.mishaps.shares()
    listed = ", ".join(f"{MISHAPS[name]} ({100 * share:g} %)" for name, share in shares)
    leaks = f" Mishaps as stated: {escape(listed)}." if listed else ""
    return (
        "<h2>How it was done</h2><p>Each run is simulated second by second with its own lags, drifts and sensor "
        "errors, read as the sensors of the combination would read it, and fitted with the uncertainties that belong "
        "to those sensors. A point taken as waited stands a fixed time after the hot water without correction for lag; "
        "one taken as settled when the settling judge offers it, at the latest after the wait, and is corrected. All "
        f"combinations use the same benches. A coverage is known to ±{spread:.1f} % (one standard deviation).{leaks} "
        "These are limits for a bench that behaves like the simulated ones, not a promise for a real flask.</p>"
    )
