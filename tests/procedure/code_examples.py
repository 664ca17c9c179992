"""The examples of the pages of codes made into whole files, and the codes that each gives."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

import pytest
from broken_yaml import RAW

from trainer import places
from trainer.procedure.checking import check_files
from trainer.procedure.engine import Taken
from trainer.procedure.expressions import compile_formula
from trainer.procedure.load import load, load_bytes
from trainer.procedure.problems import Problem
from trainer.procedure.scope import Declared, Scope
from trainer.procedure.shop import problems_for, read_shop
from trainer.procedure.tokens import FormulaFault
from trainer.procedure.yaml_words import Trouble, explain
from trainer.rehearsal.walk import run_walk

HERE = Path(__file__).resolve().parent
HEAD = {
    "format": "1",
    "id": "example",
    "title": "Example",
    "revision": "1",
    "summary": "A part of the page of a code.",
}
SETTINGS = {
    "exposure": "{value: 24, unit: units, between: [5, 80], label: Exposure}",
    "vacuum_floor": "{value: 20, unit: inHg, between: [15, 28], label: Least vacuum}",
}
STAGE = "stages:\n  - id: here\n    title: Here\n    steps:\n"
Found = list[tuple[str, str]]
"""Code and severity of each problem."""


def whole(example: str) -> str:
    """The procedure around an example: steps, or some keys of the top of the file."""
    if example.startswith("- "):
        used = {name: value for name, value in SETTINGS.items() if f"settings.{name}" in example}
        settings = "".join(f"  {name}: {value}\n" for name, value in used.items())
        steps = "".join(f"      {line}\n" for line in example.splitlines())
        head = f"settings:\n{settings}" if settings else ""
        return f"{_head('')}{head}{STAGE}{steps}      - {{id: the-end, do: End here.}}\n"
    if "stages:" in example:
        return f"{_head(example)}{example}"
    wait = ", wait: {dose: settings.exposure}" if "settings:" in example else ""
    return f"{_head(example)}{example}{STAGE}      - {{id: here, do: Do it.{wait}}}\n"


def _head(example: str) -> str:
    lines = (f"{key}: {value}\n" for key, value in HEAD.items())
    return "".join(line for line in lines if f"\n{line.partition(':')[0]}:" not in f"\n{example}")


def found_in(example: str, folder: Path) -> Found:
    """What is told of an example: a walk, a shop file, or a part of a procedure."""
    if example.startswith("walk:") and "right: to-end]" not in example:
        file = folder / "example.yaml"
        file.write_text(example, encoding="utf-8")
        return _codes(run_walk(file).findings)
    if re.search("^procedures:", example, re.MULTILINE):
        file = folder / "shop.yaml"
        file.write_text(example, encoding="utf-8")
        shop = read_shop(file)
        plan = load(places.procedures_dir() / "exposure-test.yaml").require()
        return _codes((*shop.problems, *problems_for(plan, shop)))
    text = example if example.startswith("walk:") else whole(example)
    return _codes(load_bytes(text.encode(), "example.yaml").problems)


def _codes(problems: Iterable[Problem]) -> Found:
    return [(one.code, one.severity) for one in problems]


def checked(path: Path) -> Found:
    """What `check` tells of a file or folder on disk."""
    return _codes(problem for file in check_files([path]).files for problem in file.problems)


def written(folder: Path, source: str | bytes) -> Path:
    """A file that holds it."""
    file = folder / "example.yaml"
    file.write_bytes(source if isinstance(source, bytes) else source.encode())
    return file


def _raw(name: str) -> bytes:
    return next(row.source for row in RAW if row.name == name)


GOOD = whole("- {id: start, do: Start the pump.}")
ACCENT = GOOD.replace("Example", "Vac\u00edo")
STEPS = [f"- {{id: s{number}, do: Do it., then: elsewhere}}\n" for number in range(301)]
STUCK = whole("".join(STEPS))

SOURCES: Mapping[str, tuple[str | bytes, str | bytes]] = {
    "F06": (_raw("mebibyte-and-one"), GOOD),
    "F07": (ACCENT.encode("latin-1"), ACCENT),
    "F08": (_raw("a-picture"), GOOD),
    "F09": (_raw("blanks-only"), GOOD),
    "Y15": (_raw("nodes-without-end"), GOOD),
    "G24": (
        STUCK,
        STUCK.replace("then: elsewhere", "why: So."),
    ),
}
"""By code: a file that is too long for its page, and the same mended."""


class Known:
    """Values of a run by name, and no function that asks it."""

    def __init__(self, values: Mapping[str, float]) -> None:
        self.values = values

    def value(self, name: str) -> Taken | None:
        """The value under a dotted name."""
        return self.values.get(name)

    def call(self, function: str, arguments: tuple[float | str, ...]) -> float | bool:
        """None is called here."""
        raise AssertionError((function, arguments))


def formula(text: str, values: Mapping[str, float]) -> Found:
    """What is told when a formula over the wedge's reading is compiled and asked for its value."""
    names = {"readings.wedge": Declared("readings.wedge", "number", "step")}
    scope = Scope(names, {name: (one,) for name, one in names.items()}, frozenset())
    try:
        compile_formula(text, scope, "truth").truth(Known(values))
    except FormulaFault as fault:
        return [(fault.code, "error")]
    return []


