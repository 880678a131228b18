"""Finding an unknown instrument that answers text questions (IEEE 488.2, SCPI 1999), and a profile for it.

Such instruments only answer, so this writes to the port: `*IDN?`, `*CLS`, `SYST:ERR?` and the usual questions for a
measurement, which may make the instrument measure.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from drivers.asked_line import AskedLine, asking_profile
from drivers.column_guess import ColumnGuess, guess_columns
from drivers.profile import DeviceProfile
from drivers.proposal import HEADER, ListenError, channel_text, proved, table, toml
from drivers.text_fields import NUMBER
from drivers.transport import Transport, open_transport

BAUD_RATES = (9600, 115200, 19200, 57600, 38400, 4800)
#: (question, names of the numbers in its answer): SCPI 1999 volume 2, MEASure, FETCh and READ. The first that name a
#: quantity say most.
QUESTIONS = (
    ("MEAS:TEMP?", "temperature"),
    ("MEAS:PRES?", "pressure"),
    ("MEAS?", "measured"),
    ("READ?", "read"),
    ("FETC?", "fetched"),
)
ERRORS = "SYST:ERR?"
TRY_TIMEOUT = 0.7  # [s] for *IDN?, which is answered at once
ANSWER_TIMEOUT = 2.0  # [s] a measurement takes its time
ROUNDS = 6
MOST_ERRORS = 10
_NUMBER = re.compile(rf"[ \t]*({NUMBER})[ \t]*")


@dataclass
class ScpiHeard:
    """What asking gave: who it is, and what its answers look like, by question."""

    baud: int
    identity: str
    answers: dict[str, list[str]] = field(default_factory=dict)
    columns: list[ColumnGuess] = field(default_factory=list)
    has_errors: bool = False


def find_scpi(
    url: str,
    *,
    now: Callable[[], float],
    wait: Callable[[float], None],
    bauds: Sequence[int] = BAUD_RATES,
    seconds: float = 5.0,
    open_port: Callable[[str, DeviceProfile], Transport] = open_transport,
    tell: Callable[[str], None] = lambda text: None,
) -> ScpiHeard:
    """Ask who it is at every rate until something answers, then ask for measurements for some seconds.

    Raises
    ------
    ListenError
        Where nothing answered.
    PortError
        Where the port cannot be opened.
    """
    for baud in bauds[:1] if "://" in url else bauds:
        tell(f"asking *IDN? at {baud} baud")
        line = open_port(url, asking_profile(baud))
        try:
            asked = AskedLine(line, now)
            identity = asked.ask_text("*IDN?", TRY_TIMEOUT)
            if identity and identity != "*IDN?":  # a line that echoes is not an answer
                heard = ScpiHeard(baud, identity)
                _measure(asked, heard, wait, seconds, tell)
                return heard
        finally:
            line.close()
    raise ListenError(
        f"nothing at {url!r} answered *IDN? at {', '.join(map(str, bauds))} baud; expected its name; check that it is "
        "on and set to be controlled over this line, then try --baud, or --modbus for a device with registers"
    )


def _measure(
    asked: AskedLine, heard: ScpiHeard, wait: Callable[[float], None], seconds: float, tell: Callable[[str], None]
) -> None:
    asked.ask_text("*CLS", 0.0)
    heard.has_errors = _drain_errors(asked)
    for question, name in QUESTIONS:
        if name not in ("temperature", "pressure") and heard.answers:
            break  # what names its quantity was answered: no need to make it measure in other ways
        tell(f"asking {question}")
        answer = asked.ask_text(question, ANSWER_TIMEOUT)
        if answer is not None and _numbers(answer):
            heard.answers[question] = [answer]
        elif heard.has_errors:
            _drain_errors(asked)
    began = asked.now()
    for _ in range(ROUNDS - 1):
        wait(seconds / ROUNDS)
        for question, answers in heard.answers.items():
            answer = asked.ask_text(question, ANSWER_TIMEOUT)
            if answer is not None and len(_numbers(answer)) == len(_numbers(answers[0])):
                answers.append(answer)
    heard.columns = guess_columns(_columns(heard.answers), asked.now() - began)


def _drain_errors(asked: AskedLine) -> bool:
    """Ask for errors until there are none; whether it keeps a queue of them."""
    for _ in range(MOST_ERRORS):
        answer = asked.ask_text(ERRORS, TRY_TIMEOUT)
        if answer is None:
            return False
        if re.match(r"[+-]?0\b", answer):
            return True
    return True


def _numbers(answer: str) -> list[float]:
    matches = [_NUMBER.fullmatch(token) for token in re.split("[,;]", answer)]
    return [float(match[1]) for match in matches if match] if all(matches) else []


def _fields(question: str, answer: str) -> list[str]:
    name = dict(QUESTIONS)[question]
    count = len(_numbers(answer))
    return [name] if count == 1 else [f"{name}_{n}" for n in range(1, count + 1)]


def _columns(answers: dict[str, list[str]]) -> dict[int | str, list[float]]:
    columns: dict[int | str, list[float]] = {}
    for question, lines in answers.items():
        for place, name in enumerate(_fields(question, lines[0])):
            columns[name] = [_numbers(line)[place] for line in lines]
    return columns


def propose_scpi_profile(heard: ScpiHeard, name: str) -> str:
    """A device profile in TOML for the questions that were answered, with the answers as samples.

    Raises
    ------
    ListenError
        Where no answer looks like a temperature or a pressure of a room.
    """
    channels = [column for column in heard.columns if column.role in ("temperature", "pressure")]
    if not channels:
        found = "; ".join(f"{question} gave {lines[0]!r}" for question, lines in heard.answers.items())
        raise ListenError(
            f"it is {heard.identity[:80]!r}; {found or 'no usual question was answered with numbers'}; expected a "
            "temperature or a pressure of a room; copy the profile text-questions and put in those of its manual"
        )
    wanted = {column.field for column in channels}
    kept = {question: lines for question, lines in heard.answers.items() if wanted & {*_fields(question, lines[0])}}
    decoding: dict[str, object] = {
        "kind": "asked",
        "errors": ERRORS if heard.has_errors else "",
        "timeout": ANSWER_TIMEOUT,
        "ask": [{"text": question, "fields": [*_fields(question, lines[0])]} for question, lines in kept.items()],
    }
    parts = [
        HEADER,
        f"name = {toml(name)}",
        f"title = {toml(f'Found by asking: {heard.identity[:80]}')}",
        'source = "asking"',
        "rate = 1.0",
        f"\n[line]\nbaud = {heard.baud}",
        f"\n[identity]\nidn = {toml(','.join(heard.identity.split(',')[:2]))}",
        f"\n[decoding]\n{table(decoding)}",
    ]
    parts += [channel_text(column.role, column.field, column.unit, column.reason) for column in channels]
    for question, lines in kept.items():
        values = dict(zip(_fields(question, lines[0]), _numbers(lines[-1]), strict=True))
        readings = ", ".join(
            f'{column.role} = "{values[column.field]!r} {column.unit}"' for column in channels if column.field in values
        )
        text = toml(lines[-1] + "\n")
        parts.append(f"\n[[sample]]\nask = {toml(question)}\ntext = {text}\nreadings = {{ {readings} }}")
    return proved("\n".join(parts) + "\n")
