"""The SVG of a map in a real browser: it opens, every letter is in its box, no text is more than text."""

from __future__ import annotations

import html
import json
import re
from dataclasses import dataclass
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from map_browser import Opened, opened
from map_kit import allowed, hostile_charts, joined, procedure
from PIL import Image

from trainer import places
from trainer.procedure.charts.chart import Chart, chart_of
from trainer.procedure.charts.svg import as_svg

pytestmark = pytest.mark.long
SHIPPED = sorted(places.procedures_dir().glob("*.yaml"))
SIZE = re.compile(r'width="(\d+)" height="(\d+)"')
LOOK = """<!doctype html><meta charset="utf-8"><body style="margin:0">PICTURE<pre id="told"></pre><script>
const box = one => { const at = one.getBoundingClientRect(); return [at.left, at.top, at.right, at.bottom]; };
const every = name => [...document.querySelectorAll("svg " + name)];
const told = {
  page: box(document.querySelector("svg")),
  boxes: every("rect").map(box),
  paths: every("path").map(box),
  texts: every("text").map(one => [one.getAttribute("class") || "", one.textContent, box(one)]),
  scripts: document.scripts.length,
};
document.getElementById("told").textContent = JSON.stringify(told);
</script>"""
"""A page with the picture in it that measures what stands where."""
SLACK = 1.0
Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Measured:
    """What the browser measured, in pixels: left, top, right, bottom."""

    page: Box
    boxes: list[Box]
    paths: list[Box]
    texts: list[tuple[str, str, Box]]
    scripts: int


def measured(page: str) -> Measured:
    """What a page of `LOOK` has written down."""
    told = re.search(r'<pre id="told">(.*?)</pre>', page, re.DOTALL)
    assert told is not None
    found = json.loads(html.unescape(told[1]))
    texts = [(kind, said, tuple(box)) for kind, said, box in found["texts"]]
    boxes, paths = ([tuple(box) for box in found[name]] for name in ("boxes", "paths"))
    return Measured(tuple(found["page"]), boxes, paths, texts, found["scripts"])


def within(inner: Box, outer: Box) -> bool:
    """Does one box lie in the other?"""
    low = all(inner[side] >= outer[side] - SLACK for side in (0, 1))
    return low and all(inner[side] <= outer[side] + SLACK for side in (2, 3))


def look(chart: Chart, folder: Path) -> tuple[Measured, list[str]]:
    """A map inside a page that measures it, and what the browser said."""
    file = folder / "look.html"
    file.write_text(LOOK.replace("PICTURE", as_svg(chart)), encoding="utf-8")
    seen = opened(file, 1000, 800)
    return measured(seen.page), seen.said


def check(chart: Chart, folder: Path) -> None:
    """Nothing lies outside the picture, no text of a box runs out of it, and the texts are the chart's."""
    seen, said = look(chart, folder)
    assert said == []
    assert seen.scripts == 1  # the one that measures
    for box in (*seen.boxes, *seen.paths, *(box for _, _, box in seen.texts)):
        assert within(box, seen.page), box
    steps = seen.boxes[1 + len(chart.ends) :]  # before them come the ground and the ends
    assert len(steps) == len(chart.spots)
    for step, spot in zip(steps, chart.spots, strict=True):
        inside = [words for _, words, box in seen.texts if within(box, step)]
        assert joined(allowed(spot.says)) in joined(*inside), spot.id
    for kind, words, box in seen.texts:
        crosses = [step for step in steps if overlaps(box, step) and not within(box, step)]
        assert not crosses, (kind, words)


def overlaps(one: Box, other: Box) -> bool:
    """Do two boxes have more in common than an edge?"""
    across = min(one[2], other[2]) - max(one[0], other[0])
    down = min(one[3], other[3]) - max(one[1], other[1])
    return across > SLACK and down > SLACK


@pytest.mark.parametrize("file", SHIPPED, ids=lambda file: file.stem)
def test_a_map_stands_whole_in_a_browser(file: Path, tmp_path: Path) -> None:
    """Every text of a shipped procedure's map is inside its box, in the font that the browser has."""
    check(chart_of(procedure(file)), tmp_path)


def test_a_map_opens_by_itself(tmp_path: Path) -> None:
    """The file itself is opened without a complaint, and drawn from its top to its last way."""
    file = tmp_path / "map.svg"
    file.write_text(as_svg(chart_of(procedure(SHIPPED[0]))), encoding="utf-8")
    size = SIZE.search(file.read_text(encoding="utf-8"))
    assert size is not None
    width, height = int(size[1]), int(size[2])
    seen = opened(file, width, height)
    assert seen.said == []
    assert "parsererror" not in seen.page
    assert seen.page.count("<text") == file.read_text(encoding="utf-8").count("<text")
    check_drawn(seen, width, height)


def check_drawn(seen: Opened, width: int, height: int) -> None:
    """Ink stands near every edge of the picture, and its ground is white."""
    with Image.open(seen.picture) as picture:
        grey = picture.convert("L")
    assert grey.size == (width, height)
    assert grey.getpixel((1, 1)) == 255
    ink = grey.point(lambda level: 255 if level < 128 else 0).getbbox()
    assert ink is not None
    left, top, right, bottom = ink
    assert left < 100
    assert top < 60
    assert right > width - 100
    assert bottom > height - 100


def test_what_is_no_svg_is_told(tmp_path: Path) -> None:
    """The look can fail: a picture with a tag left open is an error in the browser."""
    file = tmp_path / "wrong.svg"
    file.write_text(as_svg(chart_of(procedure(SHIPPED[0]))).replace("</g>", "", 1), encoding="utf-8")
    assert "parsererror" in opened(file, 400, 400).page


@settings(
    max_examples=1,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    phases=[Phase.generate],  # a browser of seconds a time is not for shrinking
)
@given(charts=st.lists(hostile_charts(), min_size=6, max_size=6))
def test_hostile_texts_are_texts_in_a_browser(tmp_path: Path, charts: list[Chart]) -> None:
    """Whatever is written in a procedure, no script is made of it, and the browser has nothing to say."""
    for chart in charts:
        seen, said = look(chart, tmp_path)
        assert said == []
        assert seen.scripts == 1
        words = joined(*(text for _, text, _ in seen.texts))
        assert all(joined(allowed(spot.says)) in words for spot in chart.spots)
