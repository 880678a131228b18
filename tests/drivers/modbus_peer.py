"""A Modbus server of pymodbus's, as a program of its own: `python -m tests.drivers.modbus_peer rtu|tcp PORT`.

Input register 0 counts the answers, 1 and 2 hold 101320.0 as a float. Unit 1. Prints a line when it listens.
"""

from __future__ import annotations

import asyncio
import struct
import sys
import warnings

warnings.simplefilter("ignore")  # the server's own use of old names is not ours to judge

from pymodbus import FramerType  # noqa: E402
from pymodbus.datastore import ModbusDeviceContext, ModbusSequentialDataBlock, ModbusServerContext  # noqa: E402
from pymodbus.server import ModbusSerialServer, ModbusTcpServer  # noqa: E402

HIGH, LOW = struct.unpack(">HH", struct.pack(">f", 101320.0))
answers = 0


def count_answers(sending: bool, message):
    """The first register goes up with each answer."""
    global answers
    if sending and getattr(message, "registers", None):
        message.registers = [2000 + answers, *message.registers[1:]]
        answers += 1
    return message


async def serve(kind: str, place: str) -> None:
    """Answer until the process is ended."""
    # the block's addresses are one higher than those on the wire
    block = ModbusSequentialDataBlock(1, [2000, HIGH, LOW, 0, 0])
    context = ModbusServerContext(devices={1: ModbusDeviceContext(ir=block, hr=block)}, single=False)
    if place.isdigit():
        framer = FramerType.RTU if kind == "rtu" else FramerType.SOCKET
        server = ModbusTcpServer(context, framer=framer, address=("127.0.0.1", int(place)), trace_pdu=count_answers)
    else:
        server = ModbusSerialServer(
            context, framer=FramerType.RTU, port=place, baudrate=19200, parity="N", trace_pdu=count_answers
        )
    await server.serve_forever(background=True)
    print("listening", flush=True)
    await asyncio.Event().wait()


if __name__ == "__main__":
    asyncio.run(serve(sys.argv[1], sys.argv[2]))
