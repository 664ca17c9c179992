"""The guide's pages: every example passes the real reader, and nothing that exists is left unsaid."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from trainer import places
from trainer.procedure.load import load_bytes
from trainer.procedure.model import Judge, Quiz, Reading, Wait
from trainer.procedure.parts import Part, fields_of
from trainer.procedure.problems import Problem
from trainer.procedure.shop import read_shop
from trainer.procedure.units import KNOWN
from trainer.procedure.vocabulary import FUNCTIONS
from trainer.rehearsal import walk_parse
from trainer.rehearsal.walk import run_walk
from trainer.screens.actions import ACTIONS

OWN_PAGES = ("index", "trainee", "author", "languages", "walks", "reviewer", "station", "safety", "sources")
HEAD = """format: 1
id: example
title: Example
revision: 1
summary: One step of the guide.
"""
SETTINGS = {
    "exposure": "{value: 24, unit: units, between: [5, 80], label: Exposure}",
    "vacuum_floor": "{value: 20, unit: inHg, between: [15, 28], label: Least vacuum}",
    "wedge_target": "{value: 6, unit: step, between: [4, 8], label: Solid step wanted}",
}


def page(name: str) -> str:
    """The text of a page."""
    return (places.guide_dir() / f"{name}.md").read_text(encoding="utf-8")


def blocks(name: str) -> list[str]:
    """The YAML examples of a page."""
    return re.findall(r"```yaml\n(.*?)```", page(name), re.DOTALL)


def steps(block: str) -> str:
    """A procedure around an example that is only steps, with what they lean on and nothing else."""
    inside = "".join(f"      {line}\n" if line else "\n" for line in block.splitlines())
    used = {name: value for name, value in SETTINGS.items() if re.search(rf"settings?[.:] ?{name}", block)}
    settings = "".join(f"  {name}: {value}\n" for name, value in used.items())
    skills = "".join(
        f"  {name}: Something learned\n" for name in sorted(set(re.findall(r"skill: (\w+)", block)))
    )
    head = HEAD + (f"settings:\n{settings}" if settings else "") + (f"skills:\n{skills}" if skills else "")
    stage = "stages:\n- id: here\n  title: Here\n  steps:\n"
    return f"{head}{stage}{inside}      - id: the-end\n        do: End here.\n"


EXAMPLES = [(name, number, block) for name in OWN_PAGES for number, block in enumerate(blocks(name), start=1)]


def whole(block: str) -> str:
    """The procedure that an example is, or is a part of."""
    return steps(block) if block.startswith("- id:") else block


@pytest.mark.parametrize(("name", "number", "block"), EXAMPLES)
def test_every_example_passes_the_real_reader(name: str, number: int, block: str, tmp_path: Path) -> None:
    """Procedures and steps load without a warning, walks pass, the shop file is taken as it stands."""
    del number
    file = tmp_path / "example.yaml"
    file.write_text(block, encoding="utf-8")
    if block.startswith("walk:"):
        assert run_walk(file).lines() == ()
        return
    if name == "station":
        assert read_shop(file).problems == ()
        return
    assert block.startswith(("format: 1", "- id:"))
    assert problems_of(block) == []


def problems_of(block: str) -> list[Problem]:
    """Problems of an example, those apart of what stands round it: pictures, texts in one language only."""
    text = whole(block)
    found = re.search(r"^id: (\S+)", text, re.MULTILINE)
    assert found is not None
    loaded = load_bytes(text.encode(), f"{found[1]}.yaml")
    not_its_own = {"F11"} if "frame-closed" in block else {"S34"} if block.startswith("- id:") else set()
    return [problem for problem in loaded.problems if problem.code not in not_its_own]


def test_every_task_and_every_kind_of_question_has_an_example() -> None:
    """The author's page shows all tasks, all four kinds of question, all three waits, texts in languages."""
    page_blocks = "".join(blocks("author"))
    wanted = ["hazard:", "wait:", "reading:", "judge:", "quiz:", "work_out:", "offer_setting:", "sign_off:"]
    wanted += ["choice:", "choices:", "number:", "order:", "for:", "at_least:", "dose:", "es:", "aside: true"]
    wanted += [
        "new_plate_from:",
        "settings:",
        "skills:",
        "ready:",
        "refresh_after:",
        "supplies:",
        "cautions:",
    ]
    wanted += ["go:", "then:", "tries("]
    assert [key for key in wanted if key not in page_blocks] == []


@pytest.mark.parametrize("model", [Judge, Quiz, Reading, Wait])
def test_every_key_of_a_task_is_on_the_page(model: type[Part]) -> None:
    """No key of these tasks is missing from the author's page."""
    text = page("author")
    assert [key for key in fields_of(model) if key not in text] == []


def test_every_function_is_on_the_page() -> None:
    """The author's table of formulas has every function of the vocabulary."""
    assert [name for name in FUNCTIONS if f"{name}(" not in page("author")] == []


def test_no_unit_on_the_page_is_unknown() -> None:
    """Each unit that the author's page lists is one that the reader knows."""
    listed = re.search(r"- Units: (.*?)\n- ", page("author"), re.DOTALL)
    assert listed is not None
    units = [unit for group in re.findall(r"`([^`]+)`", listed[1]) for unit in units_of(group)]
    assert len(units) >= 20
    assert [unit for unit in units if unit not in KNOWN] == []


def units_of(group: str) -> list[str]:
    """The units in one pair of backticks; `US fl oz` is one."""
    return [group] if group in KNOWN else group.split()


def test_every_act_of_a_walk_is_on_the_page() -> None:
    """The page about walks lists every act and every expectation."""
    text = page("walks")
    assert [name for name in walk_parse.ACTS if f"`{name}" not in text] == []
    assert [name for name in walk_parse.EXPECTATIONS if f"`{name}`" not in text] == []


def test_every_key_of_the_run_is_on_the_trainees_page() -> None:
    """Each key of the program stands in the table of the trainee's page."""
    rows = re.findall(r"^\| (.+?) \|", page("trainee"), re.MULTILINE)
    shown = {word for row in rows for word in re.split(r" or ", row.replace(" to ", "-"))}
    wanted = {action.shown for action in ACTIONS if action.words}
    assert wanted - shown == set()


def test_every_variable_is_on_the_station_page() -> None:
    """The environment variables of the program are all listed, and no other of its own."""
    named = set(re.findall(r"SINKSIDE_[A-Z]+", page("station")))
    assert named == set(places.VARIABLES)


def test_the_index_names_every_page() -> None:
    """Each topic of the index is a page, and each page is a topic."""
    listed = set(re.findall(r"^\| `([a-z]+)` \|", page("index"), re.MULTILINE))
    assert listed == {file.stem for file in places.guide_dir().glob("*.md")} - {"index"}


def test_the_table_of_the_wedge_is_worked_out_right() -> None:
    """Factors of one to four steps up and down are 10^(0.15 k), to the figures shown."""
    text = page("sources")
    up = ", ".join(f"{10 ** (0.15 * k):.2f}" for k in range(1, 5))
    down = ", ".join(f"{10 ** (-0.15 * k):.2f}" for k in range(1, 5))
    assert f"{up} times" in text
    assert f"{down} times" in text


def test_the_table_of_altitudes_is_worked_out_right() -> None:
    """P = 101325 (1 - h/44329)^5.255876 Pa (US Standard Atmosphere 1976), in inches of 3386.389 Pa (NIST)."""
    highest = [101325 * (1 - h / 44329) ** 5.255876 / 3386.389 for h in (0, 500, 1000, 1500, 2000)]
    assert ", ".join(f"{value:.2f}" for value in highest) in page("sources")
