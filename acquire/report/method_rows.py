"""How a value was made, in words, from what the fit says of its own method."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from acquire.report import text
from acquire.report.inputs import WORDS

PULL_SHOWN = 1.0  # in standard uncertainties: smaller ones are what one expects


def method_rows(fit: Mapping[str, Any] | None) -> tuple[tuple[str, str], ...]:
    """Label and value; what the fit does not say is left out."""
    method = (fit or {}).get("method") or {}
    rows = [
        ("Fit", method.get("name", "")),
        ("Trapped air", WORDS["air.mode"].get(method.get("air", ""), method.get("air", ""))),
        ("Middle of the points", _number(method, "mean_temperature", "degC", ".1f")),
        ("Vapour non-ideality dZ", _with_source(method)),
        ("Heat-capacity difference", _heat_capacity(method)),
        ("Scatter against what was stated", _scatter(method)),
        ("Leak", _leak(method.get("leak"))),
        ("Common errors pulled furthest", _pulls(method.get("pulls") or {})),
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
    return text.quantity(method["dz"], method.get("u_dz"), "1") + (f" ({source})" if source else "")


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
    return f"chi-squared {chi2:.2g} for {dof:g} degrees of freedom"


def _leak(leak: Mapping[str, Any] | None) -> str:
    if not leak or not _is_number(leak.get("rate")):
        return ""
    share = text.pair_only(leak["rate"] * 3600, leak["u_rate"] * 3600, "%")
    done = "corrected for" if leak.get("corrected") else "not corrected for"
    return f"({share}){text.SPACE}% of the over-pressure an hour, {done}: {leak.get('reason', '')}"


def _pulls(pulls: Mapping[str, float]) -> str:
    far = sorted(((abs(z), name, z) for name, z in pulls.items() if abs(z) >= PULL_SHOWN), reverse=True)[:4]
    if not far:
        return "none by more than its own standard uncertainty" if pulls else ""
    return ", ".join(f"{name} by {text.typeset(f'{z:+.1f}')} standard uncertainties" for _, name, z in far)
