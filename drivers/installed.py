"""Whether the package for serial ports is the right one; another with the same import name hides it."""

from __future__ import annotations

import importlib


def serial_package_trouble() -> str:
    """What is wrong with the installed package `serial`, as found and way out; empty where nothing is."""
    try:
        package = importlib.import_module("serial")
        importlib.import_module("serial.tools.list_ports")
    except ImportError as error:
        found = f"pyserial cannot be imported ({error})"
    else:
        if hasattr(package, "Serial") and hasattr(package, "__version__"):
            return ""
        found = "another package called serial hides pyserial"
    return f"{found}; expected pyserial; run  pip uninstall serial  and then  pip install --force-reinstall pyserial"