def with_picture(folder: Path, name: str, width: int = 3) -> Found:
    """A step that shows a picture, beside which one drawing of `width` cells lies."""
    (folder / "pictures").mkdir(exist_ok=True)
    (folder / "pictures" / "drawn.txt").write_text("x" * width + "\n", encoding="utf-8")
    return checked(written(folder, whole(f"- {{id: start, do: Start the pump., picture: {name}}}")))


def with_rights(folder: Path, mode: int) -> Found:
    """A file with these permissions, read by an account that they are meant for."""
    file = written(folder, GOOD)
    file.chmod(mode)
    if os.geteuid() != 0 or mode:
        return checked(file)
    os.seteuid(65534)  # root may read everything
    try:
        return checked(file)
    finally:
        os.seteuid(0)


def on_a_disk(folder: Path, patch: pytest.MonkeyPatch, *, broken: bool) -> Found:
    """A file on a disk that gives an error, or not."""
    file = written(folder, GOOD)

    def fail(*_: object, **__: object) -> None:
        raise OSError(5, "Input/output error")

    with patch.context() as patched:
        if broken:
            patched.setattr(Path, "open", fail)
        return checked(file)


def with_library(folder: Path, patch: pytest.MonkeyPatch, version: tuple[int, int, int]) -> Found:
    """A file read where libyaml must be at least of this version."""
    with patch.context() as patched:
        patched.setattr("trainer.procedure.building._OLDEST_LIBYAML", version)
        return checked(written(folder, GOOD))


def refused_by_cel(patch: pytest.MonkeyPatch, text: str, *, passes: bool) -> Found:
    """A formula that our own checks let through; where it `passes` them wrongly, CEL is given another."""
    from trainer.procedure import expressions
    from trainer.procedure.tokens import Widened

    with patch.context() as patched:
        if passes:
            patched.setattr(expressions, "widen", lambda *_: Widened("1.0 + true", ()))
        return formula(text, {"readings.wedge": 6.0})


def unlisted(words: str) -> Found:
    """What is told where the YAML parser stops with these words; nothing where a page of its own fits."""
    told = explain(Trouble(words, "", 0, 0, 0, 0, ["- @x"]))
    return [] if told.code != "Y01" else [(told.code, told.severity)]


def walked(folder: Path, right: str) -> Found:
    """A walk of a procedure whose reading has a formula for its right value."""
    step = (
        f"- {{id: read, do: Read., reading: {{name: wedge, unit: step, plausible: [1, 21], right: {right}}}}}"
    )
    written(folder, whole(step))
    file = folder / "walk.yaml"
    file.write_text("walk: 1\nprocedure: example\nacts: [right: to-end]\n", encoding="utf-8")
    return _codes(run_walk(file).findings)


Try = Callable[[Path, pytest.MonkeyPatch], Found]
MADE: Mapping[str, tuple[Try, Try]] = {
    "F01": (lambda f, _: checked(f / "no.yaml"), lambda f, _: checked(written(f, GOOD))),
    "F02": (lambda _, __: checked(Path("/dev/null")), lambda f, _: checked(written(f, GOOD))),
    "F03": (lambda f, _: with_rights(f, 0), lambda f, _: with_rights(f, 0o644)),
    "F04": (lambda f, p: on_a_disk(f, p, broken=True), lambda f, p: on_a_disk(f, p, broken=False)),
    "F05": (lambda f, _: checked(f), lambda f, _: checked(written(f, GOOD).parent)),
    "F10": (lambda f, p: with_library(f, p, (99, 0, 0)), lambda f, p: with_library(f, p, (0, 2, 6))),
    "F11": (lambda f, _: with_picture(f, "no-such-drawing"), lambda f, _: with_picture(f, "drawn")),
    "F12": (lambda f, _: with_picture(f, "drawn", 37), lambda f, _: with_picture(f, "drawn", 36)),
    "Y01": (lambda *_: unlisted("not known"), lambda *_: unlisted("found a tab character")),
    "C18": (
        lambda *_: formula("readings.wedge > 5", {}),
        lambda *_: formula("readings.wedge > 5", {"readings.wedge": 6.0}),
    ),
    "C19": (
        lambda *_: formula("1 / readings.wedge > 0", {"readings.wedge": 0.0}),
        lambda *_: formula("1 / readings.wedge > 0", {"readings.wedge": 6.0}),
    ),
    "C20": (
        lambda _, p: refused_by_cel(p, "readings.wedge > 5", passes=True),
        lambda _, p: refused_by_cel(p, "readings.wedge > 5", passes=False),
    ),
    "W15": (
        lambda f, _: walked(f, "6 / (settings.exposure - 24)"),
        lambda f, _: walked(f, "settings.exposure / 4"),
    ),
}
"""By code whose example is no part of a file: what is told of its example, and of the mended one."""
