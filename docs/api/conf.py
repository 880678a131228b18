"""Settings of the pages made from the docstrings:  sphinx-build -W docs/api FOLDER"""

import re
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

project = "satline"
extensions = ["sphinx.ext.apidoc", "sphinx.ext.autodoc", "sphinx.ext.napoleon"]
napoleon_google_docstring = False
napoleon_use_ivar = True  # the fields of a record are described once, with their class
napoleon_custom_sections = [("Signals", "params_style"), "Guarantees", "Threads"]
html_theme = "basic"
apidoc_modules = [
    {"path": ROOT / package, "destination": f"made/{package}", "separate_modules": True}
    for package in ("drivers", "sim", "analysis", "acquire")
]
# A class may be imported from its package as well as from its module: both names lead to the same text.
suppress_warnings = ["ref.python"]


def without_signals(app, what, name, obj, skip, options):
    """The docstring of a Qt signal is that of Qt's class, in a form of its own."""
    return True if type(obj).__name__ in ("pyqtSignal", "pyqtBoundSignal") else None


def sources_as_list(app, what, name, obj, options, lines):
    """Numbers of references are numbers of one docstring, not of the page that gathers many."""
    inside = False
    for place, line in enumerate(lines):
        if re.match(r"\.\. \[\d\] ", line):
            inside = True
            lines[place] = "* " + line[7:]
        elif inside and line.startswith(" "):
            lines[place] = "  " + line.strip()
        else:
            inside = False


def setup(app):
    app.connect("autodoc-skip-member", without_signals)
    app.connect("autodoc-process-docstring", sources_as_list, priority=10)
