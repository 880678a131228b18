"""ISO 5725-2:1994, annex B.1, sulfur content of coal: data and printed results from memory.

All twelve printed results follow from the data to the printed digit, and the analysis of variance is repeated with
scipy, so a slip of memory would show.
"""

import pytest
from scipy.stats import f_oneway

from analysis.pooling.precision import consistency, precision

LEVELS = (
    (
        (0.71, 0.71, 0.70, 0.71),
        (0.69, 0.67, 0.68),
        (0.66, 0.65, 0.69),
        (0.67, 0.65, 0.66),
        (0.70, 0.69, 0.66, 0.71, 0.69),
        (0.73, 0.74, 0.73),
        (0.71, 0.71, 0.69),
        (0.70, 0.65, 0.68),
    ),
    (
        (1.20, 1.18, 1.23, 1.21),
        (1.22, 1.21, 1.22),
        (1.28, 1.31, 1.30),
        (1.23, 1.18, 1.20),
        (1.31, 1.22, 1.22, 1.24),
        (1.39, 1.36, 1.37),
        (1.20, 1.26, 1.26),
        (1.24, 1.22, 1.30),
    ),
    (
        (1.68, 1.70, 1.68, 1.69),
        (1.64, 1.64, 1.65),
        (1.61, 1.61, 1.62),
        (1.68, 1.66, 1.66),
        (1.64, 1.67, 1.60, 1.66, 1.68),
        (1.70, 1.73, 1.73),
        (1.69, 1.70, 1.68),
        (1.67, 1.68, 1.67),
    ),
    (
        (3.26, 3.26, 3.20, 3.24),
        (3.20, 3.20, 3.20),
        (3.37, 3.36, 3.38),
        (3.16, 3.22, 3.23),
        (3.20, 3.19, 3.18, 3.27, 3.24),
        (3.27, 3.31, 3.29),
        (3.27, 3.24, 3.23),
        (3.25, 3.26, 3.26),
    ),
)
PRINTED = ((0.690, 0.015, 0.026), (1.252, 0.029, 0.061), (1.667, 0.017, 0.035), (3.250, 0.026, 0.058))  # m, s_r, s_R


def laboratories(level):
    return dict(enumerate(LEVELS[level], start=1))


@pytest.mark.parametrize("level", range(4))
def test_mean_repeatability_and_reproducibility_are_the_printed_ones(level):
    found = precision(laboratories(level))
    mean, repeatability, reproducibility = PRINTED[level]
    assert round(found.mean, 3) == mean
    assert round(found.repeatability, 3) == repeatability
    assert round(found.reproducibility, 3) == reproducibility


@pytest.mark.parametrize("level", range(4))
def test_the_variances_are_those_of_a_one_way_analysis(level):
    found = precision(laboratories(level))
    counts = [len(group) for group in LEVELS[level]]
    total = sum(counts)
    effective = (total - sum(n * n for n in counts) / total) / (len(counts) - 1)
    ratio = 1 + effective * found.between**2 / found.repeatability**2
    assert ratio == pytest.approx(f_oneway(*LEVELS[level]).statistic, rel=1e-9)


def test_laboratory_6_stands_at_the_line_of_h_on_the_second_level_and_no_test_rejects_it():
    found = consistency(laboratories(1))
    assert found.benches[int(abs(found.h).argmax())] == 6
    assert found.h.max() > found.h_lines[0]
    assert not any(test.outlier for test in found.tests)
