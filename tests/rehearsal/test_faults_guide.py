"""The page on faults says what the catalogue says, and the command prints the catalogue."""

from __future__ import annotations

import json
import re

from click.testing import CliRunner

from trainer import places
from trainer.bench.faults import CATALOGUE, CLASSES, members
from trainer.cli import main
from trainer.procedure.vocabulary import MEASURES

PAGE = (places.guide_dir() / "faults.md").read_text(encoding="utf-8")


def test_the_page_has_every_fault_as_the_catalogue_has_it() -> None:
    """Title, acts, looks, measures, remedy and caution of each fault stand on the page, in the same order."""
    found = re.findall(r"^\*\*(.+?)\.\*\* (.+)$", PAGE, re.MULTILINE)
    assert found == [(fault.title, fault.acts) for fault in CATALOGUE.values()]
    for fault in CATALOGUE.values():
        part = PAGE.split(f"**{fault.title}.** ")[1].split("\n**")[0].split("\n###")[0]
        assert f"- Seen: {fault.looks}\n" in part
        assert f"- Measured: {', '.join(name.replace('_', ' ') for name in fault.measures)}\n" in part
        assert f"- Do: {fault.remedy}\n" in part
        assert (f"- Mind: {fault.caution}\n" in part) is bool(fault.caution)


def test_the_page_has_every_class_with_its_faults() -> None:
    """The table of classes lists all of them, each with all its faults."""
    for alike in CLASSES.values():
        assert f"| {alike.title} | {'; '.join(one.title for one in members(alike.id))} |\n" in PAGE


def test_the_table_of_the_blind_check_is_whole() -> None:
    """Every fault has its row, and the rows add up to the plates that were looked at."""
    rows = re.findall(r"^\| ([a-z-]+) \| (\d+) \| (\d+) \|", PAGE, re.MULTILINE)
    assert {row[0] for row in rows} <= set(CATALOGUE)
    assert sum(int(row[1]) for row in rows) == 200
    assert all(int(found) <= int(plates) for _, plates, found in rows)


def test_a_fault_is_shown_by_measures_that_there_are() -> None:
    """Each measure of a fault is one of the plate's sheet, by the name that formulas use."""
    for fault in CATALOGUE.values():
        assert set(fault.measures) <= set(MEASURES), fault.id


def test_the_command_prints_the_catalogue() -> None:
    """`faults --list` has every title and remedy; `--json` every field of every fault."""
    runner = CliRunner()
    text = runner.invoke(main, ["faults", "--list"]).output
    for fault in CATALOGUE.values():
        assert fault.title in text
        assert fault.remedy in text
    listed = json.loads(runner.invoke(main, ["faults", "--json"]).output)
    assert [one["id"] for one in listed] == list(CATALOGUE)
    assert all(one["class"] in CLASSES and one["skill"] and one["remedy"] for one in listed)
