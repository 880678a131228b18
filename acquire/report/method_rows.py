"""How a value was made, in words, from what the fit says of its own method."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from acquire.report import text
from acquire.report.given_words import cited
from acquire.report.inputs import WORDS
from acquire.report.language import said, source_name, tr

#: What the fit says of itself in words.
FIT_WORDS = (
    said("direct fit in p with priors, noise scale averaged"), said("a return point shows it"), said("significant"),
    said("no return point and not significant"),
)  # fmt: skip
PULL_SHOWN = 1.0  # in standard uncertainties: smaller ones are what one expects


def method_rows(fit: Mapping[str, Any] | None) -> tuple[tuple[str, str], ...]:
    """Label and value; what the fit does not say is left out."""
    method = (fit or {}).get("method") or {}
    name = str(method.get("name", ""))
    rows = [
        (tr("Fit"), tr(name)),
        (tr("Trapped air"), tr(WORDS["air.mode"].get(method.get("air", ""), method.get("air", "")))),
        (tr("Middle of the points"), _number(method, "mean_temperature", "degC", ".1f")),
        (tr("Vapour non-ideality dZ"), _with_source(method)),
        (tr("Heat-capacity difference"), _heat_capacity(method)),
        (tr("Scatter against what was stated"), _scatter(method)),
        (tr("Leak"), _leak(method.get("leak"))),
        (tr("Common errors pulled furthest"), _pulls(method.get("pulls") or {})),
    ]
    return tuple((label, value) for label, value in rows if value)


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and value - value == 0


def _number(method: Mapping[str, Any], key: str, unit: str, digits: str) -> str:
    value: Any = method.get(key)
    return text.with_unit(text.typeset(f"{text.shown_value(value, unit):{digits}}"), unit) if _is_number(value) else ""


def _with_source(method: Mapping[str, Any]) -> str:
    if not _is_number(method.get("dz")):
        return ""
    source = method.get("dz_source")
    return text.quantity(method["dz"], method.get("u_dz"), "1") + (f" ({cited(source)})" if source else "")


def _heat_capacity(method: Mapping[str, Any]) -> str:
    value: Any = method.get("heat_capacity_difference")
    if not _is_number(value):
        return ""
    pair = text.pair_only(value, method["u_heat_capacity_difference"], "K", difference=True)
    return f"({pair}){text.SPACE}J/(mol{text.SPACE}K)"


def _scatter(method: Mapping[str, Any]) -> str:
    chi2, dof = method.get("chi2"), method.get("degrees_of_freedom")
    if not (_is_number(chi2) and _is_number(dof)):
        return ""
    return tr("chi-squared {0} for {1} degrees of freedom").format(
        text.typeset(f"{chi2:.2g}"), text.typeset(f"{dof:g}")
    )


def _leak(leak: Mapping[str, Any] | None) -> str:
    if not leak or not _is_number(leak.get("rate")):
        return ""
    share = text.pair_only(leak["rate"] * 3600, leak["u_rate"] * 3600, "%")
    shown = text.with_unit(f"({share})", "%")
    done = tr("{0} of the over-pressure an hour, corrected for: {1}")
    if not leak.get("corrected"):
        done = tr("{0} of the over-pressure an hour, not corrected for: {1}")
    why = str(leak.get("reason", ""))
    return done.format(shown, tr(why))


def _pulls(pulls: Mapping[str, float]) -> str:
    far = sorted(((abs(z), name, z) for name, z in pulls.items() if abs(z) >= PULL_SHOWN), reverse=True)[:4]
    if not far:
        return tr("none by more than its own standard uncertainty") if pulls else ""
    return "; ".join(
        tr("{0} by {1} standard uncertainties").format(source_name(name), text.typeset(f"{z:+.1f}"))
        for _, name, z in far
    )
