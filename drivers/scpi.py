"""Talking with a device that answers text questions, as IEEE 488.2 and SCPI 1999 lay down. No I/O."""

from __future__ import annotations

import re
from collections.abc import Sequence

from drivers.frames import Spoilt
from drivers.polling import Answer, Question
from drivers.text_fields import NUMBER
from drivers.wire_spec import Asked, TextQuestion

_IDENTITY = "identity"
_ERRORS = "errors"
_SYNC = "sync"


class ScpiDialogue:
    """Questions of a profile, one after another.

    After an answer that did not come in time, it may still come while the next question waits, and its number
    would be taken for another channel's. So the device is first asked who it is, and everything up to that known
    answer is dropped. A device without `*IDN?` is left alone until the next slot instead.
    """

    def __init__(self, spec: Asked, expected: str = "") -> None:
        self.timeout = spec.timeout
        self.identity = ""
        self._expected = expected
        self._spec = spec
        self._end = spec.end.encode()
        tokens = "|".join([NUMBER, *(re.escape(text) for text in spec.no_value if text)])
        self._number = re.compile(rf"[ \t]*({tokens})[ \t]*".encode())

    def opening(self) -> list[Question]:
        """Clear what is left of earlier talk, then ask who it is."""
        first = [Question(text.encode() + self._end, answered=False) for text in self._spec.begin]
        return [*first, self._ask("*IDN?", _IDENTITY)] if self._spec.identify else first

    def cycle(self) -> list[Question]:
        """One set of readings."""
        return [self._ask(question.text, question) for question in self._spec.ask]

    def _ask(self, text: str, topic: object) -> Question:
        return Question(text.encode() + self._end, topic)

    def name(self, question: Question) -> str:
        """Its text."""
        return question.data.decode("ascii", "replace").strip()

    def take(self, buffer: bytearray, question: Question) -> Answer | None:
        """The next whole line that belongs to the question."""
        while (end := buffer.find(b"\n")) >= 0:
            line = bytes(buffer[:end]).strip(b"\r\n \t")
            del buffer[: end + 1]
            answer = self._judge(line, question) if line else None
            if answer is not None:
                return answer
        if len(buffer) > self._spec.longest:
            head = bytes(buffer[:64])
            buffer.clear()
            return Answer(spoilt=Spoilt(head, f"an answer of more than {self._spec.longest} bytes"))
        return None

    def _judge(self, line: bytes, question: Question) -> Answer | None:
        if question.topic == _SYNC:
            return Answer() if line.decode("ascii", "replace") == self.identity else None
        if question.topic == _IDENTITY:
            self.identity = line.decode("ascii", "replace")
            return Answer(remark=self._stranger())
        if question.topic == _ERRORS:
            return self._error(line)
        return self._numbers(line, question.topic)

    def _stranger(self) -> str:
        if self.identity.startswith(self._expected):
            return ""
        return (
            f"the device says it is {self.identity[:80]!r}; expected {self._expected!r}; "
            "check that the right device and profile were chosen"
        )

    def _numbers(self, line: bytes, topic: object) -> Answer:
        if not isinstance(topic, TextQuestion):
            raise ValueError(f"no question of ours: {topic!r}")
        tokens = re.split(rb"[,;]", line)
        matches = [self._number.fullmatch(token) for token in tokens]
        if len(tokens) != len(topic.fields) or not all(matches):
            reason = f"not {len(topic.fields)} numbers as the answer to {topic.text}"
            return Answer(spoilt=Spoilt(line, reason), follow=self._ask_for_errors())
        numbers = [_number(match[1]) for match in matches if match]
        return Answer(dict(zip(topic.fields, numbers, strict=True)))

    def _error(self, line: bytes) -> Answer:
        if re.match(rb"[+-]?0\b", line):
            return Answer()
        text = line.decode("ascii", "replace")[:100]
        return Answer(remark=f'the device reports {text}; expected 0,"No error"; check the questions in its profile')

    def _ask_for_errors(self) -> list[Question]:
        return [self._ask(self._spec.errors, _ERRORS)] if self._spec.errors else []

    def unanswered(self, buffer: bytearray, question: Question) -> Answer:
        """The time for an answer is over."""
        text = self.name(question)
        reason = f"no whole answer to {text}" if buffer else f"no answer to {text}"
        sync = [self._ask("*IDN?", _SYNC)] if self.identity and question.topic not in (_SYNC, _IDENTITY) else []
        return Answer(spoilt=Spoilt(bytes(buffer[:64]), reason), follow=[*sync, *self._after(question, sync)])

    def _after(self, question: Question, sync: Sequence[Question]) -> list[Question]:
        return self._ask_for_errors() if sync and question.topic != _ERRORS else []


def _number(token: bytes) -> float:
    try:
        return float(token)
    except ValueError:
        return float("nan")  # the pattern lets only numbers and the profile's no-value texts through
