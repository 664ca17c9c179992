"""The report of an invented class: all of it on the class's page, one person only on each trainee's."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner
from report_class import RUNS, invented
from report_pages import Node, read

from trainer.cli import main
from trainer.rehearsal.invented.making import Class

pytestmark = pytest.mark.long


@pytest.fixture(scope="module")
def class_(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Class]:
    """The record and the class in it."""
    return invented(tmp_path_factory.mktemp("class"))


def written(record: Path, *more: str) -> str:
    """The page that the command writes."""
    result = CliRunner().invoke(main, ["report", "--record", str(record), *more])
    assert result.exit_code == 0, result.stderr
    return result.stdout


@pytest.fixture(scope="module")
def page(class_: tuple[Path, Class]) -> Node:
    """The page about the class, the record looked over."""
    return read(written(class_[0], "--verify"))


def test_the_class_is_on_the_page(class_: tuple[Path, Class], page: Node) -> None:
    """Each trainee who worked has a line of skills; all runs are counted; it is invented, and it verifies."""
    _, made = class_
    worked = {session.trainee for session in made.sessions}
    lines = {line.all("th")[0].said for line in page.first("skills").all("tr")} - {"Trainee"}
    assert lines == worked
    assert f"holds {RUNS} runs" in page.first("record").said
    assert "everything is as it was written" in page.first("record").said
    assert "Invented data" in page.all("header")[0].said
    assert "As things stood on" in page.all("header")[0].said
    assert len(page.first("record").all("ol")[0].all("li")) == RUNS


def test_each_finding_of_the_class_leads_to_its_method(page: Node) -> None:
    """Every link to a method leads to a heading of the section on methods."""
    links = [link.attributes["href"] for link in page.first("findings").all("a")]
    assert links
    named = {f"#{node.attributes.get('id')}" for node in page.first("methods").every()}
    assert set(links) <= named


def test_nobody_else_is_on_a_trainees_page(class_: tuple[Path, Class]) -> None:
    """On each trainee's page: no other code, no instructor, no id or beginning of another's run."""
    record, made = class_
    own: dict[str, set[str]] = {}
    for session, events in zip(made.sessions, made.runs, strict=True):
        own.setdefault(session.trainee, set()).add(events[0].run)
    handed = {
        event.run for events in made.runs for event in events if type(event.body).__name__ == "RunHandedOver"
    }
    every = set().union(*own.values())
    for trainee, runs in sorted(own.items()):
        page = written(record, "--trainee", trainee)
        assert set(re.findall(r"\b[TI]-\d+\b", page)) == {trainee}
        for run in every - runs - handed:
            assert run not in page
            assert run[:13] not in page
