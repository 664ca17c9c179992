"""What each room loads, seen from a fresh interpreter: a contract cannot see a deferred import."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from trainer import places

HEAVY = frozenset(
    [
        "aiohttp",
        "argon2",
        "cel_expr_python",
        "numpy",
        "pint",
        "psycopg",
        "polars",
        "pydantic",
        "rich",
        "scipy",
        "sqlite3",
        "textual",
        "transitions",
    ]
)
CLONE = Path(places.__file__).resolve().parent.parent


def loaded_by(code: str) -> set[str]:
    """Names of the heavy libraries that a fresh interpreter has loaded after `code`."""
    finished = subprocess.run(
        [sys.executable, "-c", f"{code}\nimport sys; print(' '.join(sys.modules))"],
        capture_output=True,
        text=True,
        check=True,
        cwd=CLONE,
    )
    return set(finished.stdout.splitlines()[-1].split()) & HEAVY


@pytest.mark.parametrize(
    ("code", "allowed"),
    [
        ("import trainer.cli", set()),
        ("import trainer.places", set()),
        ("import trainer.calc", set()),
        ("import trainer.bench.plate, trainer.bench.settings", {"numpy"}),
        ("import trainer.procedure.heads", set()),
        ("import trainer.procedure.load", set()),
        ("import trainer.run.session", {"transitions"}),
        ("import trainer.record.journal", {"sqlite3"}),
        ("import trainer.serving.gate, trainer.serving.token_file", set()),
        ("import trainer.serving.seat", {"sqlite3"}),
        ("import trainer.screens.station", {"sqlite3"}),
        ("import trainer.screens.plain", {"sqlite3"}),
        (
            "import trainer.screens.reviewing_app, trainer.screens.review.class_rows",
            {"sqlite3", "textual", "rich"},
        ),
    ],
)
def test_a_room_loads_no_more_than_it_needs(code: str, allowed: set[str]) -> None:
    """Importing a room loads only the heavy libraries it is allowed."""
    assert loaded_by(code) <= allowed


def test_the_start_screen_loads_no_checker_and_no_machine() -> None:
    """The start screen's module draws with Textual and leaves CEL, transitions and argon2 alone."""
    assert loaded_by("import trainer.screens.app, trainer.screens.start") <= {"textual", "rich", "sqlite3"}


def test_a_wet_run_loads_no_numbers_library() -> None:
    """Everything that a wet run imports loads neither NumPy nor SciPy nor pint."""
    loaded = loaded_by(
        "import trainer.screens.app, trainer.screens.working, trainer.procedure.load, trainer.run.session"
    )
    assert loaded.isdisjoint({"numpy", "scipy", "pint", "argon2"})
