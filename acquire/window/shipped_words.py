"""Titles and summaries of the shipped scenarios and names of the shipped liquids, as texts that can be translated.

Each is looked up by the English text that the scenario or the liquid carries; a person's own stay as they are.
"""

from __future__ import annotations

from acquire.window.language import said

SCENARIOS = (
    said("A calm first run"),
    said("n-Heptane in a 140 mL cell, a half-litre bath that cools slowly, sensors that behave. Nothing goes wrong."),
    said("Something is wrong (1)"),
    said("n-Heptane on an ordinary day. One thing is not as it should be."),
    said("Something is wrong (2)"),
    said("Cyclohexane on an ordinary day. Two things are not as they should be."),
    said("Something is wrong (3)"),
    said("Ethanol on an ordinary day. Two things are not as they should be, one of them early."),
    said("Something is wrong (4)"),
    said(
        "n-Heptane on an ordinary day. Two things are not as they should be, and they have nothing to do with each "
        "other."
    ),
    said("Something is wrong (5)"),
    said("n-Hexane on an ordinary day. Several things are not as they should be."),
    said("A brisk run"),
    said("Ethanol, three big warm steps, a person who does not wait to be asked twice. Nothing goes wrong but haste."),
    said("A cold, draughty room"),
    said("Cyclohexane in an unheated room: the bath drifts fast and unevenly, the neck of the cell is cold."),
    said("A hot day"),
    said("n-Heptane at 28.5 °C: little span below the bath limit, a sensor that is still warming up, humid air."),
    said("A seal that leaks"),
    said(
        "n-Heptane; the seal lets the over-pressure go with an e-fold of three hours, from the moment the valve is "
        "closed."
    ),
    said("The stopper lifts"),
    said(
        "n-Hexane warmed further than the stopper holds: it lifts near 24 kPa over the room and falls back, and the "
        "air is gone."
    ),
    said("A slow flask"),
    said(
        "n-Hexane in thick glass; a fifth of the vapour space exchanges slowly. The last tenth of a kilopascal takes "
        "its time."
    ),
    said("Wet hands"),
    said(
        "n-Heptane; the cell slips out of the bath once, the probe once, and once the hot water runs straight onto the "
        "probe."
    ),
)

LIQUIDS = (
    said("water"), said("methanol"), said("ethanol"), said("propan-1-ol"), said("propan-2-ol"), said("butan-1-ol"),
    said("butan-2-ol"), said("2-methylpropan-2-ol"), said("acetone"), said("butanone"), said("methyl acetate"),
    said("ethyl acetate"), said("propyl acetate"), said("dimethyl carbonate"), said("n-pentane"),
    said("2-methylbutane"), said("n-hexane"), said("2-methylpentane"), said("n-heptane"), said("n-octane"),
    said("2,2,4-trimethylpentane"), said("n-nonane"), said("cyclopentane"), said("cyclohexane"),
    said("methylcyclohexane"), said("benzene"), said("toluene"), said("ethylbenzene"), said("p-xylene"),
    said("diethyl ether"), said("tert-butyl methyl ether"), said("tetrahydrofuran"), said("1,4-dioxane"),
    said("dichloromethane"), said("chloroform"), said("1,2-dichloroethane"), said("trichloroethylene"),
    said("acetonitrile"), said("unknown"),
)  # fmt: skip
