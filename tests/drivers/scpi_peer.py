"""A SCPI server of the package scpipy, as a program of its own: `python -m tests.drivers.scpi_peer PORT`.

MEAS:TEMP? counts the answers in thousandths above 290, MEAS:PRES? says 101320. Its error queue and status are the
package's own. Prints a line when it listens.
"""

from __future__ import annotations

import sys

from scpipy.server import Context, Router, Server

router = Router()
answers = 0


@router.register("*IDN?")
def identity(context: Context) -> str:
    return "Invented,Meter,0,1.0"


@router.register("MEASure:TEMPerature?")
def temperature(context: Context) -> str:
    global answers
    answers += 1
    return f"{290 + answers / 1000:.3f}"


@router.register("MEASure:PRESsure?")
def pressure(context: Context) -> str:
    return "1.01320E+05"


if __name__ == "__main__":
    server = Server("127.0.0.1", int(sys.argv[1]))
    server.include_router(router)
    print("starting", flush=True)
    server.run()
