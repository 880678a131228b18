"""CIPM-2007: A. Picard, R. S. Davis, M. Glaeser, K. Fujii, "Revised formula for the density of moist air",
Metrologia 45 (2008) 149-155, appendix A1: dry air has Z = 1 - p/T (a0 + a1 t + a2 t^2), t in degC, 15 to 27 degC.

The three coefficients were compared with four public programs that use them.
"""

A0, A1, A2 = 1.58123e-6, -2.9331e-8, 1.1043e-10  # [K/Pa], [1/Pa], [1/(K Pa)]
LOWEST, HIGHEST = 288.15, 300.15  # [K]


def compressibility_less_one(pressure: float, temperature: float) -> float:
    """Z - 1 of dry air, first order in the pressure.  [Pa], [K]"""
    t = temperature - 273.15
    return -pressure / temperature * (A0 + A1 * t + A2 * t * t)
