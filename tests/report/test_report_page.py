"""The page about a class: whole, closed to the outside, and readable without seeing colours or charts."""

from __future__ import annotations

import re
from dataclasses import fields, is_dataclass, replace
from datetime import UTC, datetime
from itertools import pairwise

import pytest
from report_made import NOW, PLATE, a_class, empty, findings, material, nothing_at_all
from report_pages import TAGS, Node, contrast, luminance, read

from trainer.insight.report.material import Check, Paper
from trainer.insight.report.page import INVENTED, as_page
from trainer.insight.report.style import STYLE, style
from trainer.insight.report.summary import GROUPS, group_of
from trainer.insight.results import Finding, Review
from trainer.procedure.text import unclean


@pytest.fixture(scope="module")
def page() -> str:
    """The page about the class made by hand."""
    return as_page(material())


@pytest.fixture(scope="module")
def tree(page: str) -> Node:
    """The same, taken apart."""
    return read(page)


@pytest.fixture(scope="module", params=["class", "nobody"])
def either(request: pytest.FixtureRequest, tree: Node) -> Node:
    """The class, and a record without runs."""
    return tree if request.param == "class" else read(as_page(nothing_at_all()))


def test_the_page_needs_nothing_from_outside_and_runs_nothing(page: str, tree: Node) -> None:
    """No script, picture, frame or handler; each link leads to a place on the page; styles load nothing."""
    assert {node.tag for node in tree.every()} <= TAGS
    keys = {key for node in tree.every() for key in node.attributes}
    assert not any(key.startswith("on") or key in {"src", "srcset", "style", "xlink:href"} for key in keys)
    ids = {node.attributes["id"] for node in tree.every() if "id" in node.attributes}
    links = [node.attributes["href"] for node in tree.all("a")]
    assert links
    assert all(link[0] == "#" and link[1:] in ids for link in links)
    assert re.search(r"url\(|@import|https?:|//", page) is None


def test_the_page_has_the_parts_that_readers_steer_by(either: Node) -> None:
    """Language, title, landmarks once each, skip link first; headings go down by one; ids once (WCAG 2.2)."""
    assert either.all("html")[0].attributes["lang"] == "en"
    assert either.all("title")[0].said
    assert [len(either.all(name)) for name in ("main", "header", "footer", "nav", "h1")] == [1] * 5
    skip = either.all("body")[0].all("a")[0]
    assert skip.attributes == {"href": "#main", "class": "skip"}
    levels = [int(node.tag[1]) for node in either.all("h1", "h2", "h3", "h4")]
    assert all(after - before <= 1 for before, after in pairwise(levels))
    ids = [node.attributes["id"] for node in either.every() if "id" in node.attributes]
    assert len(ids) == len(set(ids))
    for section in either.all("section"):
        assert either.first(section.attributes["aria-labelledby"]).tag == "h2"


def test_every_table_has_a_caption_and_heads_with_scope(tree: Node) -> None:
    """A column's head has words and scope, a row's begins the row with scope; as many cells as heads."""
    tables = tree.all("table")
    assert len(tables) >= 12
    for table in tables:
        assert table.all("caption")[0].said
        heads = table.all("thead")[0].all("th")
        assert all(head.said and head.attributes["scope"] == "col" for head in heads)
        for line in table.all("tbody")[0].all("tr"):
            cells = [cell for cell in line.children if isinstance(cell, Node)]
            assert cells[0].tag == "th"
            assert cells[0].attributes["scope"] == "row"
            assert len(cells) == len(heads)


def test_every_chart_is_told_in_words(tree: Node) -> None:
    """A picture has title, description and a figure's words; a small one beside its words is not read out."""
    for svg in tree.all("svg"):
        if svg.attributes.get("aria-hidden") == "true":
            assert svg.said == ""
            continue
        assert svg.attributes["role"] == "img"
        assert tree.first(svg.attributes["aria-labelledby"]).said
        assert tree.first(svg.attributes["aria-describedby"]).said
    figures = tree.all("figure")
    assert len(figures) == 3
    for figure in figures:
        assert figure.all("desc")[0].said in figure.all("figcaption")[0].said


