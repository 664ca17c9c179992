"""Probes of what checks and walks say: texts of files, of problems and of the record come out there."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from pathlib import Path

from click.testing import CliRunner
from hostile_texts import EVERYTHING, FORGED, MARK, texts_of

from trainer import cli, places
from trainer.procedure.checking import Checked
from trainer.procedure.explain import explained
from trainer.procedure.fixes import Fix
from trainer.procedure.load import Loaded
from trainer.procedure.problems import Place, Problem, Related

LINE = f"{MARK}{EVERYTHING}{FORGED}"
CODES = places.guide_dir() / "codes"


def _loaded() -> Loaded:
    problem = Problem("S01", "error", LINE, LINE, related=(Related(Place(), LINE),))
    return Loaded(None, (problem,), "x", "x.yaml")


def _sarif(folder: Path) -> str:
    del folder
    return " ".join(texts_of(json.loads(Checked((_loaded(),)).as_sarif(CODES, "1"))["runs"][0]["results"]))


def _checking(folder: Path) -> str:
    del folder
    fix = Fix("S06", Place(), (), LINE, LINE)
    return Checked((Loaded(None, (), "", "x.yaml"),), {LINE: (fix,)}).as_text()


def _explain(folder: Path) -> str:
    del folder
    try:
        return explained(f"{MARK}\x1b\x9b\u202e", CODES).code
    except LookupError as unknown:
        return str(unknown.args[0])


def _as_walk(folder: Path) -> str:
    from hostile_sources import tampered  # it names this table

    record = tampered(folder, "UPDATE runs SET trainee = ?")
    return CliRunner().invoke(cli.main, ["record", "--record", str(record), "as-walk"]).stdout


CHECKING: Mapping[str, Callable[[Path], str]] = {
    "trainer.procedure.sarif": _sarif,
    "trainer.procedure.checking": _checking,
    "trainer.procedure.explain": _explain,
    "trainer.commands.as_walk": _as_walk,
}
"""By module that cleans: what comes out where a hostile text goes in."""
