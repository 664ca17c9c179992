"""`sinkside map`: a procedure drawn, and what is new in it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from trainer import places, tongue
from trainer.commands import completing
from trainer.commands.saying import sentences
from trainer.commands.writing import put

if TYPE_CHECKING:
    from trainer.procedure.model import Procedure

_OTHER_NAME = "S25"
"""The code of an id that is not the file's name."""

Form = Literal["text", "mermaid", "dot", "svg"]


@click.command("map", short_help="Draw a procedure; or say what is new in a revision.")
@click.argument("procedure", required=False, shell_complete=completing.procedures)
@click.option(
    "--as",
    "form",
    type=click.Choice(["text", "mermaid", "dot", "svg"]),
    default="text",
    help="Plain text (80 columns), Mermaid, DOT for Graphviz, or an SVG picture.",
)
@click.option(
    "--out", type=click.Path(path_type=Path), help="A file to write it to; never one that is there."
)
@click.option(
    "--compare", nargs=2, metavar="OLD NEW", help="What changed from one file to another, for a class."
)
@click.option("--json", "as_json", is_flag=True, help="With --compare: for a program to read.")
def map_(
    procedure: str | None, form: Form, out: Path | None, compare: tuple[str, str] | None, *, as_json: bool
) -> None:
    """Draw the way through PROCEDURE (an id or a file): stages, steps, branches, waits, hazards, ways back.

    With --compare OLD NEW: say what is different, in words.
    """
    if compare is not None:
        if procedure is not None or form != "text":
            raise click.UsageError("--compare takes two files and stands for itself.")
        put(_compared(*compare, as_json=as_json), out)
        return
    if procedure is None:
        raise click.UsageError("Name a procedure, or give --compare OLD NEW.")
    if as_json:
        raise click.UsageError("--json belongs to --compare.")
    put(_drawn(loaded(procedure), form), out)


def loaded(named: str) -> Procedure:
    """The procedure of an id or a file, or the end with a sentence about what is wrong with it."""
    from trainer.procedure.load import load

    found = load(places.find_procedure(named) or Path(named))
    with sentences():
        plan = found.require()
    return plan.procedure


def _drawn(procedure: Procedure, form: Form) -> str:
    from trainer.procedure.charts.chart import chart_of

    chart = chart_of(procedure, tongue.language())
    match form:
        case "text":
            from trainer.procedure.charts.lines import as_lines

            return as_lines(chart)
        case "mermaid":
            from trainer.procedure.charts.mermaid import as_mermaid

            return as_mermaid(chart)
        case "dot":
            from trainer.procedure.charts.dot import as_dot

            return as_dot(chart)
        case "svg":
            from trainer.procedure.charts.svg import as_svg

            return as_svg(chart)


def _revision(named: str) -> Procedure:
    """The same for a copy that was kept under another name, which is no slip where two are compared."""
    from trainer.procedure.files import read_bytes
    from trainer.procedure.load import load, load_bytes

    path = places.find_procedure(named) or Path(named)
    if [problem.code for problem in load(path).errors] != [_OTHER_NAME]:
        return loaded(named)
    with sentences():
        return load_bytes(read_bytes(path), str(path.with_suffix(""))).require().procedure


def _compared(old: str, new: str, *, as_json: bool) -> str:
    from trainer.procedure.revisions.compare import compare

    found = compare(_revision(old), _revision(new), tongue.language())
    return f"{found.as_json()}\n" if as_json else found.as_text()
