"""The pages of stations, waste and sign-offs: what leads, what is said, what opens."""

from __future__ import annotations

from dataclasses import replace
from typing import cast

import pytest
from review_values import (
    AGREEMENT,
    LARGE,
    PLATES,
    REVIEW,
    RUNS,
    SMALL,
    WASTE,
    HandDesk,
    cells,
    chart,
    opened,
    shown,
)

from trainer.insight.results import AgreementRow, ChartRow, Review
from trainer.screens.review import agreement_rows, station_rows, stations_rows, waste_rows
from trainer.screens.review.desk import Desk
from trainer.screens.review.leaf import Opens, Size


def desk(review: Review = REVIEW, **orders: int) -> Desk:
    """A desk by hand; it has what these pages ask for."""
    return cast("Desk", HandDesk(review, orders=orders))


def page(row: ChartRow, *others: ChartRow, size: Size = SMALL) -> str:
    """The page of one chart, as it stands."""
    there = desk(replace(REVIEW, charts=(row, *others)))
    return shown(station_rows.leaf(there, (row.station, row.procedure, row.what), size), size.width)


def flat(text: str) -> str:
    """Its line breaks taken out."""
    return " ".join(text.split())


def test_what_drifts_comes_first() -> None:
    """Then what has values out, then by name; the state is a word, and a mark."""
    leaf = stations_rows.leaf(desk(), (), SMALL)
    assert cells(leaf, 0) == ["sink 2", "sink 2", "sink 1", "sink 3"]
    assert cells(leaf, 6) == ["! DRIFTS", "! DRIFTS", "in control", "too few yet"]
    assert opened(leaf)[0] == Opens("station", ("sink 2", PLATES, "wedge"))
    assert opened(leaf)[1] == Opens("station", ("sink 2", "", "seconds per unit"))
    assert "Drifting: sink 2 (wedge), sink 2 (seconds per unit)." in flat(shown(leaf))


@pytest.mark.parametrize(
    ("what", "values", "last"),
    [
        ("wedge", (6.0,), "6.0"),
        ("wedge", (6.0, 6.0), "6.0"),
        ("wedge", (5.5, 6.237), "6.24"),
        ("seconds per unit", (1.9912, 1.3004), "1.30"),
    ],
)
def test_values_have_the_decimals_that_tell_them_apart(
    what: str, values: tuple[float, ...], last: str
) -> None:
    """A wedge is read to half a step, so that 6 stands as 6.0."""
    row = chart(what, count=len(values))
    points = tuple(replace(point, value=value) for point, value in zip(row.points, values, strict=True))
    row = replace(row, points=points, centre=None, low=None, high=None)
    leaf = stations_rows.leaf(desk(replace(REVIEW, charts=(row,))), (), SMALL)
    assert cells(leaf, 4) == [last]


def test_a_station_without_a_name_has_one() -> None:
    """It is shown as having none, and opens all the same."""
    leaf = stations_rows.leaf(desk(replace(REVIEW, charts=(chart(station="", slide=0),))), (), SMALL)
    assert cells(leaf, 0) == ["(no name)"]
    assert opened(leaf) == [Opens("station", ("", PLATES, "wedge"))]
    assert "Nothing drifts" in shown(leaf)


@pytest.mark.parametrize("size", [SMALL, LARGE])
def test_a_chart_that_drifts_says_what_to_do(size: Size) -> None:
    """The chart with its words, what to check, the test that settles it, the caution, and the values out."""
    text = flat(page(chart(), size=size))
    for said in (
        "! It drifts down.",
        "Centre 6.0, limits 5.0 to 7.0, from the first 20. Out of the limits: 5, below;",
        "It reads fewer steps than at the start.",
        "Lamp: do its seconds per unit rise too?",
        "Developer: temperature, age, strength.",
        "run the exposure test at this station before class",
        "with the mains off",
        "safety data sheet",
        "one value in 370",
    ):
        assert said in text
    assert max(len(row) for row in page(chart(), size=size).split("\n")) <= size.width


def test_a_lamp_that_slows_is_told_from_a_wedge_that_slides() -> None:
    """Seconds per unit that rise: less light, and the integrator still gives the dose."""
    text = flat(page(chart("seconds per unit", slide=-0.12)))
    assert "! It drifts up." in text
    assert "A unit takes longer: the lamp gives less light." in text


def test_a_chart_in_control_asks_for_nothing() -> None:
    """No list of what to do where nothing is out and nothing drifts; with few values no verdict."""
    quiet = page(chart(slide=0))
    assert "What to do" not in quiet
    single = replace(chart(slide=0.12), drifts=False)
    assert "5 values out of the limits, but no drift." in page(single)
    assert "What to do" not in page(single)
    assert "open its run below" in flat(page(single))
    assert "In control: no drift." in quiet
    assert "Too few values to say whether anything drifts." in page(chart(count=4))


