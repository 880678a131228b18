"""Tables of points: units named, nothing guessed, every fault with its line."""

from __future__ import annotations

import pytest

from acquire.points_csv import MAX_ROWS, PointsCsvError, parse_points


def test_any_unit_of_the_table_is_understood() -> None:
    points = parse_points("temperature/degF,pressure/mmHg,u_temperature/degF,u_pressure/mmHg\n77,45.68,0.18,0.3\n")
    assert points[0].temperature == pytest.approx(298.15)
    assert points[0].pressure == pytest.approx(45.68 * 133.322387415)  # Pa per mmHg, NIST SP 811
    assert points[0].u_temperature == pytest.approx(0.1)
    assert points[0].u_pressure == pytest.approx(40.0, abs=0.01)


def test_lags_are_differences_and_may_be_unknown() -> None:
    points = parse_points(
        "temperature/degC,pressure/kPa,lag/degC,u_lag/degF,time/min,correlation/1\n20,4.7,-0.05,0.018,2,0.3\n30,7.8,,,,\n"
    )
    assert (points[0].lag, points[0].u_lag) == (pytest.approx(-0.05), pytest.approx(0.01))
    assert (points[0].time, points[0].correlation) == (120.0, 0.3)
    assert (points[1].lag, points[1].u_lag, points[1].correlation) == (0.0, 0.0, 0.0)
    assert points[1].time != points[1].time


def test_semicolons_with_decimal_commas_and_comments() -> None:
    points = parse_points(
        "# from the old book\ntemperature/degC; pressure/kPa; branch\n20,5;4,7222;up\n30;7,777;return\n"
    )
    assert [p.temperature for p in points] == [pytest.approx(293.65), pytest.approx(303.15)]
    assert [p.branch for p in points] == ["up", "return"]


@pytest.mark.parametrize(
    "header",
    ["temperature (degC),pressure (kPa)", "temperature(degC),pressure / kPa", "temperature/degC, pressure ( kPa )"],
)
def test_a_unit_may_stand_in_round_brackets_too(header: str) -> None:
    assert parse_points(header + "\n21.5,38.2\n") == parse_points("temperature/degC,pressure/kPa\n21.5,38.2\n")


@pytest.mark.parametrize(
    ("text", "line", "found"),
    [
        ("", 1, "no line with text"),
        ("temperature/degC\n20\n", 1, "no column pressure"),
        ("temperature/degC,pressure\n", 1, "without a unit"),
        ("temperature/degC,pressure ()\n", 1, "without a unit"),
        ("temperature (probe)/degC,pressure/kPa\n", 1, "temperature (probe)"),
        ("temperature/degC (probe),pressure/kPa\n", 1, "the unit 'degC (probe)'"),
        ("temperature (degC),pressure (degC)\n", 1, "a unit of temperature, for 'pressure'"),
        ("temperature/kPa,pressure/kPa\n", 1, "a unit of pressure"),
        ("temperature/degC,pressure/kPA2\n", 1, "the unit 'kPA2'"),
        ("temperature/degC,presure/kPa\n", 1, "did you mean 'pressure'"),
        ("temperature/degC,temperature/K,pressure/kPa\n", 1, "twice"),
        ("temperature/degC,pressure/kPa\n20,4.7\n\n30\n", 4, "1 cells"),
        ("temperature/degC,pressure/kPa\n20,nan\n", 2, "'nan' as pressure"),
        ("temperature/degC,pressure/kPa\n20,1_000\n", 2, "'1_000' as pressure"),
        ("temperature/degC,pressure/kPa\n20,1e999\n", 2, "'1e999' as pressure"),
        ("temperature/degC,pressure/kPa,branch\n20,4.7,sideways\n", 2, "the branch 'sideways'"),
    ],
)
def test_every_fault_names_its_line(text: str, line: int, found: str) -> None:
    with pytest.raises(PointsCsvError, match="expected") as error:
        parse_points(text, "points.csv")
    assert error.value.line == line
    assert found in error.value.found


def test_a_line_without_end_is_refused():
    with pytest.raises(PointsCsvError, match="a line of 200008 characters"):
        parse_points("temperature/degC,pressure/kPa\n20,4.72\n25,6.09" + "1" * 200_001 + "\n")


def test_a_table_without_end_is_refused():
    rows = "20,4.72\n" * (MAX_ROWS + 1)
    with pytest.raises(PointsCsvError, match=f"{MAX_ROWS + 1} rows") as refused:
        parse_points("temperature/degC,pressure/kPa\n" + rows)
    assert f"at most {MAX_ROWS}" in str(refused.value)
