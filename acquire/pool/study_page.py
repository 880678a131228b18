"""The study as one self-contained page: what each choice gains, and every combination; in the language asked for."""

from __future__ import annotations

import math
from collections.abc import Iterable
from html import escape
from typing import Any

from acquire.pool.drawing import Drawing, padded
from acquire.pool.page import whole_page
from acquire.pool.parts import figure, number_text
from acquire.pool.study import Gain, SettingResult, StudyOutcome
from acquire.report import palette
from acquire.report.language import said, spoken, tr
from acquire.report.text import ABSENT, SPACE, typeset

NAMES = {
    "plateaus": said("points"),
    "span": said("span"),
    "wait": said("wait"),
    "take": said("point taken"),
    "return_point": said("return point"),
    "sensors": said("sensors"),
    "physics": said("physics"),
    "mishaps": said("mishaps"),
}
MISHAPS = {
    "": said("none"),
    "leak": said("the cell leaks"),
    "stopper_lifts": said("the stopper lifts once"),
    "air_with_charge": said("air goes in with the liquid"),
    "plunger_left_in": said("the plunger is not drawn back"),
    "cell_not_soaked": said("the cell is closed too early"),
    "small_charge": said("too little liquid"),
    "stirrer_stops": said("the bath is not stirred"),
    "sensors_swapped": said("the sensors are swapped"),
}
PHYSICS = {
    "plain": said("plain"),
    "slow vapour": said("slow vapour"),
    "wall lag": said("wall lag"),
    "wandering": said("wandering"),
    "cold neck": said("cold neck"),
    "slow lags": said("slow lags"),
    "everything": said("everything"),
    "leak": said("a leak"),
}


def choice_text(factor: str, choice: Any) -> str:
    """A choice as a reader sees it, in the language of the page."""
    if factor == "span":
        return typeset(f"{choice:g}\N{NO-BREAK SPACE}K")
    if factor == "wait":
        return typeset(f"{choice / 60:g}\N{NO-BREAK SPACE}min" if choice >= 120 else f"{choice:g}\N{NO-BREAK SPACE}s")
    if factor == "take":
        return tr("when settled") if choice == "settled" else tr("as waited")
    if factor == "return_point":
        return tr("with") if choice else tr("without")
    if factor == "mishaps":
        if choice in (0.0, 1.0):
            return tr("as stated") if choice else tr("none")
        return tr("{0} times").format(typeset(f"{choice:g}"))
    return tr(PHYSICS.get(choice, choice)) if factor == "physics" else str(choice)


def named_choice(factor: str, choice: Any) -> str:
    """What is chosen, and how."""
    return f"{tr(NAMES[factor])}: {choice_text(factor, choice)}"


def study_page(outcome: StudyOutcome, language: str = "en") -> str:
    """The page as text in a language."""
    with spoken(language):
        body = "".join(part(outcome) for part in (_gains, _gains_figure, _trade, _mishaps, _all, _method))
        return whole_page(outcome.plan.title, f"{_header(outcome)}<main>{body}</main>")


def _header(outcome: StudyOutcome) -> str:
    plan, count = outcome.plan, len(outcome.results)
    words = tr("{0} simulated runs with {1}, {2} for each of {3} combinations")
    runs, each, combinations = (typeset(str(number)) for number in (plan.runs * count, plan.runs, count))
    return (
        f"<header><h1>{escape(plan.title)}</h1><p class='quiet'>"
        f"{escape(words.format(runs, tr(plan.liquid), each, combinations))}</p>"
        f"<p class='banner'>{tr('All of these runs are simulated.')}</p></header>"
    )


def _gains(outcome: StudyOutcome) -> str:
    heading = tr("What each choice gains")
    if not outcome.gains:
        return f"<h2>{heading}</h2><p>{tr('Nothing was varied: give lists of two and more choices.')}</p>"
    beside = tr("error, beside the first")
    head = (
        _column(tr("choice")),
        _column(beside, tr("all runs")),
        _column(beside, tr("sound runs")),
        _column(tr("stated u"), "kJ/mol"),
        _column(tr("95 % interval covers"), "%"),
        _column(tr("time of a run"), "min"),
    )
    caption = tr(
        "Each choice beside the first of its kind, everything else averaged over; sound runs are those to which "
        "nothing happened."
    )
    return f"<h2>{heading}</h2>{_table(head, [_gain_row(gain) for gain in outcome.gains], caption)}"


