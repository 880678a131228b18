"""Saturation pressures of eleven liquids, 293.15 to 313.15 K, with calorimetric enthalpies and slopes.

Pressures: CoolProp 8.0.0 reference equations of state, for ethyl acetate and propan-2-ol Antoine constants of Poling,
Prausnitz and O'Connell (The Properties of Gases and Liquids) as shipped in `chemicals`.  Enthalpies at 298.15 K and
normal boiling points: CRC Handbook tables as shipped in `chemicals`.  Slopes times R at 298.15 K: from the same source
as the pressures.
"""

TEMPERATURES = (293.15, 298.15, 303.15, 308.15, 313.15)  # [K]
#: name: (pressures [kPa], enthalpy at 298.15 K [kJ/mol], normal boiling point [K], slope times R at 298.15 K [kJ/mol])
CHECK_VALUES = {
    "ethanol": ((5.8759, 7.8859, 10.4672, 13.7486, 17.8799), 42.32, 351.39, 42.660),
    "methanol": ((13.0317, 16.9814, 21.9144, 28.0214, 35.5183), 37.43, 337.65, 38.403),
    "acetone": ((24.6616, 30.7272, 37.9604, 46.5213, 56.5816), 30.99, 329.23, 31.865),
    "n-hexane": ((16.1580, 20.1641, 24.9457, 30.6091, 37.2684), 31.56, 341.87, 32.086),
    "ethyl acetate": ((9.8311, 12.6139, 16.0188, 20.1473, 25.1107), 35.60, 350.25, 36.068),
    "water": ((2.3393, 3.1699, 4.2470, 5.6290, 7.3849), 43.98, 373.124, 44.061),
    "cyclohexane": ((10.3432, 13.0189, 16.2395, 20.0850, 24.6418), 33.01, 353.85, 33.329),
    "n-heptane": ((4.7222, 6.0908, 7.7770, 9.8353, 12.3264), 36.57, 371.53, 36.860),
    "n-pentane": ((56.5677, 68.3551, 82.0049, 97.7134, 115.6854), 26.43, 309.21, 27.435),
    "diethyl ether": ((58.8292, 71.5048, 86.2545, 103.3047, 122.8924), 27.10, 307.55, 28.272),
    # Its Antoine and Wagner correlations differ by 4 % in pressure and 2 % in slope: not to be used tightly.
    "propan-2-ol": ((4.4136, 6.0208, 8.1118, 10.8018, 14.2260), 45.39, 355.36, 44.966),
}