def test_values_out_open_their_runs_newest_first() -> None:
    """Each opens the run it came from; the words over them open all runs."""
    row = chart()
    leaf = station_rows.leaf(desk(replace(REVIEW, charts=(row,))), ("sink 2", PLATES, "wedge"), SMALL)
    spots = opened(leaf)
    out = [point.run for point in row.points if point.out]
    assert [spot.keys[0] for spot in spots if spot.page == "run"] == out[::-1]
    assert spots[0].runs == [point.run for point in row.points]


def test_the_other_charts_of_a_station_are_named() -> None:
    """A station's other chart opens from here."""
    text = page(chart(), chart("seconds per unit", slide=-0.12), chart(station="sink 4"))
    assert "seconds per unit: ! DRIFTS" in text
    assert "sink 4" not in text


def test_without_values_a_sentence_stands() -> None:
    """No chart, no waste, no sign-off: each is said."""
    none = desk(replace(REVIEW, charts=(), waste=(), spoiled=(), agreement=()))
    assert "No wet run" in shown(stations_rows.leaf(none, (), SMALL))
    assert "Nothing was read there" in shown(station_rows.leaf(none, ("sink 9", "", "wedge"), SMALL))
    assert "No plate was used" in shown(waste_rows.leaf(none, (), SMALL))
    assert "No plate was signed off" in shown(agreement_rows.leaf(none, (), SMALL))


def test_plates_are_counted_once_whatever_went_with_them() -> None:
    """12 of 72 plates, though two supplies tell of them; a second procedure is added."""
    assert waste_rows.told(WASTE).startswith("12 of 72 plates in wet runs")
    other = replace(WASTE[0], procedure="test-strip", plates=8, plates_wasted=3)
    assert waste_rows.told((*WASTE, other)).startswith("15 of 80 plates")


def test_waste_says_what_and_where() -> None:
    """Supplies with their amounts, plates given up by reason and step, rehearsals apart; all of it opens."""
    leaf = waste_rows.leaf(desk(), (), LARGE)
    text = shown(leaf, LARGE.width)
    assert "5400 mL" in text
    assert "900 mL" in text
    assert "Plates given up, by stage   6 plates" in text
    assert "In rehearsals, which cost nothing   2 plates" in text
    spots = opened(leaf)
    assert [spot.runs for spot in spots if spot.page == "rests"] == [list(RUNS), *[RUNS] * 5]
    assert [spot.keys for spot in spots if spot.page == "step"] == [
        (PLATES, "rub"),
        (PLATES, "rinse"),
        (PLATES, "rub"),
    ]


def test_reasons_stand_in_the_order_of_the_work_where_wanted() -> None:
    """By plates, or by step: rub comes before rinse in the procedure."""
    fewest = replace(REVIEW, spoiled=tuple(replace(one, plates=9 - one.plates) for one in REVIEW.spoiled))
    by_plates, by_step = (shown(waste_rows.leaf(desk(fewest, waste=order), (), SMALL)) for order in (0, 1))
    assert by_plates.index("dried up") < by_plates.index("scratched")
    assert by_step.index("scratched") < by_step.index("dried up")


def test_the_table_of_two_by_two_comes_first() -> None:
    """Its sums are right (30 + 6 + 2 + 8 = 46), the one figure and its caveat follow."""
    leaf = agreement_rows.leaf(desk(), (), SMALL)
    assert cells(leaf, 1) == ["30", "2", "32"]
    assert cells(leaf, 2) == ["6", "8", "14"]
    assert cells(leaf, 3) == ["36", "10", "46"]
    text = flat(shown(leaf))
    assert "Both say the same of 38 of 46." in text
    assert text.index("together 32 14 46") < text.index("kappa): 0.55, interval 0.28 to 0.82")
    assert "Under 50 sign-offs: provisional." in text
    assert opened(leaf)[0].runs == RUNS


def test_a_kappa_that_cannot_be_told_is_not_told() -> None:
    """Where all are on one side there is a dash and a sentence, no 0 and no nan."""
    one = AGREEMENT[1]
    assert agreement_rows.told(one)[-1].startswith("How far that is beyond chance cannot be told")
    leaf = agreement_rows.leaf(desk(replace(REVIEW, agreement=(replace(one, by=""), one))), (), SMALL)
    assert " -" in shown(leaf).split("\n")[-1]
    assert "nan" not in shown(leaf)
    firm = AgreementRow("", 50, 5, 3, 12, 0.6, None, provisional=False, runs=RUNS)
    assert len(agreement_rows.told(firm)) == 2
