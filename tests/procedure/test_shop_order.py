"""In which order work is offered. No source: the rule is our own, and stands in the guide of a station."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations
from pathlib import Path

import pytest

from trainer.procedure.heads import Head, read_heads
from trainer.procedure.shop import read_shop
from trainer.procedure.shop_order import in_shops_order, listed_first

SHIPPED = Path(__file__).parents[2] / "procedures"
PLATE = "negative-plate-two-burns"


def ids(heads: list[Head]) -> list[str]:
    """Their ids."""
    return [head.id for head in heads]


def test_the_shipped_procedures_begin_with_the_plate_of_the_class() -> None:
    """The plate that can be rehearsed, its test, plates by title, and what makes none at the end."""
    assert ids(in_shops_order(read_heads(SHIPPED), (), "en")) == [
        PLATE,
        "exposure-test",
        "contact-film-copy",
        "press-mounting",
        "positive-plate",
        "polymer-relief-block",
        "screen-stencil",
        "closing-the-sink",
        "chemical-spill",
        "eye-splash",
    ]


def test_the_order_goes_by_the_files_alone() -> None:
    """In whatever order three files are read, they are offered in one."""
    heads = read_heads(SHIPPED)[:4]
    offered = {tuple(ids(in_shops_order(some, (), "en"))) for some in permutations(heads)}
    assert len(offered) == 1


def test_the_shop_puts_first_what_it_lists(tmp_path: Path) -> None:
    """What the shop file lists comes first, as it lists it; an id that is none of them changes nothing."""
    shop = tmp_path / "shop.yaml"
    shop.write_text("format: 1\nfirst: [eye-splash, none-such, exposure-test]\n", encoding="utf-8")
    assert read_shop(shop).problems == ()
    assert read_shop(shop).first == listed_first(shop) == ("eye-splash", "none-such", "exposure-test")
    assert ids(in_shops_order(read_heads(SHIPPED), listed_first(shop), "en"))[:3] == [
        "eye-splash",
        "exposure-test",
        PLATE,
    ]


def test_titles_go_by_the_language_that_is_spoken() -> None:
    """What is alike goes by title, great and small letters the same, in the language of the screen."""
    head = replace(read_heads(SHIPPED)[0], id="a", title={"en": "zinc", "es": "Acero"}, path=Path("a.yaml"))
    other = replace(head, id="b", title={"en": "Brass", "es": "bronce"})
    assert ids(in_shops_order([head, other], (), "en")) == ["b", "a"]
    assert ids(in_shops_order([head, other], (), "es")) == ["a", "b"]


@pytest.mark.parametrize(
    "text",
    ["", "format: 1\n", "first: {a: b}\n", "first: two-burns\n", "first: [[a], {b: c}, 3]\n"],
)
def test_what_cannot_be_used_puts_nothing_first(tmp_path: Path, text: str) -> None:
    """No shop file, an empty one, one that is broken: the order is as ever, and nothing is raised."""
    shop = tmp_path / "shop.yaml"
    assert listed_first(shop) == ()
    assert listed_first(tmp_path) == ()
    shop.write_text(text, encoding="utf-8")
    assert listed_first(shop) == ()


@pytest.mark.parametrize(
    ("text", "code", "at", "said"),
    [
        ("first: two-burns\n", "S07", (2, 8), "A list of procedures is wanted here"),
        ("first: [Two Burns]\n", "S12", (2, 9), "The id of a procedure is wanted here"),
        ("first: [a, 3]\n", "S12", (2, 12), "and this is"),
        ("first: [a, b, a]\n", "S26", (2, 15), "`a` is listed twice."),
    ],
)
def test_what_is_wrong_in_the_list_is_told(
    tmp_path: Path, text: str, code: str, at: tuple[int, int], said: str
) -> None:
    """Each with its place, and what to write instead."""
    shop = tmp_path / "shop.yaml"
    shop.write_text(f"format: 1\n{text}", encoding="utf-8")
    (found,) = read_shop(shop).problems
    assert (found.code, (found.place.line, found.place.column)) == (code, at)
    assert said in found.message
    assert found.help
