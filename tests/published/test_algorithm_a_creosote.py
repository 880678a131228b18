"""Algorithm A on the cell means of the creosote example of ISO 5725-5:1998.

Cell means as given in the help page of `algA` of the R package metRology; that the fourth iteration is the standard's
answer is said there.  x* = 20.412 from memory.  The fixed point is found a second time with a general root finder.
"""

import numpy as np
import pytest
from scipy.optimize import fsolve

from analysis.pooling.robust import algorithm_a

CELL_MEANS = (24.140, 20.155, 19.500, 20.300, 20.705, 17.570, 20.100, 20.940, 21.185)


def test_the_robust_mean_is_the_printed_one():
    assert algorithm_a(CELL_MEANS, most_iterations=4).mean == pytest.approx(20.412, abs=5e-4)


def test_the_iteration_ends_where_a_root_finder_ends():
    def balance(state):
        mean, deviation = state
        clipped = np.clip(CELL_MEANS, mean - 1.5 * deviation, mean + 1.5 * deviation)
        return clipped.mean() - mean, 1.134 * np.std(clipped, ddof=1) - deviation

    mean, deviation = fsolve(balance, (20.0, 1.0), xtol=1e-12)
    found = algorithm_a(CELL_MEANS, tolerance=1e-13)
    assert found.mean == pytest.approx(mean, abs=1e-9)
    assert found.deviation == pytest.approx(deviation, abs=1e-9)