def test_a_control_chart_has_every_value_in_a_table_and_marks_by_shape(tree: Node) -> None:
    """As many rows as points; as many open lozenges as values outside; the words say where and how many."""
    drifting = a_class().charts[0]
    figure = tree.first("stations").all("figure")[0]
    assert "sink 2" in figure.said
    assert "drifts" in figure.all("span")[0].said
    out = sum(point.out for point in drifting.points)
    assert len(figure.all("polygon")) == out > 0
    assert f"{out} values outside the limits" in figure.said
    values = tree.first("stations").all("details")[0]
    assert len(values.all("tbody")[0].all("tr")) == len(drifting.points)
    assert values.said.count("outside") == out


def test_the_summary_says_each_finding_once_or_says_that_there_are_more(tree: Node) -> None:
    """Each of the seven kinds stands in the first half page, under one heading."""
    short = tree.first("short").said
    for one in findings():
        assert one.kind == "ready" or one.words in short
        assert sum(group_of(one) is group for group in GROUPS) == 1
    assert "Negative-working plate, two burns: T-01 (1 of 6 trainees)." in short


def test_what_does_not_fit_the_summary_is_counted_there_and_told_below() -> None:
    """Of nine findings about skills the most urgent seven stand in the summary."""
    first = findings()[1]
    many = tuple(
        replace(first, words=f"Finding {n}.", level="act" if n > 2 else "watch") for n in range(1, 10)
    )
    tree = read(as_page(material(replace(a_class(), findings=many))))
    short = tree.first("short").said
    assert [f"Finding {n}." in short for n in range(1, 10)] == [n > 2 for n in range(1, 10)]
    assert "2 more under" in short
    assert all(f"Finding {n}." in tree.first("findings").said for n in range(1, 10))


def test_silence_of_an_empty_record_is_no_good_news() -> None:
    """Nobody has worked: nothing is called safe, in control or unwasted."""
    tree = read(as_page(nothing_at_all()))
    short = tree.first("short").said
    assert short.count("Too little is in the record to say anything.") == 5
    assert "No run is in the record" in tree.all("header")[0].said


def test_a_class_in_which_nothing_stands_out_is_told_so() -> None:
    """Where there was something to see and nothing was found, the sentence says that."""
    short = read(as_page(material(replace(a_class(), findings=())))).first("short").said
    assert "No trainee, step or question stands out from what chance gives." in short
    assert "No lamp or developer drifts" in short


def test_states_stand_as_words_and_counts(tree: Node) -> None:
    """Each cell of trainees by skill has its state in words and k of n; its shade is only beside that."""
    rows = a_class().skills
    cells = [cell for table in tree.first("skills").all("table") for cell in table.all("td")]
    assert len(cells) == len(rows)
    for cell in cells:
        assert re.fullmatch(r"(too few|needs help|coming on|steady) [\d,]+ of [\d,]+", cell.said)
        assert cell.attributes["class"].replace("-", " ") in cell.said


def test_the_record_is_named_with_count_head_and_excused_runs(tree: Node) -> None:
    """Count and head of the list of runs, a count and head for each run, the excused run with its reason."""
    said = tree.first("record").said
    assert "40 runs and 6,123 events" in said
    assert material().kept.openings in said
    assert "the pump had failed" in said
    assert len(tree.first("record").all("ol")[0].all("li")) == 40
    assert "Run 0198002b cannot be read" in said


def test_a_record_that_was_altered_is_told_in_a_frame() -> None:
    """What `record verify` finds stands on the page before anybody trusts the figures."""
    made = material()
    check = Check(ok=False, verdict="1 problem found.", problems=("Event 7 of run x was altered.",))
    kept = replace(made.kept, check=check)
    said = read(as_page(replace(made, kept=kept))).first("record").said
    assert "The record is not as it was written." in said
    assert "Event 7 of run x was altered." in said


def test_invented_stands_on_the_page_and_on_each_sheet(page: str) -> None:
    """In words at the top, in the head of each printed page; on a real record nowhere."""
    assert INVENTED in page
    assert '@top-center { content: "INVENTED' in page
    assert 'class="strip"' in page
    real = as_page(material(replace(a_class(), invented=False)))
    assert "INVENTED" not in real
    assert "nvented data" not in real


