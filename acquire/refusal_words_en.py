"""The English sentences of a fit that is refused: what was found, what was expected, the way out.

Places as in the sentences of findings; `{value:K#6}` stands for six digits at most.
"""

from __future__ import annotations

_UNIT = "Check the unit, or set that point aside."
_COLUMN = "Check the column and its unit."
_MORE = "Take more points, or put one back that was set aside."

REFUSALS_EN: dict[str, dict[str, tuple[str, str, str]]] = {
    "point-outside": {
        "temperature": ("the temperature of point {point} is {value:K#6}", "{low:K#6} to {high:K#6}", _UNIT),
        "pressure": ("the pressure of point {point} is {value:Pa#6}", "{low:Pa#6} to {high:Pa#6}", _UNIT),
    },
    "uncertainty-outside": {
        "temperature": (
            "the uncertainty of the temperature of point {point} is {value:K#6}",
            "a value from 0 to {high:K#6}",
            _COLUMN,
        ),
        "pressure": (
            "the uncertainty of the pressure of point {point} is {value:Pa#6}",
            "a value from 0 to {high:Pa#6}",
            _COLUMN,
        ),
        "lag": ("the uncertainty of the lag of point {point} is {value:K#6}", "a value from 0 to {high:K#6}", _COLUMN),
    },
    "no-uncertainty": {
        "": (
            "point {point} has no uncertainty at all",
            "some uncertainty of temperature or pressure",
            "State what is known.",
        )
    },
    "correlation-outside": {
        "": (
            "the correlation of temperature and pressure of point {point} is {value:1#6}",
            "a value between -1 and 1",
            "Correct it.",
        )
    },
    "too-few-points": {
        "one": ("{used:1.0} usable point", "at least {least:1.0}", "Take more points."),
        "some": ("{used:1.0} usable points", "at least {least:1.0}", "Take more points."),
        "one-aside": ("{used:1.0} usable point ({aside:1.0} set aside)", "at least {least:1.0}", _MORE),
        "some-aside": ("{used:1.0} usable points ({aside:1.0} set aside)", "at least {least:1.0}", _MORE),
    },
    "span-too-small": {
        "": (
            "the {points:1.0} points lie within {span:K#3} of each other",
            "a span of at least {least:K#3}",
            "Take points at other temperatures.",
        )
    },
    "no-baseline": {
        "": (
            "no sealed baseline",
            "temperature and pressure of the closed cell before the liquid went in",
            "Give it, or say that the cell was evacuated.",
        )
    },
    "baseline-outside": {
        "temperature": (
            "the sealed baseline's temperature is {value:K#6}",
            "{low:K#6} to {high:K#6}",
            "Check the unit.",
        ),
        "pressure": ("the sealed baseline's pressure is {value:Pa#6}", "{low:Pa#6} to {high:Pa#6}", "Check the unit."),
    },
    "sensor-outside": {"": ("the sensors' {name} is {value:1#6}", "a number from 0 up", "Correct it.")},
    "cell-volume-outside": {
        "": ("the cell volume is {value:mL#6}", "more than 0 and at most {high:mL#6}", "Check its unit.")
    },
    "charge-outside": {
        "": ("the charge is {charge:mL#6} in a cell of {cell:mL#6}", "less than the cell holds", "Check both volumes.")
    },
    "humidity-outside": {"": ("the room humidity is {value:1#6}", "a fraction from 0 to 1", "Give 0.45 for 45 %.")},
    "gas-above-water-outside": {
        "": ("the gas above the water is {value:1#6}", "a fraction from 0 to 1", "Give 0.05 for 5 %.")
    },
    "pressure-below-air": {
        "": (
            "the pressure of point {point} is {pressure:Pa.0} and the trapped air alone is {air:Pa.0}",
            "a total pressure above that of the air",
            "Check the sealed baseline, the units, and whether the pressure is gauge or absolute.",
        )
    },
    "no-line": {
        "": (
            "the fit did not settle on any line through these points",
            "vapour pressures that rise with temperature",
            "Look at the points: a wrong unit, a swapped column or a wrong sealed baseline is likely.",
        )
    },
    "gas-let-out": {
        "": (
            "the fit did not settle on any line through these points: at {time:s.0} the pressure fell by {drop:kPa.1} "
            "at once, so the stopper lifted or gas was let out",
            "the same trapped air under all points",
            "Set the points after that aside, or run again and stay below the pressure at which the stopper lifts.",
        )
    },
    "water-cannot": {
        "": (
            "water of {water:degC.0} cannot bring the bath from {temperature:degC.1} to {target:degC.1}",
            "water beyond the target, on the far side of it",
            "Use hotter water to warm, colder to cool.",
        )
    },
    "antoine-too-little": {
        "": (
            "{points:1.0} points over {span:K.1}",
            "at least {least_points:1.0} points over {least_span:K#3} for three constants",
            "Use the line, or take more points over a wider range.",
        )
    },
    "vapour-not-positive": {
        "": (
            "the vapour pressure of point {point} is {pressure:Pa#6}",
            "a pressure above zero",
            "Check the air subtracted.",
        )
    },
    "antoine-curved-wrong": {
        "": (
            "Antoine's constants came out as b = {b:K.0}, c = {c:K.0}",
            "b above zero and c within {most_c:K#3} of zero",
            "The points curve the wrong way: use the line, and look for points not settled.",
        )
    },
    "columns-unequal": {
        "": (
            "columns of unequal length: {least:1.0} of {short}, {most:1.0} of {long}",
            "one value of each per point",
            "Complete the table.",
        )
    },
    "not-a-number": {"": ("{column} of point {point} is {value:1#6}", "a number", "Set that point aside.")},
    "not-above-zero": {
        "": ("{column} of point {point} is {value:1#6}", "a value above zero", "State its uncertainty.")
    },
    "same-abscissa": {
        "": (
            "all {points:1.0} points have the same abscissa, {value:1#6}",
            "at least two different values",
            "Spread the points.",
        )
    },
    "too-many-coefficients": {
        "": (
            "{points:1.0} points for {coefficients:1.0} coefficients",
            "at least {least:1.0}",
            "Take more points.",
        )
    },
    "search-lost": {
        "": (
            "the search ended where the model means nothing",
            "a minimum of the squared residuals",
            "Start elsewhere.",
        )
    },
    "trace-too-short": {
        "": (
            "a trace of {time:s.0} over {span:K.1}",
            "at least {least_time:s.0} over {least_span:K#3}",
            "Let the run go on; the points are fitted without the trace.",
        )
    },
    "trace-not-followed": {
        "": (
            "a trace that the model of lags, leak and line cannot follow",
            "a closed cell whose pressure follows its bath",
            "Look at the traces; the points are fitted without them.",
        )
    },
    "trace-not-settled": {
        "": (
            "the fit of the whole trace did not settle",
            "lags and a line that describe it",
            "The points are fitted without it; look for gas let out or liquid used up.",
        )
    },
}
