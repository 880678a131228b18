"""What the points of a run cannot show, whatever the fit says; only inputs and a look at the bench can."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from acquire.report import text
from acquire.report.language import tr


def blind_spots(plan: Mapping[str, Any], *, has_return: bool) -> tuple[tuple[str, str], ...]:
    """Heading and text of each, for this plan.

    Parameters
    ----------
    has_return
        A point taken after cooling is in use: it shows most leaks.
    """
    return tuple(_spots(plan, has_return))


def _spots(plan: Mapping[str, Any], has_return: bool) -> list[tuple[str, str]]:
    cell, room, air = plan.get("cell", {}), plan.get("room", {}), plan.get("air", {})
    spots = []
    if air.get("mode", "sealed") == "sealed":
        spots.append((
            tr("A constant error of the trapped air"),
            tr(
                "Moist room air, air let in with the liquid, or a wrong cell or liquid volume move all points "
                "together. The points look just as good. Only the inputs below, or the known pressure of the liquid, "
                "can tell."
            ),
        ))  # fmt: skip
        if room.get("humidity") is None:
            spots.append((
                tr("The humidity of the room"),
                tr(
                    "It was not measured. The interval allows for any humidity and is wide for it; a reading of the "
                    "room's hygrometer would narrow it."
                ),
            ))  # fmt: skip
    share = cell.get("gas_above_water")
    entered = text.quantity(share, cell.get("u_gas_above_water"), "%")
    shown = " " + tr("It was entered as {0}.").format(entered) if share is not None else ""
    spots.append((
        tr("A cold neck"),
        tr("Gas above the water line is colder than the bath and holds the pressure down at every warm point.") + shown,
    ))  # fmt: skip
    if not has_return:
        spots.append((
            tr("A slow leak"),
            tr(
                "There is no point from after cooling, so a slow leak cannot be told from a slightly smaller enthalpy. "
                "One return point near the first temperature would show it."
            ),
        ))  # fmt: skip
    spots.append((
        tr("What the liquid is"),
        tr(
            "The pressures are taken as those of one pure liquid. A few per cent of something more volatile, or of "
            "water, change the value without scattering the points."
        ),
    ))  # fmt: skip
    spots.append((
        tr("The temperature of the liquid itself"),
        tr(
            "The probe is in the bath. The correction for lag comes from the traces; liquid that is not swirled can "
            "stay behind for longer than any trace shows."
        ),
    ))  # fmt: skip
    return spots
