"""What a report is put together from: numbers in words, axes, small pictures, a page of the guide."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from report_made import NOW, RUNS, a_class, chart
from report_pages import TAGS, read

from trainer import places
from trainer.insight.intervals import rate
from trainer.insight.report import words
from trainer.insight.report.bars import interval_bar, part_bar
from trainer.insight.report.control_chart import control_chart, told
from trainer.insight.report.curve_chart import curve_chart
from trainer.insight.report.draw import Axis, ticks
from trainer.insight.report.guide_page import as_html
from trainer.insight.report.stations import MOST_POINTS, latest
from trainer.insight.results import ChartPoint, Spread

FINITE = st.floats(min_value=-1e9, max_value=1e9, allow_nan=False)


@given(FINITE, FINITE, st.integers(1, 8))
def test_an_axis_reaches_over_its_values_in_even_steps(one: float, other: float, wanted: int) -> None:
    """Round numbers from below the least to above the greatest, rising, evenly, not many more than wanted."""
    low, high = sorted((one, other))
    marks = ticks(low, high, wanted)
    slack = 1e-6 * max(abs(low), abs(high), 1)
    assert marks[0] <= low + slack
    assert marks[-1] >= high - slack
    steps = [after - before for before, after in pairwise(marks)]
    assert all(step > 0 for step in steps)
    assert max(steps) - min(steps) <= 1e-6 * max(abs(marks[0]), abs(marks[-1]), 1)
    assert 2 <= len(marks) <= wanted + 3


@pytest.mark.parametrize(
    ("low", "high", "marks"),
    [(0, 7.4, (0, 2, 4, 6, 8)), (4.5, 6.5, (4.5, 5, 5.5, 6, 6.5)), (0, 0, (0, 1)), (math.nan, 1, (0, 1))],
)
def test_axes_have_numbers_that_people_count_in(low: float, high: float, marks: tuple[float, ...]) -> None:
    """Ones, twos, halves (common practice, no source); one value and no value have an axis too."""
    assert ticks(low, high) == marks
    assert Axis(2, 2, 0, 10).at(2) == 5


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        (words.duration(0.4), "0.4 s"),
        (words.duration(9.96), "10 s"),
        (words.duration(59.6), "1 min"),
        (words.duration(65), "1 min 5 s"),
        (words.duration(3599.6), "1 h"),
        (words.duration(4320), "1 h 12 min"),
        (words.percent(0), "0 %"),
        (words.percent(0.004), "under 1 %"),
        (words.percent(0.996), "over 99 %"),
        (words.percent(1), "100 %"),
        (words.of(rate(9, 24)), "9 of 24 (21 to 57 %)"),
        (words.of(rate(0, 0)), words.NONE),
        (words.number(-0.04), "0"),
        (words.number(-0.314, 2), "\u22120.31"),
        (words.number(20400), "20,400"),
        (words.spread(Spread(3, 41.0, 30.5, 66.0)), "41 s (30 s to 1 min 6 s)"),
        (words.spread(Spread(0, None, None, None)), words.NONE),
        (words.listed([]), ""),
        (words.listed(["a", "b", "c"]), "a, b and c"),
        (words.number_of(1, "run"), "1 run"),
        (words.runs_named(RUNS, 2), "01980001-7c10, 01980002-7c10 and 38 more"),
        (words.day(NOW, UTC), "26 Nov 2026"),
        (words.sentence("who is it?"), "Who is it?"),
    ],
)
def test_numbers_are_said_as_people_say_them(said: str, wanted: str) -> None:
    """Times, shares, counts, dates. Wilson's 9 of 24: statsmodels 0.15 gives 0.2116, 0.5729."""
    assert said.replace("\u00a0", " ") == wanted


def test_an_interval_is_drawn_where_it_lies() -> None:
    """The bar from limit to limit on 120 units, the mark at the share, the line where it is held."""
    one = rate(9, 24, 0.8)
    drawn = read(interval_bar(one).source)
    (bar,), (mark,) = drawn.all("rect"), drawn.all("circle")
    place = Axis(0, 1, 2, 118).at
    assert float(bar.attributes["x"]) == pytest.approx(place(one.interval.low), abs=0.06)
    assert float(bar.attributes["width"]) == pytest.approx(
        place(one.interval.high) - place(one.interval.low), abs=0.06
    )
    assert float(mark.attributes["cx"]) == pytest.approx(place(9 / 24), abs=0.06)
    assert float(drawn.all("line")[-1].attributes["x1"]) == pytest.approx(place(0.8), abs=0.06)
    assert interval_bar(rate(0, 0)).source == part_bar(1, 0, 0).source == ""


