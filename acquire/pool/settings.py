"""What a pooling applies to every run alike, and who shares what."""

from __future__ import annotations

import csv
import hashlib
import json
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from acquire.version import VERSION

#: Counts up when summaries change their meaning, so that older cached ones are not used.
SUMMARY_FORMAT = 2
CARRIER_NAMES = ("pressure sensor", "thermometer", "cell", "room air", "liquid data")


class PoolError(Exception):
    """The pooling could not be done; the sentence says what was found, what was expected and the way out."""


@dataclass(frozen=True)
class PoolSettings:
    """Common settings; everything a run's summary depends on besides its file.

    Parameters
    ----------
    from_traces
        Decide again on every run's traces, answers of people left out; otherwise the points stand as taken.
    settle
        Changes of the settling settings as text with units, for `from_traces`.
    plan
        A run plan as plain data whose sensor, cell and room uncertainties are applied to all runs; None: each its own.
    liquid, air
        For tables of points, which do not say them; None: such tables are left out.
    sharing
        Name of a bench (or file) -> {carrier: label}.
    own_liquids
        Hash of the person's own table of liquids.
    """

    from_traces: bool = False
    settle: dict[str, str] = field(default_factory=dict)
    plan: dict[str, Any] | None = None
    liquid: str | None = None
    air: str | None = None
    sharing: dict[str, dict[str, str]] = field(default_factory=dict)
    own_liquids: str = ""

    def key(self) -> str:
        """Hash of all settings and of the program: part of the name under which a summary is cached."""
        text = json.dumps([VERSION, SUMMARY_FORMAT, asdict(self)], sort_keys=True)
        return hashlib.sha256(text.encode()).hexdigest()


def read_sharing(path: str | Path) -> dict[str, dict[str, str]]:
    """Who shares what, from a CSV: first column `bench` or `run`, further columns the carriers.

    Raises
    ------
    PoolError
        With file and line.
    """
    path = Path(path)
    try:
        with path.open(newline="", encoding="utf-8-sig") as file:
            rows = list(csv.reader(file))
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise PoolError(f"{path} cannot be read: {error}; expected a CSV table in UTF-8") from error
    if not rows or not rows[0] or rows[0][0].strip() not in ("bench", "run"):
        raise PoolError(
            f"{path}:1: the header is {','.join(rows[0]) if rows else ''!r}; expected 'bench' or 'run' first, then any "
            f"of {', '.join(CARRIER_NAMES)}"
        )
    carriers = [cell.strip() for cell in rows[0][1:]]
    unknown = [name for name in carriers if name not in CARRIER_NAMES]
    if unknown:
        raise PoolError(f"{path}:1: the column {unknown[0]!r} is not known; expected any of {', '.join(CARRIER_NAMES)}")
    found: dict[str, dict[str, str]] = {}
    for number, row in enumerate(rows[1:], start=2):
        if not any(cell.strip() for cell in row):
            continue
        if len(row) != len(rows[0]):
            raise PoolError(f"{path}:{number}: {len(row)} cells; expected {len(rows[0])}, as in the header")
        found[row[0].strip()] = {
            carrier: label.strip() for carrier, label in zip(carriers, row[1:], strict=True) if label.strip()
        }
    return found
