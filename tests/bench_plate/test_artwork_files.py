"""Jobs and their films: what ships, what a file may hold, and how a wrong one is refused."""

from __future__ import annotations

from typing import Any

import pytest
from plates import ASSETS, JOBS, job, letters

from trainer.bench.artwork import CLEAR, Box, Rect, Screen, Stroke, bounds
from trainer.bench.artwork_file import ArtworkFault, job_from
from trainer.procedure.reader import read_tree


def plain(**film: object) -> dict[str, Any]:
    """The tree of a small job that is right, with parts of its film changed."""
    return {
        "job": 1,
        "id": "small",
        "title": "Small",
        "shop": "invented",
        "plate": [100, 100],
        "pin": [50, 5],
        "wedge": [5, 20, 5, 60],
        "masks": {"open": {"windows": [[10, 10, 80, 80]]}},
        "films": {
            "only": {
                "kind": "image",
                "label": "Only",
                "sheet": [0, 0, 100, 100],
                "mask": "open",
                "art": [{"rect": [20, 20, 10, 10]}],
                **film,
            }
        },
    }


@pytest.mark.parametrize("name", [*JOBS, "test-strip"])
def test_shipped_jobs_are_invented_and_whole(name: str) -> None:
    """Each shipped job reads, belongs to the invented shop, and all its art and windows lie on its plate."""
    of = job(name)
    assert "Copper Lane" in of.shop
    assert "(invented)" in of.shop
    assert of.id == name
    for film in of.films.values():
        for shape in film.art:
            box = bounds(shape)
            assert box.x >= 0
            assert box.y >= 0
            assert box.x + box.width <= of.width
            assert box.y + box.height <= of.height
        assert len(film.targets) == 4
    if name != "test-strip":
        assert (of.width, of.height) == (250.0, 400.0)


@pytest.mark.parametrize("name", JOBS)
def test_every_target_is_seen_through_the_mask(name: str) -> None:
    """Each register cross lies in a window of its film's mask, with room to be off."""
    of = job(name)
    for film in of.films.values():
        for x, y in film.targets:
            assert any(
                box.x + 6 <= x <= box.x + box.width - 6 and box.y + 6 <= y <= box.y + box.height - 6
                for box in of.windows(film.mask)
            ), (film.id, x, y)


def test_the_test_film_has_tones_from_2_to_98_and_lines_from_20_um() -> None:
    """What a test film is for: tints of 2 to 98 % with one of 50 %, and lines of many widths."""
    art = job("test-film").film("test").art
    tones = {shape.ink.tone for shape in art if isinstance(shape, Rect) and isinstance(shape.ink, Screen)}
    assert {0.02, 0.5, 0.98} <= tones
    lines = {round(shape.box.width * 1000) for shape in art if isinstance(shape, Rect) and shape.ink == CLEAR}
    assert {20, 50, 100, 500} <= lines


def test_art_of_every_kind_is_read() -> None:
    """A film with one of each kind of shape, a text turned and centred, crosses, pinholes and scratches."""
    art = [
        {"rect": [20, 20, 10, 10], "tint": 0.5, "ruling": 48},
        {"frame": [15, 15, 60, 60], "width": 0.5},
        {"area": "20 40 30 40 25 50"},
        {"disc": [60, 60, 3], "ink": "black"},
        {"ring": [60, 60, 6], "width": 0.2},
        {"line": "20 70 50 75 60 70", "width": 0.3},
        {"text": "TIDE 7:30", "at": [50, 80], "high": 4, "align": "middle", "turn": 90},
    ]
    film = job_from(
        plain(
            art=art,
            crosses=[[15, 15]],
            pinholes=[[30, 80, 0.3]],
            scratches=[{"line": "40 40 41 60", "width": 0.1}],
        ),
        letters(),
    ).film("only")
    assert film.art[0] == Rect(Box(20.0, 20.0, 10.0, 10.0), Screen(0.5, 48.0))
    assert film.targets == ((15.0, 15.0),)
    assert film.pinholes[0].across == 0.3
    assert film.scratches[0] == Stroke(((40.0, 40.0), (41.0, 60.0)), 0.1)
    upright = [shape for shape in film.art if isinstance(shape, Stroke)][2:-2]
    assert max(y for shape in upright for _, y in shape.points) > 85


