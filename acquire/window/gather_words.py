"""Gathers every text that is shown, and brings a translation file up to date: `python -m acquire.window.gather_words`.

Texts are found in the syntax tree, not by pattern: whatever is handed to `tr`, `said` or `counted` must be a plain
literal, since the text itself is the key of its translation.
"""

from __future__ import annotations

import ast
import functools
import sys
import xml.etree.ElementTree as ElementTree
from pathlib import Path

from acquire.recorder_words import SENTENCES
from acquire.window.language import FOLDER

COMMANDS = FOLDER.parent / "commands"
#: These speak on pages of the window too.
OTHERS = (
    COMMANDS / "window_services.py",
    COMMANDS / "pool_window.py",
    COMMANDS / "other_window.py",
    COMMANDS / "review.py",
    FOLDER.parent / "pool" / "words.py",
)
#: Calls with literal texts, and how many of their arguments are texts.
CALLS = {"tr": 1, "said": 1, "counted": 2}


class TextError(ValueError):
    """A text that can never be translated, with its place."""


def texts_of(source: str, name: str) -> list[str]:
    """The texts of one module in their order.

    Raises
    ------
    TextError
        A text is put together before it is handed over (an f-string, a sum, a format call).
    """
    found = []
    for node in ast.walk(ast.parse(source)):
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in CALLS):
            continue
        for argument in node.args[: CALLS[node.func.id]]:
            if isinstance(argument, ast.Constant) and isinstance(argument.value, str):
                found.append(argument.value)
            elif isinstance(argument, ast.JoinedStr | ast.BinOp | ast.Call):
                # A call is a look-up in a table of marked texts where it is `.get`; all else is put together.
                looked_up = isinstance(argument, ast.Call) and getattr(argument.func, "attr", "") == "get"
                if not looked_up:
                    raise TextError(f"{name}:{node.lineno}: write the text in full, with {{0}} where something goes in")
    return found


@functools.cache
def all_texts() -> list[str]:
    """Every text that the window can show, each once, in a steady order."""
    texts: dict[str, None] = {}
    for path in (*sorted(FOLDER.glob("*.py")), *OTHERS):
        if path.name not in ("language.py", "gather_words.py"):
            texts.update(dict.fromkeys(texts_of(path.read_text(encoding="utf-8"), path.name)))
    texts.update(dict.fromkeys(SENTENCES))
    return list(texts)


def update(path: Path, language: str) -> int:
    """Write the file anew with all texts, keeping its translations.  Returns how many are still missing."""
    known = {}
    if path.exists():
        for message in ElementTree.parse(path).getroot().iter("message"):
            known[message.findtext("source", "")] = message.findtext("translation", "")
    root = ElementTree.Element("TS", version="2.1", language=language)
    context = ElementTree.SubElement(root, "context")
    ElementTree.SubElement(context, "name").text = "satline"
    missing = 0
    for text in all_texts():
        message = ElementTree.SubElement(context, "message")
        ElementTree.SubElement(message, "source").text = text
        translation = ElementTree.SubElement(message, "translation")
        translation.text = known.get(text) or ""
        if not translation.text:
            translation.set("type", "unfinished")
            missing += 1
    ElementTree.indent(root)
    head = '<?xml version="1.0" encoding="utf-8"?>\n<!DOCTYPE TS>\n'
    path.write_text(head + ElementTree.tostring(root, encoding="unicode") + "\n", encoding="utf-8")
    return missing


def main() -> int:
    left = 0
    for path in sorted(FOLDER.glob("words_*.ts")):
        missing = update(path, path.stem.removeprefix("words_"))
        print(f"{path.name}: {missing} texts without translation")
        left += missing
    return 1 if left else 0


if __name__ == "__main__":
    sys.exit(main())
