"""Findings that the points and the fit show by themselves."""

from __future__ import annotations

import math
from collections.abc import Sequence

from analysis.enthalpy_result import Leak, TextbookLine
from analysis.findings import Finding
from analysis.fit_input import FitPoint
from analysis.liquids import Liquid
from analysis.map_fit import MapFit
from analysis.noise_scale import Distribution
from analysis.trapped_air import CellSetup


def point_findings(
    fit: MapFit,
    mean: Distribution,
    line: TextbookLine | None,
    leak: Leak | None,
    used: Sequence[FitPoint],
    liquid: Liquid | None,
    setup: CellSetup,
) -> tuple[Finding, ...]:
    """All findings of the points, gravest first."""
    found: list[Finding] = []
    if liquid is None or not liquid.known:
        found.append(
            Finding(
                "unknown-liquid", "note", None, None,
                "The liquid is not in the table of liquids: the vapour's non-ideality is estimated from the pressure.",
                "Name the liquid, or add it to a table of your own, for a narrower interval.",
            )
        )  # fmt: skip
    elif not fit.vapour.known:
        low, high = liquid.dz_form.range if liquid.dz_form else (math.nan, math.nan)
        found.append(
            Finding(
                "outside-reference", "note", fit.model.mean_temperature, high,
                f"The points lie outside {low:g} K to {high:g} K, where the vapour data of {liquid.name} hold; "
                "the vapour's non-ideality is estimated from the pressure instead.",
                "Add data for this range to a table of your own, for a narrower interval.",
            )
        )  # fmt: skip
    if fit.model.sealed and setup.room_humidity is None:
        found.append(
            Finding(
                "humidity-not-measured", "note", None, None,
                "The room's humidity was not given; anything from dry to damp is allowed for.",
                "Read a hygrometer when the cell is closed.",
            )
        )  # fmt: skip
    return tuple(found)
