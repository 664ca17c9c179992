"""A page for every trainee at once: each has nobody else in it, and no code becomes a path."""

from __future__ import annotations

import re
import stat
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from hypothesis import given
from hypothesis import strategies as st
from report_pages import read
from tamper_kit import whole_record

from trainer.cli import main
from trainer.insight.report.every import INDEX, file_names

RUN_OF = {"T-01": "r1", "T-02": "r2", "T-03": "r3"}


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record of three runs, by T-01, T-02 and T-03."""
    return whole_record(tmp_path_factory.mktemp("whole"))


def report(record: Path, *more: str) -> Result:
    """What the command says."""
    return CliRunner().invoke(main, ["report", "--record", str(record), *more])


def test_every_page_has_its_own_trainee_alone(whole: Path, tmp_path: Path) -> None:
    """A file each, this account's alone; no other code and no other run is in a page's bytes, no way back.

    Whatever else is asked of one page holds: it is the page that `--trainee` writes.
    """
    folder = tmp_path / "pages"
    done = report(whole, "--all", "--out", str(folder), "--paper", "letter")
    assert done.exit_code == 0, done.stderr
    assert done.stderr.endswith(f"{folder}, pages for 3 trainees, and index.html\n")
    assert {one.name for one in folder.iterdir()} == {INDEX, *(f"{code}.html" for code in RUN_OF)}
    for code, run in RUN_OF.items():
        file = folder / f"{code}.html"
        page = file.read_text("utf-8")
        assert stat.S_IMODE(file.stat().st_mode) == 0o600
        assert set(re.findall(r"\bT-\d\d\b", page)) == {code}
        assert set(re.findall(r"\br[0-3]\b", page)) <= {run}
        assert INDEX not in page
        assert "size: letter" in page
        alone = report(whole, "--trainee", code, "--paper", "letter").stdout
        made = re.compile(r"Made on [^.]*\.|, \d\d? \w+ \d{4}, \d\d:\d\d")
        assert made.sub("", page) == made.sub("", alone)


def test_the_list_leads_to_every_page(whole: Path, tmp_path: Path) -> None:
    """Each trainee in a row that leads to the page, with how much; and it says whom it is for."""
    folder = tmp_path / "pages"
    report(whole, "--all", "--out", str(folder))
    page = (folder / INDEX).read_text("utf-8")
    assert set(re.findall(r'href="([^"#]+)"', page)) == {f"{code}.html" for code in RUN_OF}
    said = read(page).first("pages").said
    assert "This list names everybody" in said
    assert all(code in said for code in RUN_OF)


def test_what_is_asked_for_narrows_the_pages(whole: Path, tmp_path: Path) -> None:
    """Of days on which nobody worked there is no page, no list and no folder."""
    folder = tmp_path / "pages"
    done = report(whole, "--all", "--until", "1999-12-31", "--out", str(folder))
    assert done.exit_code == 2
    assert "nobody to write a page for" in done.stderr
    assert not folder.exists()


def test_files_that_are_there_stay(whole: Path, tmp_path: Path) -> None:
    """One of the names is taken: a sentence, and nothing is written beside it."""
    folder = tmp_path / "pages"
    folder.mkdir()
    (folder / "T-02.html").write_text("mine")
    done = report(whole, "--all", "--out", str(folder))
    assert done.exit_code == 2
    assert "is there already" in done.stderr
    assert "--force" not in done.stderr
    assert [one.name for one in folder.iterdir()] == ["T-02.html"]
    assert (folder / "T-02.html").read_text() == "mine"


@pytest.mark.parametrize("argv", [("--all",), ("--all", "--trainee", "T-01", "--out", "x")])
def test_a_folder_has_to_be_named(whole: Path, argv: tuple[str, ...]) -> None:
    """Without one, or with one trainee, nobody knows what is meant."""
    done = report(whole, *argv)
    assert done.exit_code == 2
    assert "--all --out FOLDER" in done.stderr


CODES = st.text(max_size=30) | st.sampled_from(
    [
        "../../etc/passwd",
        "index",
        "CON",
        "con ",
        "T-03 (North)",
        "T-03 (South)",
        "t-03 (north)",
        "Ж-01",
        "",
        "..",
    ]
)


@given(st.sets(CODES, max_size=12))
def test_no_code_becomes_a_path(codes: set[str]) -> None:
    """Letters, digits and hyphens, beginning with a letter, no two alike in any case, none taken."""
    names = file_names(sorted(codes))
    assert set(names) == codes
    assert len({name.casefold() for name in names.values()}) == len(codes)
    for name in names.values():
        assert re.fullmatch(r"[A-Za-z][A-Za-z0-9-]{0,60}\.html", name)
        assert name.casefold().removesuffix(".html") not in {"index", "con", "nul", "com1", "lpt9"}
