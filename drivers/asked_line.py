"""Asking an unknown device, one question at a time. Writes to the port: only for those who asked for it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from drivers.modbus import ModbusDialogue, Refused
from drivers.polling import Answer, Dialogue, Question
from drivers.profile import DeviceProfile, Line
from drivers.transport import Transport
from drivers.wire_spec import ModbusRegisters, Register

QUIET = 0.005  # [s] of silence between an answer and the next question: 3.5 characters at 9600 baud take 4 ms
LONGEST_LINE = 512


def asking_profile(baud: int, parity: str = "none") -> DeviceProfile:
    """A profile that opens a line for questions and understands nothing."""
    spec = ModbusRegisters(kind="modbus", register_map=(Register(name="any", address=0),))
    line = Line.model_validate({"baud": baud, "parity": parity})
    return DeviceProfile.model_construct(name="asking", title="asking", line=line, decoding=spec)


@dataclass
class AskedLine:
    """An open port with a device that is asked."""

    line: Transport
    now: Callable[[], float]
    heard: bytes = b""  # the last answer as it came

    def ask(self, dialogue: Dialogue, question: Question) -> Answer:
        """Ask by a dialogue; its verdict when the time is over."""
        buffer = bytearray()
        self.heard = b""
        self._say(question.data)
        ends = self.now() + dialogue.timeout
        while (left := ends - self.now()) > 0:
            chunk = self.line.read(min(left, 0.05))
            buffer += chunk
            self.heard += chunk
            answer = dialogue.take(buffer, question) if chunk else None
            if answer is not None:
                return answer
        return dialogue.unanswered(buffer, question)

    def ask_text(self, text: str, timeout: float, end: str = "\n") -> str | None:
        """The line that answers a text question; None where none came."""
        heard = b""
        self._say((text + end).encode())
        ends = self.now() + timeout
        while (left := ends - self.now()) > 0 and len(heard) <= LONGEST_LINE:
            heard += self.line.read(min(left, 0.05))
            whole = heard.lstrip(b"\r\n")
            if b"\n" in whole or b"\r" in whole:
                answer = whole.splitlines()[0].decode("utf-8", "replace").strip()
                return answer if answer.isprintable() else None
        return None

    def _say(self, data: bytes) -> None:
        while self.line.read(QUIET):
            pass  # what is still coming belongs to nobody
        self.line.write(data)


@dataclass(frozen=True)
class Words:
    """What a request for registers gave: the words, or the code of a refusal, or neither (silence, noise)."""

    words: list[int] | None = None
    refusal: int | None = None


def read_words(asked: AskedLine, unit: int, wire: str, table: str, first: int, count: int, timeout: float) -> Words:
    """Read registers (functions 3 and 4, which change nothing)."""
    names = [str(n) for n in range(first, first + count)]
    registers = tuple({"name": name, "address": int(name), "table": table, "type": "u16"} for name in names)
    spec = ModbusRegisters.model_validate(
        {"kind": "modbus", "unit": unit, "wire": wire, "timeout": timeout, "register_map": registers}
    )
    dialogue = ModbusDialogue(spec)
    (question,) = dialogue.cycle()
    answer = asked.ask(dialogue, question)
    if isinstance(answer.spoilt, Refused):
        return Words(refusal=answer.spoilt.code)
    if answer.spoilt is not None or not answer.values:
        return Words()
    return Words([int(answer.values[name]) for name in names])
