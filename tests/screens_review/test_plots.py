"""Plots: what is drawn where, for a given value; each drawing held to arithmetic done beside it."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from review_values import chart, curve_row
from rich.cells import cell_len

from trainer.insight.intervals import rate
from trainer.insight.results import Interval, Spread
from trainer.screens.widgets.plot import (
    FINE,
    PLAIN,
    Plot,
    Signs,
    level,
    listed,
    log_ticks,
    number,
    round_up,
    signs_of,
    ticks,
)
from trainer.screens.widgets.plot_chart import control_chart
from trainer.screens.widgets.plot_curve import curve
from trainer.screens.widgets.plot_strips import Bar, bar, bars, rate_strip, scale, spread_strip

SIZES = ((40, 10), (78, 14), (118, 20))
BOTH = (FINE, PLAIN)


def grid(plot: Plot) -> list[str]:
    """Its rows, all cells."""
    return [line.plain for line in plot.lines]


def places(plot: Plot, sign: str, left: int) -> list[tuple[int, int]]:
    """Columns and rows of a sign right of the axis, from the left; the row of words above left out."""
    rows = grid(plot)[1:-3]
    found = [(x, y) for y, row in enumerate(rows) for x, at in enumerate(row) if at == sign and x > left]
    return sorted(found)


@pytest.mark.parametrize("signs", BOTH)
@pytest.mark.parametrize("size", SIZES)
def test_every_row_is_as_wide_as_asked(size: tuple[int, int], signs: Signs) -> None:
    """All rows have exactly the cells asked for, and there are as many rows as asked for."""
    for plot in (
        curve(curve_row(), *size, signs=signs),
        curve(curve_row(), *size, log=True, signs=signs),
        control_chart(chart(), *size, signs),
    ):
        assert {cell_len(row) for row in grid(plot)} == {size[0]}
        assert len(plot.lines) == size[1]


@pytest.mark.parametrize("size", SIZES)
def test_plain_signs_are_ascii(size: tuple[int, int]) -> None:
    """With the signs for poor terminals every cell is ASCII."""
    drawn = [
        curve(curve_row(), *size, signs=PLAIN).text,
        curve(curve_row(2, "plates used"), *size, log=True, signs=PLAIN).text,
        control_chart(chart(), *size, PLAIN).text,
        bars([Bar("a", 2), Bar("b", 3.5)], size[0], signs=PLAIN).text,
        rate_strip(rate(3, 7), 20, PLAIN).plain,
        spread_strip(Spread(3, 2, 1, 4), 5, 20, PLAIN).plain,
    ]
    assert all(text.isascii() for text in drawn)
    assert not curve(curve_row(), *size, signs=FINE).text.isascii()


def test_signs_follow_the_encoding() -> None:
    """A terminal of UTF-8 gets line drawing, every other ASCII."""
    assert signs_of("UTF-8") is signs_of("utf8") is FINE
    assert signs_of("ANSI_X3.4-1968") is signs_of("ISO-8859-1") is PLAIN


def test_the_same_values_are_drawn_the_same() -> None:
    """Nothing but the values goes into a plot."""
    assert grid(curve(curve_row(), 60, 12)) == grid(curve(curve_row(), 60, 12))
    assert control_chart(chart(), 60, 12) == control_chart(chart(), 60, 12)


def test_a_learning_curve_stands_where_its_values_are() -> None:
    """An 80 % unit curve from 100 minutes (Wideman, Learning curve mathematics) on an axis from 0 to 100."""
    plot = curve(curve_row(4), 40, 15, signs=FINE)  # 11 rows: one for every 10 minutes
    assert plot.text.split("\n")[0] == "minutes of work"
    assert grid(plot)[1].startswith("100 ┤")
    assert grid(plot)[11].startswith("  0 ┤")
    # unit curve: 100, 80, 70.21, 64 minutes are 0, 2, 3 and 4 rows under the top
    assert [y for _, y in places(plot, FINE.point, 4)] == [0, 2, 3, 4]
    assert [x for x, _ in places(plot, FINE.point, 4)] == [5, 16, 27, 38]


def test_on_logarithmic_axes_the_fit_is_straight() -> None:
    """The fitted curve goes down a straight line there, and both axes say that they are logarithmic."""
    plot = curve(curve_row(8), 70, 20, log=True)
    assert plot.text.count("log scale") == 2
    xs = dict(places(plot, FINE.point, 4))
    (x1, y1), (x2, y2) = min(xs.items()), max(xs.items())
    for x, y in places(plot, FINE.fit, 4):
        assert y == pytest.approx(y1 + (y2 - y1) * (x - x1) / (x2 - x1), abs=1.01)


def test_a_few_runs_have_no_curve() -> None:
    """Under four runs no curve is drawn, and the words say why."""
    plot = curve(curve_row(3), 60, 12)
    assert not places(plot, FINE.fit, 4)
    assert "No curve is fitted: that takes at least four runs." in plot.words


def test_the_words_of_a_curve_say_what_it_shows() -> None:
    """First and last value, rate and interval, and how much it rests on."""
    assert curve(curve_row(8), 60, 12).words == (
        "Active time by run: 100 min at run 1, 51.2 min at run 8. The fitted curve falls to 80 % at each "
        "doubling of the runs (interval 75 to 85 %); it rests on 8 runs."
    )


def test_a_curve_that_may_go_either_way_says_so() -> None:
    """An interval that holds 100 % is too few runs; a rate of 100 % stays level; one plate is one."""
    row = replace(curve_row(5), rate=0.94, rate_interval=Interval(0.79, 1.13, "t"))
    assert curve(row, 60, 12).words.endswith("it rests on 5 runs, too few to say which way it goes.")
    level_ = replace(curve_row(5), rate=1.001, rate_interval=Interval(0.9, 1.1, "t"))
    assert "The fitted curve stays level at each doubling" in curve(level_, 60, 12).words
    assert "falls to 80 %" in curve(curve_row(5), 60, 12).words
    assert "rises to 120 %" in curve(replace(row, rate=1.2, rate_interval=None), 60, 12).words
    assert "1 plate at run 3" in curve(curve_row(3, "plates used"), 60, 12).words
    assert "2 plates at run 1" in curve(curve_row(3, "plates used"), 60, 12).words


def test_without_values_or_room_the_words_are_left() -> None:
    """Nothing is drawn of nothing, nor where it could not be read; the sentence stands."""
    empty = curve(replace(curve_row(), points=()), 60, 12)
    assert empty.lines == ()
    assert "no run to show yet" in empty.words
    assert curve(curve_row(), 20, 12).lines == () == control_chart(chart(), 60, 6).lines
    assert (
        control_chart(replace(chart(), points=()), 60, 12).words
        == "sink 2, wedge: nothing was read there yet."
    )


@pytest.mark.parametrize("width", [40, 78, 118])
@pytest.mark.parametrize("count", [12, 34, 200])
def test_every_point_out_of_its_limits_is_an_x(count: int, width: int) -> None:
    """Points out are told by their sign, also where several share a column; none is drawn over."""
    row = chart(count=count, slide=0.05)
    out = [point.value for point in row.points if point.out]
    plot = control_chart(row, width, 16)
    drawn = places(plot, FINE.out, 12)
    assert bool(out) == bool(drawn)
    if count == 34:
        assert len(drawn) == len(out)
    assert (f"Out of the limits: {len(out)}" in plot.words) == bool(out)


def test_limits_centre_and_baseline_are_named() -> None:
    """Each line has its value at the left, and the part that the limits come from is drawn double."""
    plot = control_chart(chart(), 78, 16)
    left = [row.split("┤")[0].strip() for row in grid(plot) if "┤" in row]
    assert {"limit 7.0", "centre 6.0", "limit 5.0"} <= set(left)
    axis = grid(plot)[-3]
    points = [x for x, _ in places(plot, FINE.point, 11)]
    assert axis.count(FINE.early) == points[19] - points[0] + 1
    assert "the limits are from these 20" in grid(plot)[-1]
    assert "02 Mar" in grid(plot)[-2]
    assert "07 May" in grid(plot)[-2]


def test_too_few_values_have_no_limits() -> None:
    """Without limits none are drawn, none are named, and no part is called a baseline."""
    plot = control_chart(chart(count=4), 60, 12)
    assert "limit" not in plot.text
    assert FINE.early not in plot.text
    assert plot.words.endswith("Too few for limits, so none are drawn.")


def test_values_that_are_all_the_same_are_drawn() -> None:
    """A chart without any spread, and a curve of zeros, divide by nothing."""
    flat = chart(count=5)
    flat = replace(flat, points=tuple(replace(point, value=0.0) for point in flat.points))
    assert places(control_chart(flat, 50, 10), FINE.point, 6)
    row = curve_row(3, "plates used")
    zeros = replace(row, points=tuple(replace(point, value=0.0) for point in row.points))
    assert places(curve(zeros, 50, 10), FINE.point, 4)
    assert places(curve(zeros, 50, 10, log=True), FINE.point, 4)


def test_a_zero_on_a_logarithmic_axis_is_marked_as_under_it() -> None:
    """It has no place there, and is not left out."""
    row = curve_row(3, "plates used")
    mixed = replace(row, points=(*row.points[:2], replace(row.points[2], value=0.0)))
    assert len(places(curve(mixed, 50, 10, log=True), FINE.under, 4)) == 1


def test_bars_have_lengths_in_proportion() -> None:
    """Half the value is half the bar; what is over 0 is seen; 0 has no bar; the figures stand behind."""
    plot = bars([Bar("one", 40), Bar("two", 20, "right", ">"), Bar("three", 0.01), Bar("four", 0)], 60)
    lengths = [row.count("█") for row in grid(plot)]
    assert lengths[0] == 2 * lengths[1] + (lengths[0] % 2)
    assert lengths[2:] == [0, 0]
    assert "▌" in grid(plot)[2]
    assert grid(plot)[1].startswith("> two")
    assert grid(plot)[1].endswith("20 right")
    assert plot.words == "one 40, two 20, three 0.01 and four 0."
    assert bar(1, 0, 10).plain == bar(0, 5, 10).plain == ""


def test_a_long_label_is_cut_and_pushes_nothing() -> None:
    """Wide letters and long words leave the bars where they are."""
    plot = bars([Bar("版" * 40, 3), Bar("[CAUTION] " * 9, 2)], 40)
    assert all(cell_len(row) <= 40 for row in grid(plot))
    assert "[CAUTION]" in plot.text


def test_a_share_stands_in_its_interval() -> None:
    """9 of 24 is 37.5 %; Wilson's interval is 21.16 to 57.29 % (statsmodels 0.15.0), in cells of 1 %."""
    strip = rate_strip(rate(9, 24), 101).plain
    assert (strip.index("├"), strip.index("•"), strip.index("┤")) == (21, 38, 57)
    assert rate_strip(rate(0, 0), 20).plain == "·" * 20
    assert rate_strip(rate(5, 5), 20).plain.endswith("•")
    assert rate_strip(rate(0, 5), 20).plain.startswith("•")