def _column(name: str, unit: str = "") -> str:
    """The head of a column; one with a unit, or with what it counts, has numbers."""
    if not unit:
        return f"<th scope='col'>{name}</th>"
    return f"<th class='n' scope='col'>{name}<span class='u'>{unit}</span></th>"


def _table(head: Iterable[str], rows: Iterable[str], caption: str = "") -> str:
    kind, told = ("study", f"<caption>{caption}</caption>") if caption else ("all study", "")
    return (
        f"<div class='scroll' tabindex='0'><table class='{kind}'>{told}<thead><tr>{''.join(head)}</tr></thead>"
        f"<tbody>{''.join(rows)}</tbody></table></div>"
    )


def _row(texts: Iterable[str], numbers: Iterable[tuple[float, int]], name: str = "") -> str:
    """The name of the row where it has one, texts, then numbers with so many decimals."""
    named = f"<th scope='row'>{escape(name)}</th>" if name else ""
    cells = "".join(f"<td>{escape(text)}</td>" for text in texts)
    return f"<tr>{named}{cells}{''.join(_number(number_text(value, digits)) for value, digits in numbers)}</tr>"


def _number(text: str) -> str:
    return f"<td class='n'>{text}</td>"


def _gain_row(gain: Gain) -> str:
    changes = "".join(_number(_change(ratio)) for ratio in (gain.rms_ratio, gain.sound_ratio))
    numbers = ((gain.mean_u / 1e3, 2), (100 * gain.coverage, 1), (gain.duration / 60, 0))
    cells = "".join(_number(number_text(value, digits)) for value, digits in numbers)
    return f"<tr><th scope='row'>{escape(named_choice(gain.factor, gain.choice))}</th>{changes}{cells}</tr>"


def _change(ratio: float) -> str:
    """In per cent of the first choice, which has none itself."""
    if ratio == 1.0 or not math.isfinite(ratio):
        return ABSENT
    return f"{number_text(100 * (ratio - 1), 0, signed=True)}{SPACE}%"


def _gains_figure(outcome: StudyOutcome) -> str:
    """A bar for each choice: its error beside that of the first of its kind."""
    gains = [gain for gain in outcome.gains if gain.rms_ratio != 1.0]
    if not gains:
        return ""
    changes = [100 * (gain.rms_ratio - 1) for gain in gains]
    low, high = padded([*changes, 0.0])
    low -= 0.1 * (high - low) if min(changes) < 0 else 0.0  # room for the number beside the longest bar
    texts = [named_choice(gain.factor, gain.choice) for gain in gains]
    left = min(30 + 6.4 * max(len(text) for text in texts), 300)
    draw = Drawing(760, 30 + 20 * len(gains) + 44, (low, high), (-0.8, len(gains) - 0.2), (left, 60, 12, 44))
    draw.x_axis(tr("change of the error beside the first choice / %"))
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
    svg = draw.svg(tr("Change of the error with each choice beside the first of its kind"))
    under = tr("To the left is better: the error of a run with this choice beside the first of its kind.")
    return figure(svg, under)


def _mishaps(outcome: StudyOutcome) -> str:
    """What each mishap does to a result, and how often the program says so."""
    if len(outcome.mishaps) < 2:
        return ""
    head = (
        _column(tr("mishap")),
        f"<th class='n' scope='col'>{tr('runs')}</th>",
        _column(tr("bias"), "kJ/mol"),
        _column(tr("rms error"), "kJ/mol"),
        _column(tr("interval covers"), "%"),
        _column(tr("noticed"), "%"),
    )
    rows = [
        _row(
            (),
            (
                (one.runs, 0), (one.bias / 1e3, 2), (one.rms / 1e3, 2), (100 * one.coverage, 0),
                (100 * one.noticed, 0),
            ),
            tr(MISHAPS.get(one.mishap, one.mishap)),
        )
        for one in outcome.mishaps
    ]  # fmt: skip
    caption = tr(
        "All combinations together. Noticed: the fit refuses, or calls the result doubtful; of runs without a mishap "
        "these are false alarms. What a run notices from its traces while it goes on comes on top."
    )
    return f"<h2>{tr('What goes wrong, and whether it is noticed')}</h2>{_table(head, rows, caption)}"


