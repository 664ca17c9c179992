"""The page to print: everything that a run would show is on it, as text, and nothing from outside."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from trainer import places
from trainer.cli import main
from trainer.procedure.drafts.skeleton import scalar
from trainer.procedure.load import load, load_bytes
from trainer.procedure.paper.page import as_page
from trainer.procedure.paper.style import style
from trainer.procedure.paper.tags import tag
from trainer.procedure.plan import Plan
from trainer.procedure.text import in_language

SMALL = Path(__file__).resolve().parent.parent / "procedure" / "small.yaml"
FILES = [SMALL, places.procedures_dir() / "negative-plate-two-burns.yaml"]
VOID = frozenset({"meta"})


class Read(HTMLParser):
    """A page as a browser would take it apart: tags, attributes, texts. Raises on tags that do not match."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.texts: list[str] = []
        self.feed(page)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A tag that opens."""
        self.tags.append((tag, {key: value or "" for key, value in attrs}))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        """A tag that closes."""
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        """A text; the style sheet is none."""
        if "style" not in self.open:
            self.texts.append(data)

    @property
    def said(self) -> str:
        """All texts, blanks as one."""
        return " ".join(" ".join(self.texts).split())


def plan_of(file: Path) -> Plan:
    """The plan of a file that is clean."""
    return load(file).require()


@pytest.fixture(scope="module", params=FILES, ids=lambda file: file.stem)
def printed(request: pytest.FixtureRequest) -> tuple[Plan, Read, str]:
    """A procedure, its page taken apart, and the page."""
    plan = plan_of(request.param)
    page = as_page(plan)
    return plan, Read(page), page


def test_everything_a_trainee_needs_is_on_the_page(printed: tuple[Plan, Read, str]) -> None:
    """Each act, key point, reason, harm, rule, question, setting and caution stands there, and the hash."""
    plan, read, _ = printed
    texts = [*plan.procedure.cautions, *(one.label for one in plan.procedure.settings.values())]
    for step in plan.steps.values():
        texts += [text for text in (step.do, step.why) if text is not None]
        texts += step.key_points
        texts += [step.hazard.harm, *step.hazard.avoid] if step.hazard else []
        texts += [step.judge.ask, *step.judge.answers.values()] if step.judge else []
        texts += [step.quiz.ask, step.quiz.because] if step.quiz else []
    missing = [text for text in texts if " ".join(in_language(text).split()) not in read.said]
    assert missing == []
    assert plan.content_hash in read.said
    assert f"revision {plan.procedure.revision}" in read.said


def test_there_is_a_box_for_each_act_and_a_signal_word_for_each_hazard(
    printed: tuple[Plan, Read, str],
) -> None:
    """Each step that is no safety prompt has a box at its act; each safety prompt has its signal word."""
    plan, read, _ = printed
    signals = sum(attributes.get("class") == "signal" for _, attributes in read.tags)
    assert signals == sum(step.hazard is not None for step in plan.steps.values())
    sections = [
        attributes["id"] for name, attributes in read.tags if name == "section" and "id" in attributes
    ]
    assert sections == [f"step-{name}" for name in plan.steps]
    boxes = sum(attributes.get("class") == "box" for _, attributes in read.tags)
    assert boxes >= len(plan.steps)


def test_the_page_needs_nothing_from_outside_and_runs_nothing(printed: tuple[Plan, Read, str]) -> None:
    """No script, picture, frame, link, handler or address is in it; the style imports nothing."""
    _, read, page = printed
    assert {name for name, _ in read.tags} <= {
        *("html", "head", "meta", "title", "style", "body", "main", "section", "div", "h1", "h2", "h3", "p"),
        *("ul", "li", "b", "span", "table", "thead", "tbody", "tr", "th", "td", "pre"),
    }
    keys = {key for _, attributes in read.tags for key in attributes}
    assert keys <= {"class", "id", "lang", "charset", "name", "content", "scope", "aria-hidden", "aria-label"}
    assert re.search(r"url\(|@import|https?:", page) is None


def test_headings_go_down_by_one_and_ids_are_unique(printed: tuple[Plan, Read, str]) -> None:
    """One h1, no level left out (WCAG 2.2, technique H42 and G141), no id twice, a language, a title."""
    _, read, _ = printed
    levels = [int(name[1]) for name, _ in read.tags if re.fullmatch(r"h\d", name)]
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))
    ids = [attributes["id"] for _, attributes in read.tags if "id" in attributes]
    assert len(ids) == len(set(ids))
    assert read.tags[0] == ("html", {"lang": "en"})


def test_a_step_is_kept_together_and_text_has_contrast() -> None:
    """Steps and safety prompts are not broken over pages; text is black or #333 on white (WCAG 1.4.6)."""
    sheet = style("x")
    kept = next(line for line in sheet.split("\n") if "break-inside: avoid" in line)
    assert ".step" in kept
    assert ".hazard" in kept
    assert set(re.findall(r"(?<![-\w])color: (#\w+)", sheet)) == {"#000", "#333"}
    assert "size:" not in sheet.split("@page")[1].replace("font-size", "")


def test_the_answers_stand_on_a_page_of_their_own(printed: tuple[Plan, Read, str]) -> None:
    """Why an answer is right stands only after the heading of the answers."""
    plan, read, _ = printed
    before, _, after = read.said.partition("Answers, for the instructor.")
    reasons = [" ".join(in_language(s.quiz.because).split()) for s in plan.steps.values() if s.quiz]
    assert all(reason in after and reason not in before for reason in reasons)


def test_texts_are_in_the_language_that_is_wanted() -> None:
    """Where a text has the wanted language it is used, and the page says which language it is in."""
    read = Read(as_page(plan_of(SMALL), "es"))
    assert read.tags[0] == ("html", {"lang": "es"})
    assert "Cierre el cristal y arranque la bomba." in read.said


@given(st.text(max_size=40), st.text(max_size=40))
def test_no_text_becomes_markup(said: str, named: str) -> None:
    """Any text in an element or an attribute comes out of another parser as that text, controls replaced."""
    read = Read(tag("p", said, id=named).source)
    assert [name for name, _ in read.tags] == ["p"]
    lost = "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff]"
    assert "".join(read.texts) == re.sub(lost, "\ufffd", said)
    assert read.tags[0][1]["id"] == re.sub(lost, "\ufffd", named)


@pytest.mark.parametrize(
    "said", ["</style><script>x()</script>", '"><img src=x onerror=y>', "&lt;b&gt;", "<!--"]
)
def test_hostile_texts_of_a_file_stand_as_they_were_written(said: str) -> None:
    """A title, an act, a harm and a setting that look like markup are shown letter by letter."""
    source = SMALL.read_text(encoding="utf-8")
    for old in ("Turn the plate over.", "The frame can crush fingers.", "Least vacuum"):
        source = source.replace(old, scalar(said))
    read = Read(as_page(load_bytes(source.encode(), "small.yaml").require()))
    assert read.said.count(said) >= 3
    assert all(name not in ("script", "img", "b") or not attributes for name, attributes in read.tags)


def test_the_command_writes_a_file_with_the_drawings(tmp_path: Path) -> None:
    """`sinkside paper` writes the page of a shipped procedure, its drawings in it."""
    out = tmp_path / "plate.html"
    result = CliRunner().invoke(main, ["paper", "negative-plate-two-burns", "--out", str(out)])
    assert result.exit_code == 0
    assert any(name == "pre" for name, _ in Read(out.read_text(encoding="utf-8")).tags)
