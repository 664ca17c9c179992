"""Every broken file is told with its code and its place, in words that help.

No source: the format is our own.
"""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from broken_formulas import FORMULAS
from broken_shapes import KEYS, PARTS, TYPES, WARNINGS, WORDS, Change
from broken_yaml import RAW, YAML, Marked, Raw, marked

from trainer.procedure.codes import all_codes
from trainer.procedure.files import FileTrouble
from trainer.procedure.load import Loaded, files_in, load, load_bytes
from trainer.procedure.problems import Problem, ProcedureProblems
from trainer.procedure.render import as_text
from trainer.procedure.text import unclean

HERE = Path(__file__).parent
SMALL = (HERE / "small.yaml").read_text(encoding="utf-8")
SHAPES = (*KEYS, *TYPES, *WORDS, *PARTS, *WARNINGS)
_JARGON = re.compile(
    r"None|(?i:pydantic|traceback|exception|dict|tuple|string|boolean|integer|float|scalar|mapping"
    r"|sequence|token|parse|schema|valid|invalid|anchor|alias)"
)


def placed(problem: Problem) -> tuple[str, int, int]:
    """Code, line and column."""
    return problem.code, problem.place.line, problem.place.column


def beside_languages(loaded: Loaded) -> list[Problem]:
    """The problems of a file but S34: small.yaml is in two languages here and there, to try both forms."""
    return [problem for problem in loaded.problems if problem.code != "S34"]


def changed(change: Change) -> tuple[bytes, int, int]:
    """small.yaml with a change, and where its problem is expected."""
    assert SMALL.count(change.old) == 1
    return marked(SMALL.replace(change.old, change.new))


def tell(loaded: Loaded) -> None:
    """Each problem has a known code, a sentence, a help that says what to do, and a place in the file."""
    lines = loaded.source_text.split("\n")
    for problem in loaded.problems:
        assert problem.code in all_codes()
        assert problem.message.endswith((".", "?"))
        assert len(problem.help) > 10
        assert problem.help.endswith((".", "?"))
        assert problem.place.line <= len(lines) or not loaded.source_text
        assert (problem.place.line, problem.place.column) <= (
            problem.place.end_line,
            problem.place.end_column,
        )
        assert _JARGON.search(re.sub(r"`[^`]*`", "", problem.message + problem.help)) is None
    assert unclean(as_text(loaded.problems, loaded.source_text, loaded.file)) is None


@pytest.mark.parametrize("row", RAW, ids=lambda row: row.name)
def test_a_file_that_is_no_yaml_text_is_told(row: Raw) -> None:
    """Each of these files has the problems expected, in this order, and none has a plan."""
    loaded = load_bytes(row.source, "x.yaml")
    found = [placed(problem) for problem in loaded.problems if problem.code not in {"S01", "S02"}]
    assert found[: len(row.found)] == list(row.found)
    assert loaded.plan is None
    tell(loaded)


@pytest.mark.parametrize("row", YAML, ids=lambda row: row.name)
def test_bad_yaml_is_told_at_its_place(row: Marked) -> None:
    """Each of these texts has the code expected at the mark, as the only problem of reading it."""
    source, line, column = marked(row.text)
    loaded = load_bytes(source, "x.yaml")
    found = [placed(problem) for problem in loaded.problems if problem.code[0] in "FY"]
    assert found == [(row.code, line, column)]
    assert loaded.plan is None
    tell(loaded)


@pytest.mark.parametrize("change", SHAPES, ids=lambda change: change.name)
def test_a_bad_shape_is_told_at_its_place(change: Change, tmp_path: Path) -> None:
    """Each change to the small procedure gives exactly one problem: the code expected, at the mark."""
    source, line, column = changed(change)
    shutil.copytree(HERE / "pictures", tmp_path / "pictures")
    (tmp_path / "small.yaml").write_bytes(source)
    loaded = load(tmp_path / "small.yaml")
    assert [placed(problem) for problem in beside_languages(loaded)] == [(change.code, line, column)]
    assert (loaded.plan is None) is (change not in WARNINGS)
    tell(loaded)


@pytest.mark.parametrize("change", FORMULAS, ids=lambda change: change.name)
def test_a_bad_formula_or_way_is_told_at_its_place(change: Change) -> None:
    """Each change to a formula, a way or a name is told with the code expected, at the mark."""
    source, line, column = changed(change)
    loaded = load_bytes(source, "small.yaml")
    assert (change.code, line, column) in [placed(problem) for problem in loaded.problems]
    assert loaded.plan is None
    tell(loaded)


def test_the_tables_are_long_enough() -> None:
    """There are more than two hundred broken files, no two of one name, and every code of reading is met."""
    rows = [row.name for row in (*RAW, *YAML)] + [row.name for row in (*SHAPES, *FORMULAS)]
    assert len(rows) > 200
    met = {code for raw in RAW for code, _, _ in raw.found}
    met |= {row.code for row in YAML} | {row.code for row in (*SHAPES, *FORMULAS)}
    on_disk = {"F01", "F02", "F03", "F04", "F05", "F12"}
    elsewhere = {
        "F10",
        "Y01",
        "S30",
        "S33",
        "S34",
    }  # an old library, a parser's words, ...
    assert {code for code in all_codes() if code[0] in "FYS"} == met & set(all_codes()) - {
        code for code in met if code[0] in "CG"
    } | on_disk | elsewhere


