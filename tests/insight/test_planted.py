"""Planted truth: in an invented class the review names what was planted, and hardly anything that was not.

It is driven through the real run and bench; nothing here is checked against the world outside.
"""

from __future__ import annotations

import pytest
from planted_kit import Told, told

from trainer.rehearsal.invented.making import make_class

SEEDS = (1, 2, 3, 4, 5)


@pytest.fixture(scope="module", params=SEEDS)
def class_told(request: pytest.FixtureRequest) -> Told:
    """What the review says of the class of a seed: 400 wet runs of a term."""
    return told(make_class(request.param, 400, rehearsals=False, processes=2))


@pytest.mark.long
def test_all_that_is_planted_is_named(class_told: Told) -> None:
    """Three trainees weak at one skill each, a step, a question and a lamp; hardly anything else."""
    assert len(class_told.planted) == 6
    assert class_told.found == class_told.planted
    assert len(class_told.false) <= 1, class_told.false


@pytest.mark.long
@pytest.mark.parametrize("seed", [1, 2])
def test_nothing_is_named_where_nothing_is_planted(seed: int) -> None:
    """A class of the same make with nothing planted: at most one thing is named that is sure to be chance."""
    found = told(make_class(seed, 400, rehearsals=False, plant=False, processes=2))
    assert found.planted == frozenset()
    assert len(found.false) <= 1, found.false
