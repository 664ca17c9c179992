"""What the start screen reads of a procedure file, and the drawings beside it. No source: our own format."""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections import deque
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from trainer import places
from trainer.procedure.heads import read_head, read_heads
from trainer.procedure.load import load
from trainer.procedure.pictures import picture_problem, read_picture
from trainer.procedure.text import unclean

HERE = Path(__file__).parent
SMALL = (HERE / "small.yaml").read_text(encoding="utf-8")


def test_heads_of_a_folder(tmp_path: Path) -> None:
    """Heads come by file name; what lies deeper is another folder's; a missing folder has none."""
    (tmp_path / "b.yaml").write_text(SMALL, encoding="utf-8")
    (tmp_path / "a.yaml").write_text(SMALL.replace("id: small", "id: tiny"), encoding="utf-8")
    (tmp_path / "deep").mkdir()
    (tmp_path / "deep" / "c.yaml").write_text(SMALL, encoding="utf-8")
    heads = read_heads(tmp_path)
    assert [(head.id, head.revision, head.problem) for head in heads] == [
        ("tiny", 2, None),
        ("small", 2, None),
    ]
    assert heads[0].title == {"en": "A small plate", "es": "Una plancha pequeña"}
    assert heads[0].summary == "One plate, from an empty frame to a look at the wedge."
    assert read_heads(tmp_path / "none") == []


def test_a_head_is_read_no_further_than_needed(tmp_path: Path) -> None:
    """What is broken below the head does not matter here; keys in another order are found all the same."""
    path = tmp_path / "x.yaml"
    path.write_text("id: x\ntitle: X\nrevision: 1\nsummary: Y.\nstages:\n\t- [", encoding="utf-8")
    assert read_head(path).problem is None
    path.write_text("stages: [a, b]\nid: x\nsummary: Y.\ntitle: X\nrevision: 1\n", encoding="utf-8")
    assert read_head(path).problem is None


def test_a_long_file_has_a_quick_head(tmp_path: Path) -> None:
    """The head of a file of a mebibyte costs less than a fifth of going through its events once."""
    path = tmp_path / "x.yaml"
    path.write_text(
        "id: x\ntitle: X\nrevision: 1\nsummary: Y.\nstages:\n" + "  - a: b\n" * 100_000, encoding="utf-8"
    )
    assert read_head(path).problem is None
    text = path.read_text(encoding="utf-8")
    whole = min(_cost(lambda: deque(yaml.parse(text, Loader=yaml.CSafeLoader), 0)) for _ in range(2))
    assert min(_cost(lambda: read_head(path)) for _ in range(5)) < whole / 5


def _cost(work: Callable[[], object]) -> float:
    """Seconds of processor time."""
    before = time.process_time()
    work()
    return time.process_time() - before


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "x.yaml:1:1: There is nothing in the file."),
        ("title: [", "x.yaml:1:8: "),
        ("title: a: b", "x.yaml:1:9: "),
        (
            "id: x\nid: y\ntitle: X\nrevision: 1\nsummary: Y.",
            "x.yaml:2:1: The key `id` stands here a second time.",
        ),
        ("title: X\nrevision: 1\nsummary: Y.", "x.yaml has no `id` that can be used."),
        ("id: X\ntitle: X\nrevision: 1\nsummary: Y.", "x.yaml has no `id` that can be used."),
        ("id: x\ntitle: 3\nrevision: 1\nsummary: Y.", "x.yaml has no `title` that can be used."),
        ("id: x\ntitle: {en: 3}\nrevision: 1\nsummary: Y.", "x.yaml has no `title` that can be used."),
        ("id: x\ntitle: X\nrevision: one\nsummary: Y.", "x.yaml has no `revision` that can be used."),
        ("id: x\ntitle: X\nrevision: true\nsummary: Y.", "x.yaml has no `revision` that can be used."),
        ("id: x\ntitle: X\nrevision: 1", "x.yaml has no `summary` that can be used."),
        ("- a", "x.yaml is no procedure"),
    ],
)
def test_a_broken_head_says_so(tmp_path: Path, text: str, said: str) -> None:
    """A broken head keeps the file's name as its id, and says in a sentence what is wrong."""
    path = tmp_path / "x.yaml"
    path.write_text(text, encoding="utf-8")
    head = read_head(path)
    assert head.id == "x"
    assert head.problem is not None
    assert head.problem.startswith(said)


