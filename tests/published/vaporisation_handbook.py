"""Boiling points and calorimetric enthalpies of vaporisation of the liquids that the simulator knows.

Source: CRC Handbook of Chemistry and Physics, table of enthalpies of vaporisation, as shipped in the library
`chemicals` (table Hvap_data_CRC). Name: (normal boiling point [K], enthalpy at 298.15 K [J/mol]).
"""

CRC = {
    "2-methylpentane": (333.41, 29890.0),
    "acetone": (329.20, 30990.0),
    "cyclohexane": (353.88, 33010.0),
    "cyclopentane": (322.45, 28520.0),
    "diethyl ether": (307.65, 27100.0),
    "ethanol": (351.44, 42320.0),
    "methanol": (337.75, 37430.0),
    "n-heptane": (371.55, 36570.0),
    "n-hexane": (341.88, 31560.0),
    "n-octane": (398.82, 41490.0),
    "n-pentane": (309.21, 26430.0),
    "tetrahydrofuran": (338.15, 31990.0),
    "toluene": (383.78, 38010.0),
    "water": (373.12, 43980.0),
}