@pytest.mark.parametrize("values", [[], [6.0], [6.0, 6.0], [1e9, -1e9, 0.0], [math.nan, 6.0]])
def test_a_chart_of_hardly_anything_is_a_chart(values: list[float]) -> None:
    """None, one, equal, enormous values and one that is no number: a picture, and words for it."""
    points = tuple(ChartPoint(NOW, value, None, RUNS[0], False) for value in values)  # noqa: FBT003
    row = replace(
        chart("sink 1", drifts=False), points=points, centre=None, low=None, high=None, range_high=None
    )
    said = told(row, UTC)
    drawn = read(control_chart(row, "x", said, UTC).source)
    assert drawn.all("desc")[0].said == said
    numbers = " ".join(value for node in drawn.every() for value in node.attributes.values())
    assert "nan" not in numbers
    assert "inf" not in numbers


def test_a_long_chart_is_drawn_from_its_last_values() -> None:
    """Of more points than paper has room for, the last are drawn, without the baseline before them."""
    row = chart("sink 1", drifts=False)
    many = replace(row, points=tuple(row.points) * 9)
    assert latest(row) is row
    assert latest(many).points == many.points[-MOST_POINTS:]
    assert latest(many).baseline == 0


def test_a_learning_curve_has_a_point_for_each_run_and_the_fit() -> None:
    """Four panels by name, as many marks as runs, a dashed line in each."""
    rows = [row for row in a_class().curves if row.slope is not None]
    drawn = read(curve_chart(rows, "t", "d", "x").source)
    said = [node.said for node in drawn.all("text")]
    assert all(row.trainee in said for row in rows)
    assert len(drawn.all("circle")) == sum(len(row.points) for row in rows)
    assert sum("stroke-dasharray" in node.attributes for node in drawn.all("polyline")) == len(rows)


def test_the_guides_methods_become_html() -> None:
    """Headings one level down with places to link to, lists, tables, code; all words kept; nothing else."""
    markdown = (places.guide_dir() / "methods.md").read_text(encoding="utf-8")
    tree = read(as_html(markdown).source)
    assert {node.tag for node in tree.every()} <= TAGS
    assert {"method-wilson", "method-kappa"} <= {node.attributes.get("id") for node in tree.all("h3")}
    kept = "".join(letter for letter in tree.said if letter.isalnum())
    numbers = [line for line in markdown.splitlines() if not line.startswith(tuple("123456789"))]
    missing = [line for line in numbers if "".join(letter for letter in line if letter.isalnum()) not in kept]
    assert missing == []


def test_a_page_of_the_guide_keeps_lists_tables_and_code_apart() -> None:
    """Each kind of block, and marks in them, as the guide uses them."""
    page = as_html(
        "# A\n\nOne `two` **three**.\n- a\n  b\n- c\n\n| h | i |\n|---|---|\n| `x|y` | z |\n\n"
        "```sh\n# no\n\n<b>\n```\n"
    )
    tree = read(page.source)
    assert [node.said for node in tree.all("li")] == ["a b", "c"]
    assert [node.said for node in tree.all("th", "td")] == ["h", "i", "x|y", "z"]
    assert tree.all("pre")[0].said == "# no <b>"
    assert [node.tag for node in tree.all("h2", "p")] == ["h2", "p"]


def test_people_of_several_schools_stand_school_by_school() -> None:
    """Codes with a school behind them go by it first; without one, by themselves."""
    codes = ["T-02 (North)", "T-01 (South)", "T-01 (North)"]
    assert sorted(codes, key=words.by_school) == ["T-01 (North)", "T-02 (North)", "T-01 (South)"]
    assert sorted(["T-02", "T-01"], key=words.by_school) == ["T-01", "T-02"]
    assert {words.school_of(code) for code in codes} == {"North", "South"}
    assert words.school_of("T-01") == ""