@contextmanager
def without_rights() -> Iterator[None]:
    """As a user who is not root, so that permissions count."""
    if os.geteuid() != 0:
        yield
        return
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)


def first_code(path: Path) -> str:
    """The code of the only problem of a file on disk."""
    loaded = load(path)
    assert loaded.plan is None
    (problem,) = loaded.problems
    tell(loaded)
    return problem.code


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    """A file, or a folder in its path, that is not there is told as F01."""
    assert first_code(tmp_path / "no.yaml") == "F01"
    assert first_code(tmp_path / "no" / "no.yaml") == "F01"
    assert first_code(tmp_path / "a\0b.yaml") == "F01"


def test_a_folder_is_told(tmp_path: Path) -> None:
    """A folder where a file is wanted is told as F02."""
    assert first_code(tmp_path) == "F02"


def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    """A pipe or a device where a file is wanted is told as F02 and not opened."""
    os.mkfifo(tmp_path / "pipe.yaml")
    assert first_code(tmp_path / "pipe.yaml") == "F02"
    assert first_code(Path("/dev/null")) == "F02"


def test_too_many_steps_are_told() -> None:
    """A file of 1,000 steps is checked; in one of more, the first that is too many is told."""
    first, rest = SMALL.split("      - id: take-plate\n", 1)
    more = 1001 - SMALL.count("      - id: ")
    added = "".join(f"      - {{id: more-{number}, do: Wait.}}\n" for number in range(more))
    loaded = load_bytes(f"{first}{added}      - id: take-plate\n{rest}".encode(), "small.yaml")
    assert [problem.code for problem in loaded.problems] == ["S10"]
    line = loaded.source_text.split("\n")[loaded.problems[0].place.line - 1]
    assert line == "      - id: sign"


def test_a_file_without_permission_is_told(tmp_path: Path) -> None:
    """A file that this account may not read is told as F03."""
    path = tmp_path / "small.yaml"
    path.write_text(SMALL, encoding="utf-8")
    path.chmod(0)
    with without_rights():
        assert first_code(path) == "F03"


def test_a_broken_disk_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Any other error of the system is told as F04, with the system's reason."""
    path = tmp_path / "small.yaml"
    path.write_text(SMALL, encoding="utf-8")

    def fail(*_: object, **__: object) -> None:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(Path, "open", fail)
    assert first_code(path) == "F04"
    assert "Input/output error" in load(path).problems[0].message


def test_an_empty_folder_is_told(tmp_path: Path) -> None:
    """A folder without a procedure file, or no folder at all, is told in a sentence."""
    (tmp_path / "notes.txt").write_text("x", encoding="utf-8")
    (tmp_path / ".hidden.yaml").write_text("x", encoding="utf-8")
    with pytest.raises(FileTrouble, match="holds no file") as caught:
        files_in(tmp_path)
    assert caught.value.problem.code == "F05"
    with pytest.raises(FileTrouble) as caught:
        files_in(tmp_path / "no")
    assert caught.value.problem.code == "F01"


def test_a_folder_gives_its_files(tmp_path: Path) -> None:
    """Files of a folder and below come sorted; a link to a folder above is not followed."""
    (tmp_path / "b").mkdir()
    for name in ("z.yaml", "b/a.yml", "a.yaml"):
        (tmp_path / name).write_text("x", encoding="utf-8")
    (tmp_path / "b" / "up").symlink_to(tmp_path)
    assert files_in(tmp_path) == [tmp_path / name for name in ("a.yaml", "b/a.yml", "z.yaml")]
    assert files_in(tmp_path / "a.yaml") == [tmp_path / "a.yaml"]


def test_an_old_library_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """A YAML parser older than libyaml 0.2.6 is refused as F10, with the way to a newer one."""
    monkeypatch.setattr("trainer.procedure.building._OLDEST_LIBYAML", (99, 0, 0))
    loaded = load_bytes(SMALL.encode(), "small.yaml")
    assert [problem.code for problem in loaded.problems] == ["F10"]
    assert "pip install" in loaded.problems[0].help


def test_everything_is_told_at_once() -> None:
    """Problems of many kinds in one file come together, from the top down."""
    spoiled = SMALL.replace("revision: 2", "revision: 0").replace("signal: danger", "signal: notice")
    spoiled = spoiled.replace("right: coated", "right: clean").replace("unit: inHg\n", "unit: inches\n")
    spoiled = spoiled.replace("for: 1 min 30 s", "for: 1:30").replace("why: Any gap", "wy: Any gap")
    loaded = load_bytes(spoiled.encode(), "small.yaml")
    assert [problem.code for problem in loaded.problems] == ["S11", "S21", "S01", "S14", "S15", "S09"]
    with pytest.raises(ProcedureProblems, match=r"small\.yaml:5:11: .*\(5 more\)"):
        loaded.require()


def test_the_small_procedure_is_sound() -> None:
    """The file that the tables change has no problem itself, but texts in one language only."""
    loaded = load(HERE / "small.yaml")
    assert [problem.code for problem in loaded.problems] == ["S34"]
    assert loaded.require().first == "take-plate"
