"""Make sim/thermocouples.toml from the ITS-90 reference functions; run by hand, never at run time.

    python -m sim.tabulate_thermocouples [FILE]

Needs thermocouples_reference (a test requirement), which carries the functions of NIST SRD 60.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

TYPES = "BEJKNRST"
LOWEST, HIGHEST, DEGREE = -20.0, 150.0, 8  # degC; a bench's range with room


def main(arguments: list[str]) -> None:
    from importlib.metadata import version

    from thermocouples_reference import thermocouples  # type: ignore[import-untyped]

    path = Path(arguments[0]) if arguments else Path(__file__).parent / "thermocouples.toml"
    lines = [
        "# Made by sim/tabulate_thermocouples.py; do not edit. EMF in mV against a junction at 0 degC:",
        "# polynomial in t / 100 degC, constant first, with its largest deviation from the reference in mV.",
        'source = "NIST SRD 60 (ITS-90)"',
        f'library = "thermocouples_reference {version("thermocouples_reference")}"',
    ]
    for kind in TYPES:
        low = 0.0 if kind == "B" else LOWEST
        celsius = np.linspace(low, HIGHEST, 341)
        emf = np.asarray(thermocouples[kind].func(celsius))
        coefficients = np.polynomial.polynomial.polyfit(celsius / 100.0, emf, DEGREE)
        off = np.max(np.abs(np.polynomial.polynomial.polyval(celsius / 100.0, coefficients) - emf))
        lines += ["", f"[{kind}]", f"range = [{low}, {HIGHEST}]", f"deviation = {off:.2g}"]
        lines.append(f"coefficients = [{', '.join(repr(float(c)) for c in coefficients)}]")
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
