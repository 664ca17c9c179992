"""Statements of ours, spoiled, are refused. Whole walks are stated in tests/record/test_real_runs.py."""

from __future__ import annotations

from collections.abc import Iterator
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest
from export_kit import shared, stated

from trainer.record.exports.statement import faults


@pytest.fixture
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record with every kind of event; not to be changed."""
    return shared(tmp_path_factory)


def mutants(one: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Five ways to spoil a statement (learning-records reference, section 1.3)."""
    spoiled = deepcopy(one)
    spoiled["actor"]["mbox"] = "mailto:t@school.example"
    yield spoiled
    yield {**one, "result": {"score": {"scaled": 1.01}}}
    yield {**one, "result": {"success": "true"}}
    yield {**one, "unknown": 1}
    reference = {"objectType": "StatementRef", "id": one["id"]}
    yield {**one, "object": reference, "context": {"revision": "3"}}


def test_a_spoiled_statement_of_ours_is_refused(kept: Path) -> None:
    """Each of the five, made of every statement of the record."""
    for one in stated(kept):
        assert all(faults(mutant) for mutant in mutants(one))
