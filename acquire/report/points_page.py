"""The report of a table of points that was measured elsewhere: the same words and figures, without the traces."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from acquire.report.blind_spots import blind_spots
from acquire.report.content import FindingRow, finding_rows
from acquire.report.curve import shown_points
from acquire.report.language import counted, said, tr
from acquire.report.method_rows import method_rows
from acquire.report.point_rows import PointRow, point_rows
from acquire.report.result_block import ResultBlock, liquid_of, result_block

if TYPE_CHECKING:
    from analysis.fit_input import FitPoint

BY_HAND = said("points entered by hand")
COOLING = ("down", "return")


@dataclass(frozen=True)
class PointsContent:
    """What the report of a table says."""

    title: str
    subtitle: str
    result: ResultBlock
    tested: bool
    findings: tuple[FindingRow, ...]
    points: tuple[PointRow, ...]
    blind: tuple[tuple[str, str], ...]
    method: tuple[tuple[str, str], ...]


def points_content(fit: Mapping[str, Any], points: Sequence[FitPoint], *, title: str, source: str) -> PointsContent:
    """Put a fit of a table into words."""
    method = fit.get("method") or {}
    liquid = str(method.get("liquid") or "unknown liquid")
    used = sum(point.used for point in points)
    subtitle = [tr(liquid), tr(source), counted("{0} point in use", "{0} points in use", used)]
    return PointsContent(
        title=title,
        subtitle=" · ".join(part for part in subtitle if part),
        result=result_block(fit, liquid_of({"liquid": liquid}), called=tr("this table")),
        tested=True,
        findings=finding_rows(fit),
        points=point_rows(with_branches(fit, points)),
        blind=blind_spots(_as_plan(method), has_return=any(p.branch in COOLING and p.used for p in points)),
        method=method_rows(fit),
    )


def with_branches(fit: Mapping[str, Any], points: Sequence[FitPoint]) -> list[dict[str, Any]]:
    """The fit's points with the branch and label that the table gave them."""
    shown = shown_points(fit)
    for merged, point in zip(shown, points, strict=True):
        merged["branch"] = point.branch
        merged["remark"] = point.label
    return shown


def _as_plan(method: Mapping[str, Any]) -> dict[str, Any]:
    """What the fit was told of the bench, in the shape of a plan, for the list of what cannot be seen."""
    setup = method.get("setup") or {}
    return {
        "air": {"mode": method.get("air", "none")},
        "room": {"humidity": setup.get("room_humidity")},
        "cell": {
            "gas_above_water": setup.get("gas_above_water"),
            "u_gas_above_water": setup.get("u_gas_above_water"),
        },
    }
