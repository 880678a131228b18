"""Which benches stand out from the pooled curve, and what would explain each of them.

Every bench is compared with all others together: does it follow their curve, does it lose air, is its amount of air
off, does its barometer agree with the others in the room?  Limits hold for the family of all benches and all
questions; a spread that all benches have is taken from the benches themselves, so that it accuses nobody.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.pooling.curve import Curve, CurveSums, JointSystem
from analysis.pooling.robust import algorithm_a

Floats = NDArray[np.float64]

FAMILY_ALPHA = 0.01  # chance that a campaign without any fault names a bench; one in twenty is what is promised
LIQUID_LEAST = 0.10  # a vapour pressure off by less than this is not taken for another liquid
#: Share of the chi-square that another liquid has to explain; the rest is the linear answer's error for large changes.
LIQUID_EXPLAINS = 0.9
#: What a hypothesis frees, beyond its own column: keys of the fit's common errors.
FREED = {"thermometer": ("offset_t", "gain_t"), "pressure sensor": ("offset", "gain", "bend")}
ADVICE = {
    "leak": "Do the leak check with the cell closed and dry; look at the stopper and the tubing.",
    "air": "Check volumes, plunger and humidity as entered; was the cell flushed or dried before closing?",
    "thermometer": "Read the probe in melting ice and beside another bench's probe.",
    "pressure sensor": "Read the sensor beside a barometer with the valve open.",
    "liquid": "Check the bottle; measure again with liquid of known origin.",
    "curve": "Repeat the run on another bench with the same liquid to see which of the two moves.",
}


@dataclass(frozen=True)
class BenchScores:
    """One bench against all others, in numbers that are normal (or chi-square) when it has no fault.

    `own_curve` is the chi-square for its own vapour pressure and enthalpy (2 degrees of freedom); `leak`, `air`,
    `sensor` (zero of the pressure sensor, from points and room readings together) and `room` (room readings against
    the spread of all benches) are signed standard scores; `gains` says by how much each explanation lowers the
    chi-square.  `shift` are its deviations in ln p and enthalpy of vaporisation [1, J/mol], `u_shift` their standard
    uncertainties; `leak_rate` [1/s], `air_error` [relative].
    """

    bench: str
    runs: int
    own_curve: float
    leak: float
    air: float
    sensor: float
    room: float
    gains: Mapping[str, float]
    shift: tuple[float, float]
    u_shift: tuple[float, float]
    shift_correlation: float
    leak_rate: float
    u_leak_rate: float
    air_error: float
    u_air_error: float
    room_difference: float  # [Pa] from the other benches; NaN without room readings


@dataclass(frozen=True)
class OutlyingBench:
    """A bench that stands out, the most likely reason, and the reasons that would explain it nearly as well."""

    bench: str
    reason: str  # "leak", "air", "thermometer", "pressure sensor", "liquid", "curve"
    other_reasons: tuple[str, ...]
    p_value: float  # of the worst question, corrected for all questions and benches of the campaign
    scores: BenchScores
    text: str
    advice: str
    liquid: str = ""  # that would fit, where the reason is another liquid


@dataclass(frozen=True)
class BenchComparison:
    """Those that stand out, and the scores of all benches in the last round (without those)."""

    outlying: tuple[OutlyingBench, ...]
    scores: tuple[BenchScores, ...]
    sums: CurveSums  # of the benches that do not stand out


def _gain(score: Floats, information: Floats, pick: Sequence[int]) -> tuple[float, Floats, Floats]:
    """Chi-square gained, estimates and standard uncertainties for the picked columns."""
    chosen = list(pick)
    info, s = information[np.ix_(chosen, chosen)], score[chosen]
    scale = np.sqrt(np.maximum(np.diag(info), 1e-300))
    # a column that the others already say in full has no information of its own left
    inverse = np.linalg.pinv(info / np.outer(scale, scale), rcond=1e-9, hermitian=True) / np.outer(scale, scale)
    estimate = inverse @ s
    return float(s @ estimate), estimate, np.sqrt(np.maximum(np.diag(inverse), 0.0))


def bench_scores(sums: CurveSums, rooms: Mapping[str, float] | None = None) -> list[BenchScores]:
    """Score every bench against the rest.

    Parameters
    ----------
    sums : CurveSums
        Of all runs.
    rooms : mapping of bench to the room pressure its sensor read, less that of the campaign at the time.  [Pa]
        Only benches whose rooms share one true pressure belong here.
    """
    system = JointSystem(sums.blocks.values())
    scale = 1.0 / np.sqrt(np.diag(system.matrix))
    # inverted once: every bench multiplies by it
    whiten = np.linalg.inv(np.linalg.cholesky(system.matrix * np.outer(scale, scale))) * scale
    whitened = whiten @ system.right
    differences = _room_scores(rooms or {})
    found = []
    for bench in dict.fromkeys(block.bench for block in system.blocks):
        blocks = [block for block in system.blocks if block.bench == bench]
        keys = sorted({share[2] for block in blocks for share in block.shares})
        # columns: residual, ln p, enthalpy, leak, air, then each shared error once more without its prior
        width = 5 + len(keys)
        local = np.zeros((width, width))
        cross = np.zeros((len(system.right), width - 1))
        for block in blocks:
            names = [share[2] for share in block.shares]
            size = block.matrix.shape[0]
            pick = np.zeros((size, width))
            pick[[0, 1, 2, size - 1, size - 2], [0, 1, 2, 3, 4]] = 1.0
            for at, name in enumerate(names):
                pick[4 + at, 5 + keys.index(name)] = 1.0
            local += pick.T @ block.matrix @ pick
            where = system.where(block)
            cross[where] += (block.matrix[1 : 1 + len(where)] @ pick)[:, 1:]
        # score and information of the extra columns with everything else fitted
        half = whiten @ cross
        score = local[1:, 0] - half.T @ whitened
        information = local[1:, 1:] - half.T @ half
        own, shift, u_shift = _gain(score, information, (0, 1))
        together = -information[0, 1] / math.sqrt(max(information[0, 0] * information[1, 1], 1e-300))
        leak_gain, leak, u_leak = _gain(score, information, (2,))
        air_gain, air, u_air = _gain(score, information, (3,))
        gains = {"leak": leak_gain if leak[0] > 0 else 0.0, "air": air_gain}
        for reason, freed in FREED.items():
            columns = [4 + keys.index(key) for key in freed if key in keys]
            gains[reason] = _gain(score, information, columns)[0] if columns else 0.0
        sensor_gain, offset = (
            _gain(score, information, (4 + keys.index("offset"),))[:2] if "offset" in keys else (0.0, [0])
        )
        room, difference = differences.get(bench, (0.0, math.nan))
        gains["pressure sensor"] = max(gains["pressure sensor"], room**2)
        found.append(
            BenchScores(
                bench=bench,
                runs=sum(block.runs for block in blocks),
                own_curve=own,
                leak=math.copysign(math.sqrt(max(leak_gain, 0.0)), leak[0]),
                air=math.copysign(math.sqrt(max(air_gain, 0.0)), air[0]),
                sensor=math.copysign(math.sqrt(max(sensor_gain, 0.0)), offset[0]),
                room=room,
                gains=gains,
                shift=(float(shift[0]), float(shift[1])),
                u_shift=(float(u_shift[0]), float(u_shift[1])),
                shift_correlation=float(together),
                leak_rate=float(leak[0]),
                u_leak_rate=float(u_leak[0]),
                air_error=float(air[0]),
                u_air_error=float(u_air[0]),
                room_difference=difference,
            )
        )
    return found


def _room_scores(rooms: Mapping[str, float]) -> dict[str, tuple[float, float]]:
    """Standard score and difference of each bench's room pressure from the others'."""
    known = {bench: value for bench, value in rooms.items() if math.isfinite(value)}
    if len(known) < 5:  # a robust spread of fewer says nothing
        return {}
    robust = algorithm_a(list(known.values()))
    if robust.deviation == 0:
        return {}
    return {
        bench: ((value - robust.mean) / math.hypot(robust.deviation, robust.u_mean), value - robust.mean)
        for bench, value in known.items()
    }


def _p_values(scores: Sequence[BenchScores]) -> Floats:
    """Worst p-value of each bench over all questions (Bonferroni), spreads common to all benches taken out.

    A sum of squares is divided by what its median over the benches says it is too large by, never by less than one:
    half of the benches may be at fault before this misleads.
    """
    from scipy.stats import chi2, norm, t

    own = np.array([s.own_curve for s in scores])
    own = own / max(1.0, float(np.median(own)) / float(chi2.median(2)))
    questions = [chi2.sf(own, 2)]
    for name in ("leak", "air", "sensor"):
        values = np.array([getattr(s, name) for s in scores])
        spread = max(1.0, float(np.median(np.abs(values))) / float(norm.isf(0.25)))
        tail = norm.sf(values / spread) if name == "leak" else 2 * norm.sf(np.abs(values) / spread)
        questions.append(tail)
    room = np.array([s.room for s in scores])
    questions.append(2 * t.sf(np.abs(room), max(len(scores) - 1, 1)))
    return np.minimum(1.0, len(questions) * np.min(questions, axis=0))


def compare_benches(
    sums: CurveSums,
    rooms: Mapping[str, float] | None = None,
    liquids: Mapping[str, Curve] | None = None,
    *,
    alpha: float = FAMILY_ALPHA,
) -> BenchComparison:
    """Name the benches that stand out, worst first, each round without those already named.

    Parameters
    ----------
    liquids : mapping of name to curve
        Other liquids a bench may have held by mistake.
    alpha : float
        Chance of naming any bench in a campaign without faults.

    Notes
    -----
    With fewer than four benches nothing can stand out: there is no majority to stand out from.
    """
    kept = dict(sums.blocks)
    outlying: list[OutlyingBench] = []
    while True:
        left = CurveSums(sums.liquid, sums.curve)
        left.blocks = kept
        benches = {block.bench for block in kept.values()}
        scores = bench_scores(left, {b: v for b, v in (rooms or {}).items() if b in benches})
        if len(scores) < 4:
            break
        corrected = _p_values(scores) * len(scores)
        worst = int(np.argmin(corrected))
        if not corrected[worst] < alpha:
            break
        outlying.append(_named(scores[worst], float(corrected[worst]), sums.curve, liquids or {}))
        kept = {key: block for key, block in kept.items() if block.bench != scores[worst].bench}
    return BenchComparison(tuple(outlying), tuple(scores), left)


def _named(scores: BenchScores, p_value: float, curve: Curve, liquids: Mapping[str, Curve]) -> OutlyingBench:
    """The reason that explains the most, and those within 6 of it (a factor of 20 in likelihood)."""
    # the linear answer is the relative change of pressure; as a change of ln p it holds beyond small ones
    ratio = max(1.0 + scores.shift[0], 0.02)
    moved = math.log(ratio)
    other = _other_liquid(scores, curve, liquids) if abs(moved) > LIQUID_LEAST else None
    ranked = sorted(scores.gains.items(), key=lambda item: -item[1])
    best, gain = ranked[0]
    explained = gain > 0.5 * max(scores.own_curve, scores.room**2)
    reason = "liquid" if other else (best if explained else "curve")
    near = tuple(name for name, value in ranked if name != reason and value > max(gain - 6.0, 4.0))
    return OutlyingBench(
        bench=scores.bench,
        reason=reason,
        other_reasons=near,
        p_value=p_value,
        scores=scores,
        text=_text(scores, reason, moved, other),
        advice=ADVICE[reason],
        liquid=other or "",
    )


def _other_liquid(scores: BenchScores, curve: Curve, liquids: Mapping[str, Curve]) -> str | None:
    """The liquid whose vapour pressure and enthalpy together explain the bench, better than a leak or its air would."""
    best, explained = None, max(LIQUID_EXPLAINS * scores.own_curve, scores.gains["leak"], scores.gains["air"])
    for name, other in liquids.items():
        # what the linear answer would be: the relative change of pressure and the change of enthalpy
        pressure = math.expm1(min(other.ln_pressure - curve.ln_pressure, 5.0))
        a = (scores.shift[0] - pressure) / scores.u_shift[0]
        b = (scores.shift[1] - (other.enthalpy_vap - curve.enthalpy_vap)) / scores.u_shift[1]
        r = scores.shift_correlation
        missed = (a * a - 2 * r * a * b + b * b) / max(1 - r * r, 1e-9)
        if scores.own_curve - missed > explained:
            best, explained = name, scores.own_curve - missed
    return best


def _text(scores: BenchScores, reason: str, moved: float, other: str | None) -> str:
    who = scores.bench if scores.bench.lower().startswith("bench") else f"Bench {scores.bench}"
    who = who[:1].upper() + who[1:]
    if reason == "leak":
        hours = 1.0 / (3600.0 * scores.leak_rate)
        return f"{who} loses air: its over-pressure falls to 37 % in about {hours:.2g} h."
    if reason == "air":
        error = 100 * scores.air_error
        return f"{who} has {abs(error):.1f} % {'more' if error > 0 else 'less'} air in the cell than its inputs say."
    if reason == "thermometer":
        return f"{who} reads temperatures that put its points beside the curve of all others."
    if reason == "pressure sensor":
        room = scores.room_difference
        beside = f" Its room pressure is {room / 1e3:+.1f} kPa off the others'." if math.isfinite(room) else ""
        return f"{who} has a pressure sensor that does not agree with the others.{beside}"
    if reason == "liquid":
        return f"{who} measured a vapour pressure {math.exp(moved):.2f} times that of the others; {other} would fit."
    return (
        f"{who} lies {100 * scores.shift[0]:+.1f} % in pressure and {scores.shift[1] / 1e3:+.2f} kJ/mol from the curve "
        "of all others, and no single fault explains it."
    )