def test_a_spread_stands_on_its_scale() -> None:
    """Quartiles 10 and 40 and median 20 on a scale to 50 are at 20, 80 and 40 % of it."""
    strip = spread_strip(Spread(9, 20, 10, 40), 50, 101).plain
    assert (strip.index("▒"), strip.index("█"), strip.rindex("▒")) == (20, 40, 80)
    assert spread_strip(Spread(0, None, None, None), 50, 20).plain == "·" * 20
    assert scale(50, "s", 30).plain == "0             25          50 s"
    assert scale(50, "s", 5).plain.strip() == ""


@settings(max_examples=30, deadline=None)
@given(st.floats(-1e6, 1e6), st.floats(0, 1e6), st.integers(2, 12))
def test_ticks_are_round_few_and_reach(low: float, span: float, most: int) -> None:
    """Ticks reach from the least value to the largest, evenly, and are no more than asked for."""
    found = ticks(low, low + span, most)
    assert 2 <= len(found) <= max(most, 2)
    slack = 1e-6 * max(1.0, abs(low), span)
    assert found[0] <= low + slack
    assert found[-1] >= low + span - slack
    steps = [after - before for before, after in pairwise(found)]
    assert max(steps) - min(steps) <= slack


@settings(max_examples=20, deadline=None)
@given(st.floats(1e-3, 1e6), st.floats(1, 1e5), st.integers(2, 12))
def test_logarithmic_ticks_reach(low: float, times: float, most: int) -> None:
    """Powers of two that reach from the least to the largest."""
    found = log_ticks(low, low * times, most)
    assert found[0] <= low * (1 + 1e-9)
    assert found[-1] >= low * times * (1 - 1e-9)
    assert len(found) <= most + 1


def test_numbers_and_lists_in_words() -> None:
    """Three figures that count, and a list as it is said."""
    assert [number(value) for value in (0, 6, 5.996, 51.2, 1234.5, 0.0004)] == [
        "0",
        "6",
        "6",
        "51.2",
        "1234",
        "4.0e-04",
    ]
    assert [level(2.0049, span) for span in (0.03, 0.5, 4, 60, 0)] == ["2.005", "2.00", "2.0", "2", "2"]
    assert [round_up(value) for value in (0, 0.7, 1, 1.2, 13.9, 21, 96, 100.5)] == [
        0,
        0.8,
        1,
        1.5,
        15,
        30,
        100,
        150,
    ]
    assert listed(["a"]) == "a"
    assert listed(["a", "b", "c"]) == "a, b and c"
