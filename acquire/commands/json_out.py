"""One JSON document on standard output, and nothing else there."""

from __future__ import annotations

import dataclasses
import json
import math
from typing import Any


def print_json(document: Any) -> None:
    """Print as strict JSON: records as objects, numbers that JSON has no word for as null."""
    print(json.dumps(plain(document), indent=2, ensure_ascii=False, allow_nan=False))


def plain(value: Any) -> Any:
    """The same in lists, dictionaries, text and finite numbers."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [plain(item) for item in value]
    if hasattr(value, "tolist"):
        return plain(value.tolist())
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    return value if isinstance(value, int | str | bool) or value is None else str(value)
