"""Every text that a page can show, found in the sources: for the tests of its translations."""

from __future__ import annotations

import re
from pathlib import Path

from acquire import refused_sentences
from acquire.cautions import TEXTS
from acquire.report import language
from acquire.runfile import refusals
from acquire.window.gather_words import texts_of

FOLDER = Path(language.__file__).parent
MODULES = (
    *sorted(FOLDER.glob("*.py")),
    *(FOLDER.parent / "review" / name for name in ("journal_view.py", "compare.py", "lines.py", "editor.py")),
    *(
        FOLDER.parent / "pool" / name
        for name in ("page.py", "benches_section.py", "runs_section.py", "figures.py", "words.py", "study_page.py")
    ),
)
_IN_TEMPLATE = re.compile(r'tr\("((?:[^"\\]|\\.)*)"')


def page_texts() -> list[str]:
    """Each once, in a steady order."""
    texts: dict[str, None] = {}
    for path in MODULES:
        if path.name != "language.py":
            texts.update(dict.fromkeys(texts_of(path.read_text(encoding="utf-8"), path.name)))
    for path in sorted(FOLDER.glob("*.j2")):
        texts.update(dict.fromkeys(_IN_TEMPLATE.findall(path.read_text(encoding="utf-8"))))
    texts.update(dict.fromkeys((*TEXTS.values(), *refusals.SENTENCES, *refusals.FAULTS)))
    texts.update(dict.fromkeys((*refused_sentences.SENTENCES, *refused_sentences.PARTS)))
    return list(texts)
