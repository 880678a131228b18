"""The English sentences of findings: code -> variant -> (what was seen, what to do)."""

from __future__ import annotations

_ONE_BACK = "Tighten the stopper, and take one point near the start temperature on the way back."
_UNTOLD = "Without a return point its effect cannot be told from the line itself."
_LEAKS = "The cell loses gas: its over-pressure would fall to a third in {time:h~2}."
_LIFTED = "Only points before that belong together: set the others aside, or repeat the run."
_OUTLIER = "Look at its trace: set it aside if it had not settled, keep it if nothing explains it."
_BACK = "Points that have not settled do this: wait longer, stir, and compare the two branches again."
_AIR = (
    "More: was air let in with the liquid, was the plunger not drawn back, is the charge larger? Less: was the room "
    "damp, was the cell not yet at the bath's temperature when it was closed?"
)
_CONDITION = "Let the open cell stand in the bath longer before closing it, and close it before the baseline."

FINDINGS_EN: dict[str, dict[str, tuple[str, str]]] = {
    "channels-swapped": {
        "": (
            "The readings in the room are {temperature:degC.1} and {pressure:kPa.1}: the channels look swapped.",
            "Swap the two channels in the device profile.",
        )
    },
    "pressure-unit": {
        "": (
            "The pressure in the room is {pressure:kPa.2}, expected {low:kPa.0} to {high:kPa.0}: the digits look like "
            "{unit}.",
            "Set the unit of the pressure channel to {unit}.",
        )
    },
    "gauge-pressure": {
        "": (
            "The pressure in the room is {pressure:kPa.2}, expected {low:kPa.0} to {high:kPa.0}: it looks like gauge "
            "pressure, zero in the open room.",
            "Set the sensor to absolute, or enter the room's pressure to be added.",
        )
    },
    "pressure-implausible": {
        "": (
            "The pressure in the room is {pressure:kPa.2}, expected {low:kPa.0} to {high:kPa.0}: it does not look like "
            "a room.",
            "Check sensor and unit.",
        )
    },
    "temperature-unit": {
        "fahrenheit": (
            "The temperature in the room is {temperature:degC.1}, expected {low:degC.0} to {high:degC.0}: the digits "
            "look like degrees Fahrenheit.",
            "Set the unit of the temperature channel to degrees Fahrenheit.",
        ),
        "kelvin": (
            "The temperature in the room is {temperature:degC.1}, expected {low:degC.0} to {high:degC.0}: the digits "
            "look like kelvin.",
            "Set the unit of the temperature channel to kelvin.",
        ),
        "unknown": (
            "The temperature in the room is {temperature:degC.1}, expected {low:degC.0} to {high:degC.0}.",
            "Check the probe and its unit.",
        ),
    },
    "unknown-liquid": {
        "": (
            "The liquid is not in the table of liquids: the vapour's non-ideality is estimated from the pressure.",
            "Name the liquid, or add it to a table of your own, for a narrower interval.",
        ),
        "no-dz": (
            "The table has no vapour data (dz) of {liquid}: the vapour's non-ideality is estimated from the pressure.",
            "Add dz to its entry in the table, for a narrower interval.",
        ),
    },
    "outside-reference": {
        "": (
            "The points lie outside {low:degC.0} to {high:degC.0}, where the vapour data of {liquid} hold; the "
            "vapour's non-ideality is estimated from the pressure instead.",
            "Add data for this range to a table of your own, for a narrower interval.",
        )
    },
    "humidity-not-given": {
        "": (
            "The room's humidity was not given; anything from dry to damp is allowed for.",
            "Read a hygrometer when the cell is closed.",
        )
    },
    "plunger-not-given": {
        "": (
            "Whether the plunger was drawn back after charging is not known; both are allowed for.",
            "Draw the plunger back by the charge volume and note it.",
        )
    },
    "vapour-not-ideal": {
        "": (
            "The slope alone would be off by {effect:+kJ/mol.2}: the vapour is not an ideal gas.",
            "Nothing to do: the value given is corrected for it, the textbook line is not.",
        )
    },
    "scatter": {
        "": (
            "The points scatter about the line {times:1.1} times as much as their uncertainties say (chi-square "
            "{chi2:1.1} with {freedom:1.0} degrees of freedom).",
            "Look at the largest residual and at how settled that point was; the interval was widened for it.",
        )
    },
    "outlier-point": {
        "above": (
            "Point {point} at {temperature:degC.1} lies {size:kPa.2} above the line of the others.",
            _OUTLIER,
        ),
        "below": (
            "Point {point} at {temperature:degC.1} lies {size:kPa.2} below the line of the others.",
            _OUTLIER,
        ),
    },
    "leak": {
        "returned": (_LEAKS, "Grease or replace the stopper; the value was corrected with the return point."),
        "alone": (f"{_LEAKS} {_UNTOLD}", _ONE_BACK),
        "plateaus": (
            "On the plateaus the pressure falls by {rate:Pa/min.0} more than the bath explains: the cell leaks.",
            _ONE_BACK,
        ),
    },
    "branches-differ": {
        "above": (
            "Points taken on the way back lie {size:kPa.2} above the line of those taken while warming, more than a "
            "leak explains.",
            _BACK,
        ),
        "below": (
            "Points taken on the way back lie {size:kPa.2} below the line of those taken while warming, more than a "
            "leak explains.",
            _BACK,
        ),
    },
    "curvature": {
        "": (
            f"ln p against 1/T is curved by {{size:+1.0}}{chr(0xA0)}J/(mol{chr(0xA0)}K) more than the liquid's heat "
            "capacities explain: something that grows or fades along the run is not in the model.",
            "Bent down at the warm end: liquid used up, leak, points not settled. Bent up: more trapped air than the "
            "sealed baseline says. Both can also be a mixture.",
        )
    },
    "air-amount": {
        "more": (
            "The readings ask for {share:%.1} more air than the sealed baseline gives, as much as {volume:mL.1} of "
            "room air.",
            _AIR,
        ),
        "less": (
            "The readings ask for {share:%.1} less air than the sealed baseline gives, as much as {volume:mL.1} of "
            "room air.",
            _AIR,
        ),
    },
    "residual-air": {
        "": (
            "The readings ask for {size:Pa.0} of air that was not pumped out or not subtracted.",
            "Pump and freeze again, or give the sealed baseline.",
        )
    },
    "liquid-exhausted": {
        "": (
            "From {low:degC.1} to {high:degC.1} the vapour pressure grew by {grown:%.0} where {expected:%.0} was "
            "expected: no liquid may be left, or gas got out.",
            "Charge more liquid and repeat; set the points without liquid aside.",
        )
    },
    "enthalpy-implausible": {
        "": (
            "The slope gives {value:kJ/mol.1}; liquids have {low:kJ/mol.0} to {high:kJ/mol.0}.",
            "Was there liquid in the cell, and is the pressure absolute and in the right unit?",
        )
    },
    "gas-let-out": {
        "points": (
            "The pressure fell by {drop:kPa.2} from {low:degC.1} to {high:degC.1}: the stopper lifted or gas was let "
            "out.",
            _LIFTED,
        ),
        "trace": (
            "At {time:s.0} the pressure fell by {drop:kPa.1} within two seconds and stayed low: the stopper lifted or "
            "gas was let out.",
            _LIFTED,
        ),
    },
    "level-off-reference": {
        "": (
            "The vapour pressure at {temperature:degC.1} is {share:+%.1} off the reference for {liquid}.",
            "Too high: air let in, plunger not drawn back, a more volatile impurity, or another liquid. Too low: not "
            "saturated, a damp room, a less volatile impurity, or another liquid.",
        )
    },
    "enthalpy-off-reference": {
        "": (
            "The value lies {difference:+kJ/mol.2} off the reference ({reference:kJ/mol.2}), {times:1.1} standard "
            "uncertainties.",
            "The reference was not used in the fit. Look at the other findings; humidity and air come first.",
        )
    },
    "input-pulled": {
        "": (
            "The fit had to move '{source}' by {times:1.1} of its stated uncertainties.",
            "Check that input; its uncertainty may be stated too small.",
        )
    },
    "lag-too-long": {
        "": (
            "The vapour is {lag:s.0} behind the bath and the plateaus lasted {hold:s.0}: it never came near enough to "
            "saturation for a correction to be trusted.",
            "Swirl the cell, and stay at least four times the lag at each temperature.",
        )
    },
    "cell-not-conditioned": {
        "warming": (
            "While closed and dry the pressure moved as if the cell was still warming by {rate:K/min.2} against its "
            "bath.",
            _CONDITION,
        ),
        "cooling": (
            "While closed and dry the pressure moved as if the cell was still cooling by {rate:K/min.2} against its "
            "bath.",
            _CONDITION,
        ),
    },
    "not-saturated": {
        "": (
            "At the first point the pressure was still rising by {rate:Pa/min.0} that the bath does not explain; about "
            "{to_come:Pa.0} were still to come.",
            "The vapour was not yet saturated: swirl after charging and wait longer before the first point.",
        )
    },
}

#: What the facts call a thing, where a reader needs other words.
NAMES_EN = {"nan": "not a number", "inf": "infinite", "-inf": "infinite"}
