"""Mistakes made by a script in good files: each is told with its code, on its line, and nothing breaks.

No source: the slips are those of hands and of memory; the good files are those that ship.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from mutants import mutants, spread
from mutation_score import is_told, score

from trainer import places
from trainer.procedure.load import load

SHIPPED = sorted(places.procedures_dir().glob("*.yaml"))
TEST = places.procedures_dir() / "exposure-test.yaml"
PLATE = places.procedures_dir() / "negative-plate-two-burns.yaml"
FEW = [(TEST, one) for one in spread(mutants(TEST), 4)]
KINDS = {one.kind for one in mutants(PLATE)}


def test_a_slip_is_told_where_it_is() -> None:
    """Each slip of a few in the exposure test has its code on its line."""
    missed = [(one.kind, one.what) for file, one in FEW if not is_told(one, file.name)]
    assert missed == []


def test_the_corpus_is_large_and_of_many_kinds() -> None:
    """More than 150 slips of at least thirty kinds are tried here, with every kind that the script makes."""
    assert len(FEW) + len(KINDS) > 150
    assert len(KINDS) >= 30
    assert len({(one.kind, one.what) for _, one in FEW}) == len(FEW)


def test_a_slip_of_every_kind_in_the_longest_file_is_told() -> None:
    """One slip of each kind in the longest shipped file: all are told."""
    assert score([PLATE], 1).missed == []


@pytest.mark.parametrize("file", SHIPPED, ids=lambda file: file.name)
def test_a_good_file_has_no_problem(file: Path) -> None:
    """What ships is clean: no problem and no warning."""
    assert load(file).problems == ()


@pytest.mark.long
@pytest.mark.parametrize("file", SHIPPED, ids=lambda file: file.name)
def test_slips_all_over_a_file_are_told(file: Path) -> None:
    """Up to nine slips of each kind, from the beginning of a shipped file to its end: all are told."""
    found = score([file], 9)
    assert found.missed == []
    assert found.made.total() > 150


def test_the_guide_has_the_score() -> None:
    """The author's page has a row for each kind of slip, and says how many of all are told."""
    page = (places.guide_dir() / "checking.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| ([^|]+) \| ((?:[A-Z]\d\d(?:, )?)*) ?\| (\d+) \| (\d+) \|$", page, re.MULTILINE)
    by_kind = {kind: (int(made), int(told)) for kind, _, made, told in rows}
    assert by_kind.keys() >= KINDS | {"all"}
    assert by_kind.pop("all") == tuple(map(sum, zip(*by_kind.values(), strict=True)))
