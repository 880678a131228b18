"""Sentences by which refusals are known again: each is one that the program says, word for word."""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path

import pytest

from acquire import refused_sentences as known
from acquire.sentences import facts_in

ROOT = Path(known.__file__).parents[1]
PLACE = "7"  # stands for a number and for any words
NUMBERS = {place: pattern for place, pattern in known.HELD.items() if pattern == r"\d+"}
#: Put together from several pieces where they are said: `tests.acquire.report.test_refused_files` makes each.
PUT_TOGETHER = {
    *known.FRAMES,
    *(sentence for sentence in known.PLACES if sentence.startswith("{path}: {reason}; expected")),
    *(sentence for sentence in known.PORTS if "may not be opened" in sentence),
    *known.LIQUIDS,
    *(sentence for sentence in known.POOL if "usable runs" in sentence),
    *(sentence for sentence in (*known.NAMES, *known.IN_TABLES) if "{hint}" in sentence or "did you mean" in sentence),
    *(sentence for sentence in known.NAMES if sentence.startswith(("--air", "no device profile"))),
    "unknown unit {unit}; did you mean {near}?",
    *known.QUANTITIES, *known.UNNAMED, "measured", "simulated", "no column {column} and no {second}",
    "at least {count} entries", "at most {count} entries",
    "a {quantity} as text with its unit, for example {example}",
}  # fmt: skip


@cache
def said() -> list[str]:
    """Every text in the sources of the program, `PLACE` where something is filled in."""
    texts = set()
    for folder in ("acquire", "drivers"):
        for path in (ROOT / folder).rglob("*.py"):
            if path.name in ("refused_sentences.py", "words_de_refusals.py", "words_de_tables.py"):
                continue
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Constant) and isinstance(node.value, str):
                    texts.add(re.sub(r"\{\w*(![rs])?\}", PLACE, node.value))
                elif isinstance(node, ast.JoinedStr):
                    texts.add(
                        "".join(str(part.value) if isinstance(part, ast.Constant) else PLACE for part in node.values)
                    )
    parts = {part.removeprefix("expected ") for text in texts for part in (text, *text.split("; "))}
    return sorted(part for part in parts if (" " in part or part.isalpha()) and len(part) < 400)  # no descriptions


@pytest.mark.parametrize("sentence", [s for s in (*known.SENTENCES, *known.PARTS) if s not in PUT_TOGETHER])
def test_each_is_said_somewhere_in_these_words(sentence):
    assert any(facts_in(text, sentence, NUMBERS) is not None for text in said()), sentence