WRONG: dict[str, tuple[dict[str, Any], tuple[str | int, ...], str]] = {
    "not a mapping": (plain() | {"films": 3}, ("films",), "`key: value` lines are wanted here"),
    "key nobody knows": (plain() | {"colour": "red"}, ("colour",), "`colour` is not known here"),
    "another form": (plain() | {"job": 2}, ("job",), "jobs of the form `job: 1`"),
    "key missing": ({key: one for key, one in plain().items() if key != "pin"}, (), "`pin` is missing"),
    "no such mask": (plain(mask="shut"), ("films", "only", "mask"), "there is no mask 'shut'"),
    "no such kind": (plain(kind="picture"), ("films", "only", "kind"), "must be image or marks"),
    "no shape": (plain(art=[{"blob": 3}]), ("films", "only", "art", 0), "one of rect, frame, area"),
    "not a number": (
        plain(art=[{"rect": [1, 2, "x", 4]}]),
        ("films", "only", "art", 0, "rect", 2),
        "must be a number",
    ),
    "too few numbers": (plain(sheet=[1, 2]), ("films", "only", "sheet"), "a list of 4 numbers"),
    "a number that is none": (
        plain(art=[{"disc": [1, 2, float("nan")]}]),
        ("films", "only", "art", 0, "disc", 2),
        "must be a number",
    ),
    "odd points": (plain(art=[{"area": "1 2 3"}]), ("films", "only", "art", 0, "area"), "pairs of numbers"),
    "a word among points": (
        plain(art=[{"line": "1 2 x 4", "width": 1}]),
        ("films", "only", "art", 0, "line"),
        "a word that is no number",
    ),
    "one point": (
        plain(art=[{"line": "1 2", "width": 1}]),
        ("films", "only", "art", 0, "line"),
        "needs 2 points",
    ),
    "tint over one": (
        plain(art=[{"rect": [1, 2, 3, 4], "tint": 50, "ruling": 48}]),
        ("films", "only", "art", 0, "tint"),
        "must be from 0 to 1",
    ),
    "letter nobody drew": (
        plain(art=[{"text": "ÅNGSTRÖM", "at": [1, 2], "high": 3}]),
        ("films", "only", "art", 0, "text"),
        "The letters hold no",
    ),
    "negative size": (plain(sheet=[0, 0, -5, 5]), ("films", "only", "sheet"), "must be from 0 to"),
    "pinhole beyond reason": (
        plain(pinholes=[[1, 2, 3000]]),
        ("films", "only", "pinholes", 0),
        "must be from 0 to 100",
    ),
}


@pytest.mark.parametrize("what", WRONG)
def test_a_wrong_file_is_refused_with_its_place_and_a_sentence(what: str) -> None:
    """Each fault says what is wrong in a sentence and carries the path of the value, for line and column."""
    tree, path, sentence = WRONG[what]
    with pytest.raises(ArtworkFault) as caught:
        job_from(tree, letters())
    assert sentence in str(caught.value)
    assert str(caught.value).endswith(".")
    assert caught.value.path == path


def test_a_fault_s_path_leads_to_its_line_and_column() -> None:
    """The reader's own places turn a fault's path into the line and column of the value."""
    source = (
        (ASSETS / "jobs" / "test-strip.yaml").read_text(encoding="utf-8").replace("[60, 200]", "[60, wide]")
    )
    tree = read_tree(source.encode(), "test-strip.yaml")
    with pytest.raises(ArtworkFault) as caught:
        job_from(tree.value, letters())
    place = tree.place(caught.value.path)
    line = source.splitlines()[place.line - 1]
    assert line[place.column - 1 :].startswith("wide")