@pytest.mark.parametrize(("paper", "size"), [("a4", "size: A4;"), ("letter", "size: letter;"), (None, None)])
def test_paper_is_as_wanted_or_as_the_printer_has_it(paper: Paper | None, size: str | None) -> None:
    """The page's size in CSS; none is named where none is wanted."""
    rule = style("x", paper, invented=False).split("@page", 1)[1]
    assert (size in rule) if size else ("size:" not in rule.replace("font-size:", ""))


def test_tables_break_between_rows_and_repeat_their_heads() -> None:
    """Rows, figures and items stay whole; heads of tables come again on each page; headings keep company."""
    assert re.search(r"(?m)^tr, li, figure.*break-inside: avoid", STYLE)
    assert "thead { display: table-header-group; }" in STYLE
    assert re.search(r"(?m)^h1, h2.*break-after: avoid", STYLE)


def test_text_has_contrast_and_shades_tell_apart_in_grey() -> None:
    """Text on each ground 4.5 to 1 or more (WCAG 2.2, 1.4.3 AA); shades of states differ in luminance."""
    for ink in set(re.findall(r"(?<![-\w])(?:color|fill): (#\w+)", STYLE)) - {"#fff"}:
        assert contrast(ink, "#fff") >= 4.5, ink
    grounds = re.findall(r"td\.([\w-]+) \{ background: (#\w+)", STYLE)
    assert [name for name, _ in grounds] == ["needs-help", "coming-on"]
    assert all(contrast("#111", ground) >= 4.5 for _, ground in grounds)
    dark, light = (luminance(ground) for _, ground in grounds)
    assert dark + 0.2 < light < 0.9


def test_times_are_told_where_the_reader_is() -> None:
    """Dates follow the zone that is given: the 26th in London is the 27th further east."""
    from datetime import timedelta, timezone

    late = replace(a_class(), at=datetime(2026, 11, 26, 23, 30, tzinfo=UTC))
    east = replace(material(late), zone=timezone(timedelta(hours=9)))
    assert "27 Nov 2026, 08:30" in read(as_page(east)).all("header")[0].said
    assert NOW.tzinfo is UTC


HOSTILE = [
    "</style></title><script>x()</script>",
    "\"><img src=x onerror=y> ' &lt;b&gt; &#8238;",
    "\u202eabc\u2066 \x1b[31m \x00 \ufeff",
    "=1+1 @SUM(A1) -- <!-- ]]>",
]


@pytest.mark.parametrize("said", HOSTILE)
def test_no_text_becomes_markup_or_turns_the_line(said: str) -> None:
    """Every text of a review with something hostile added: the same elements, nothing unseen on the page."""
    harmless = read(as_page(material(_with(a_class(), "x"))))
    page = as_page(replace(material(_with(a_class(), said)), methods=f"# M\n\n## {said}\n\n{said}\n"))
    tree = read(page)
    assert {node.tag for node in tree.every()} <= TAGS
    shape = [node.tag for node in tree.first("short").every()]
    assert shape == [node.tag for node in harmless.first("short").every()]
    assert unclean(page) is None
    assert not any(key.startswith("on") for node in tree.every() for key in node.attributes)


KEEP = {"level", "subject", "kind", "state", "method", "what", "remarks"}


def _with(value: Review, said: str) -> Review:
    """The same review with `said` added to each text that a person or a file wrote."""
    changed = _changed(value, said)
    assert isinstance(changed, Review)
    return changed


def _changed(value: object, said: str) -> object:
    if isinstance(value, str):
        return f"{value}{said}"
    if isinstance(value, tuple):
        inside = [_changed(one, said) for one in value]
        return value.__class__(inside) if not hasattr(value, "_make") else value._make(inside)
    if is_dataclass(value) and not isinstance(value, type):
        texts = {
            one.name: _changed(getattr(value, one.name), said)
            for one in fields(value)
            if one.init and one.name not in KEEP
        }
        return replace(value, **texts)
    return value


def test_one_with_only_a_finding_about_the_class_is_told_too() -> None:
    """A finding about the class as a whole has a place of its own."""
    whole = Finding("x", "know", "class", (), "The class is small.", "", 6, "count", None, ())
    review: Review = empty(findings=(whole,), trainees=("T-01",), runs=1)
    assert "Also The class is small." in read(as_page(material(review))).first("short").said
    assert PLATE