@given(st.binary(max_size=200))
def test_no_bytes_break_a_head(source: bytes) -> None:
    """Any bytes give a head or a sentence."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "x.yaml"
        path.write_bytes(source)
        head = read_head(path)
    assert head.problem is None or unclean(head.problem) is None


def test_heads_and_loading_stay_light() -> None:
    """Heads load no checker; loading a whole file loads CEL, and neither number nor drawing libraries."""
    code = (
        "import sys; from pathlib import Path; from trainer.procedure.heads import read_heads; "
        f"assert len(read_heads(Path({str(HERE)!r}))) == 1; "
        "print(sorted({'pydantic', 'cel_expr_python', 'transitions', 'textual', 'rich'} & {*sys.modules})); "
        "from trainer.procedure.load import load; "
        f"load(Path({str(HERE / 'small.yaml')!r})).require(); "
        "print(sorted({'pydantic', 'numpy', 'scipy', 'pint', 'sqlite3', 'textual', 'rich', 'transitions'}"
        " & set(sys.modules)))"
    )
    clone = Path(places.__file__).resolve().parent.parent
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=clone)
    assert done.stdout.split("\n") == ["[]", "[]", ""]


def draw(folder: Path, data: bytes) -> Path:
    """A procedure file with a picture `x` beside it."""
    (folder / "pictures").mkdir(exist_ok=True)
    (folder / "pictures" / "x.txt").write_bytes(data)
    return folder / "small.yaml"


def test_a_picture_is_cleaned_and_trimmed(tmp_path: Path) -> None:
    """Blank rows at both ends go, tabs become spaces, and no control reaches the terminal."""
    file = draw(tmp_path, b"\xef\xbb\xbf\r\n  __  \r\n\t|\x1b[31m\r\n\n\n")
    assert read_picture(file, "x") == ("  __", "    |\u241b[31m")
    assert picture_problem(file, "x") is None


def test_a_picture_of_the_greatest_size_is_shown(tmp_path: Path) -> None:
    """36 by 10 cells are shown, one more either way is not; a wide character counts two."""
    assert read_picture(draw(tmp_path, ("x" * 36 + "\n").encode() * 10), "x") == ("x" * 36,) * 10
    assert read_picture(draw(tmp_path, ("\u6728" * 18).encode()), "x") == ("\u6728" * 18,)
    for data in (
        b"x" * 37,
        b"x\n" * 11,
        ("\u6728" * 18 + "x").encode(),
        b"x" * 9000,
        b"\xff",
        b" \n \n",
        b"",
    ):
        file = draw(tmp_path, data)
        assert read_picture(file, "x") is None
        found = picture_problem(file, "x")
        assert found is not None
        assert found[0] == "F12"
        assert "at most 36 cells wide and 10 high" in found[2]


def test_a_missing_picture_says_where_it_belongs(tmp_path: Path) -> None:
    """A picture that is not there, or whose id is a path, gives the place where a drawing would lie."""
    for picture in ("no-such", "../x", "a/b", "x\0"):
        found = picture_problem(tmp_path / "small.yaml", picture)
        assert found is not None
        assert found[0] == "F11"
        assert read_picture(tmp_path / "small.yaml", picture) is None


def test_a_picture_may_lie_with_the_assets(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A drawing beside the procedure comes first, then one of the shipped assets."""
    assets = tmp_path / "assets"
    (assets / "pictures").mkdir(parents=True)
    (assets / "pictures" / "x.txt").write_text("far", encoding="utf-8")
    monkeypatch.setattr(places, "assets_dir", lambda: assets)
    assert read_picture(tmp_path / "small.yaml", "x") == ("far",)
    assert read_picture(draw(tmp_path, b"near"), "x") == ("near",)


def test_a_picture_may_be_drawn_for_a_language(tmp_path: Path) -> None:
    """The one of the language wanted comes first, of a country's the language's; else the one for all."""
    file = draw(tmp_path, b"for all")
    (tmp_path / "pictures" / "x.es.txt").write_text("en castellano", encoding="utf-8")
    for language in ("es", "es-MX"):
        assert read_picture(file, "x", language) == ("en castellano",)
    for language in ("en", "fr", "", "../es", "es.txt", "es/../es"):
        assert read_picture(file, "x", language) == ("for all",)
    assert read_picture(file, "x") == ("for all",)  # English is spoken
    (tmp_path / "pictures" / "x.es.txt").write_text("x" * 37, encoding="utf-8")
    assert picture_problem(file, "x") is None
    told = picture_problem(file, "x", "es")
    assert told is not None
    assert told[1] == "The picture `x.es` is 37 by 1 cells."


def test_a_drawing_of_one_of_the_files_languages_is_looked_at_too(tmp_path: Path) -> None:
    """`check` tells a drawing that does not fit, whichever language of the file it is for."""
    for kind in ("", ".es"):
        drawn = "too wide " * 9 if kind else "fits"
        path = tmp_path / "pictures" / f"frame-closed{kind}.txt"
        path.parent.mkdir(exist_ok=True)
        path.write_text(drawn, encoding="utf-8")
    file = tmp_path / "small.yaml"
    file.write_bytes((Path(__file__).parent / "small.yaml").read_bytes())
    told = [problem.message for problem in load(file).problems if problem.code == "F12"]
    assert [one.split("` ")[0] for one in told] == ["The picture `frame-closed.es"]


def test_a_picture_that_is_a_folder_cannot_be_read(tmp_path: Path) -> None:
    """A folder where a drawing should be gives a sentence with the system's reason."""
    (tmp_path / "pictures" / "x.txt").mkdir(parents=True)
    found = picture_problem(tmp_path / "small.yaml", "x")
    assert found is not None
    assert found[0] == "F12"