def _trade(outcome: StudyOutcome) -> str:
    """Error against time: what an extra quarter of an hour buys."""
    good = [r for r in outcome.results if math.isfinite(r.rms)]
    if len(good) < 2:
        return ""
    xs = padded([r.duration / 60 for r in good])
    top = 1.08 * max(r.rms / 1e3 for r in good)
    draw = Drawing(760, 300, xs, (0.0, top), (56, 120, 26, 44))
    draw.x_axis(tr("time of a run / min"))
    draw.y_axis(tr("rms error / (kJ/mol)"))
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
    svg = draw.svg(tr("Error of a run against the time it takes, one mark for each combination"))
    under = tr("One mark for each combination; lower and further left is better.")
    return f"<h2>{tr('Error against time')}</h2>{figure(svg, under)}"


def _all(outcome: StudyOutcome) -> str:
    varied, fixed = _varied(outcome)
    head = [_column(tr(NAMES[name])) for name in varied] + [
        _column(name, unit)
        for name, unit in (
            (tr("rms error"), "kJ/mol"), (tr("bias"), "kJ/mol"), (tr("stated u"), "kJ/mol"), (tr("covers"), "%"),
            (tr("refused"), "%"), (tr("textbook rms"), "kJ/mol"), (tr("leaks found"), "%"), (tr("time"), "min"),
        )
    ]  # fmt: skip
    ordered = sorted(outcome.results, key=lambda r: r.rms if math.isfinite(r.rms) else math.inf)
    same = escape(tr("The same in all of them: {0}.").format("; ".join(fixed)))
    return (
        f"<h2>{tr('Every combination, best first')}</h2>{f'<p>{same}</p>' if fixed else ''}"
        f"{_table(head, [_setting_row(r, varied) for r in ordered])}"
    )


def _varied(outcome: StudyOutcome) -> tuple[list[str], list[str]]:
    """Names of what differs between the combinations, and in words what does not."""
    all_of = {name: {r.setting.as_dict()[name] for r in outcome.results} for name in NAMES}
    varied = [name for name, choices in all_of.items() if len(choices) > 1]
    fixed = [named_choice(name, next(iter(choices))) for name, choices in all_of.items() if len(choices) == 1]
    return varied, fixed


def _setting_row(r: SettingResult, varied: list[str]) -> str:
    chosen = r.setting.as_dict()
    return _row(
        (choice_text(name, chosen[name]) for name in varied),
        (
            (r.rms / 1e3, 2), (r.bias / 1e3, 2), (r.mean_u / 1e3, 2), (100 * r.coverage, 1), (100 * r.refused, 1),
            (r.textbook_rms / 1e3, 2), (100 * r.leaks_found, 0), (r.duration / 60, 0),
        ),
    )  # fmt: skip


def _method(outcome: StudyOutcome) -> str:
    spread = number_text(100 * math.sqrt(0.05 * 0.95 / outcome.plan.runs), 1)
    listed = ", ".join(
        f"{tr(MISHAPS[name])} ({typeset(f'{100 * share:g}')}{SPACE}%)" for name, share in outcome.plan.mishaps.shares()
    )
    sentences = (
        tr(
            "Each run is simulated second by second with its own lags, drifts and sensor errors, read as the sensors "
            "of the combination would read it, and fitted with the uncertainties that belong to those sensors."
        ),
        tr(
            "A point taken as waited stands a fixed time after the hot water without correction for lag; one taken as "
            "settled when the settling judge offers it, at the latest after the wait, and is corrected."
        ),
        tr("All combinations use the same benches."),
        tr("A coverage is known to ±{0} % (one standard deviation).").format(spread),
        tr("Mishaps as stated: {0}.").format(listed) if listed else "",
        tr("These are limits for a bench that behaves like the simulated ones, not a promise for a real flask."),
    )
    return f"<h2>{tr('How it was done')}</h2><p>{escape(' '.join(filter(None, sentences)), quote=False)}</p>"
