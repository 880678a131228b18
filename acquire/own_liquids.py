"""Liquids by name: the shipped ones and those of the person's own table."""

from __future__ import annotations

from pathlib import Path

from analysis.liquids import Liquid, list_liquids, load_liquid
from analysis.refusal import LiquidError
from drivers.profile import user_folder

UNKNOWN = "unknown"
MOST_BYTES = 1_000_000  # a table of a few hundred liquids; anything larger is another file


def own_table() -> Path:
    """Where a person's own liquids stand: a file of the shipped table's form, beside the folder of their profiles."""
    return user_folder().parent / "liquids.toml"


def own_liquids() -> tuple[Liquid, ...]:
    """The liquids of the person's own table; none where there is no such file.

    Raises
    ------
    LiquidError
        The table has faults; all are listed.
    """
    path = own_table()
    if not path.is_file():
        return ()
    from analysis.liquid_table import parse_liquids

    if path.stat().st_size > MOST_BYTES:
        raise LiquidError(f"{path} has {path.stat().st_size} bytes", f"at most {MOST_BYTES}", "Shorten the table.")
    try:
        text = path.read_text(encoding="utf-8")
    except UnicodeDecodeError as error:
        raise LiquidError(f"{path} is not UTF-8 text", "a TOML table of liquids", "Save it as UTF-8.") from error
    return parse_liquids(text, str(path))


def find_liquid(name: str) -> Liquid | None:
    """The record of a liquid; None for "unknown", which a run takes with wider priors.

    Raises
    ------
    LiquidError
        No such liquid is shipped or in the person's own table; the text lists near names.
    """
    return None if name.strip().lower() == UNKNOWN else load_liquid(name, own_liquids())


def known_liquids() -> tuple[Liquid, ...]:
    """Shipped and own ones."""
    return list_liquids(own_liquids())
