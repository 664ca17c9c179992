"""The pages of codes hold to the code: each example gives its code, mended it is clean, none is missing.

No source: the codes are our own.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from broken_shapes import WARNINGS
from click.testing import CliRunner
from code_examples import MADE, SOURCES, Found, checked, found_in, written

from trainer import places
from trainer.cli import main
from trainer.procedure.codes import all_codes
from trainer.procedure.explain import explained, pages
from trainer.rehearsal import walk_spot

FOLDER = places.guide_dir() / "codes"
PAGES = pages(FOLDER)
SEVERITIES = {
    "problem": {"error"},
    "warning": {"warning"},
    "problem or warning": {"error", "warning"},
}
CHECKED = re.compile(r"(?<![\w/])[FYSCGW]\d\d(?!\w)")


def told(code: str, which: int, folder: Path, patch: pytest.MonkeyPatch) -> Found:
    """What is told of the example of a page (0), or of the mended one (1)."""
    if code in MADE:
        return MADE[code][which](folder, patch)
    if code in SOURCES:
        return checked(written(folder, SOURCES[code][which]))
    return found_in(PAGES[code].examples[which].text, folder)


def test_every_code_has_a_page_and_every_page_a_code() -> None:
    """The pages are exactly the codes of files, formulas, ways and walks, with the same words of meaning."""
    assert {code: page.meaning for code, page in PAGES.items()} == {**all_codes(), **walk_spot.CODES}


def test_the_program_tells_no_code_without_a_page() -> None:
    """Every code that stands in quotes in the program's sources has a page."""
    room = Path(places.__file__).parent
    sources = [file.read_text(encoding="utf-8") for file in room.rglob("*.py") if file.name != "calc_sums.py"]
    named = set(re.findall(r'"([FYSCGW]\d\d)"', "".join(sources)))
    assert named == PAGES.keys()


@pytest.mark.parametrize("code", PAGES)
@pytest.mark.sweep(quick=40)
def test_the_example_gives_its_code_and_mended_it_is_clean(
    code: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first example of a page gives this code and no other, with its severity; the second no problem."""
    page = PAGES[code]
    first, second = page.examples
    assert (first.kind == "text") == (second.kind == "text") == (code in {*MADE, *SOURCES})
    (tmp_path / "first").mkdir()
    (tmp_path / "second").mkdir()
    found = told(code, 0, tmp_path / "first", monkeypatch)
    also = {"G07": {"G08"}, "G24": {"G01"}}.get(code, set())  # no end is a loop; too much is much of one
    assert {one for one, _ in found} - also == {code}
    assert {severity for one, severity in found if one == code} <= SEVERITIES[page.severity]
    assert told(code, 1, tmp_path / "second", monkeypatch) == []


def test_warnings_are_pages_of_warnings() -> None:
    """What the table of warnings has is a warning on its page."""
    assert {PAGES[row.code].severity for row in WARNINGS} == {"warning"}


def test_a_page_names_only_codes_that_there_are() -> None:
    """A page that sends its reader to another one names one that is there."""
    named = {code for page in PAGES.values() for code in CHECKED.findall(page.body)}
    assert named <= PAGES.keys()


def test_a_page_reads_well_in_a_terminal() -> None:
    """A page has words before its example, and no mark of how it is kept; small letters find it too."""
    assert explained("s06", FOLDER) == PAGES["S06"]
    for code, shown in PAGES.items():
        text = shown.as_text()
        assert text.startswith(f"{code} ({shown.severity})  {shown.meaning}")
        assert 40 < len(shown.words) < 500, code
        assert "```" not in text, code
        assert "\n\n\n" not in text, code


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        ("S99", "There is no code `S99`. Near to it are `S36` or `S35`."),
        ("G00", "There is no code `G00`. Near to it are `G01` or `G02`."),
        ("S1", "There is no code `S1`. Near to it are `S01` or `S02`."),
        ("nonsense", "A code is a letter (F, Y, S, C, G or W) and two digits, as `S01`."),
        ("", "A code is a letter"),
    ],
)
def test_a_code_that_is_none_leads_to_the_nearest(said: str, wanted: str) -> None:
    """The sentence names the nearest codes, or says what a code looks like."""
    with pytest.raises(LookupError) as caught:
        explained(said, FOLDER)
    assert wanted in str(caught.value)


def test_check_explains_a_code() -> None:
    """`check --explain` prints the page, or the codes of a letter; of no code, it says so and ends with 2."""
    result = CliRunner().invoke(main, ["check", "--explain", "s06"])
    assert result.exit_code == 0
    assert result.stdout == PAGES["S06"].as_text() + "\n"
    every = CliRunner().invoke(main, ["check", "--explain", "g"]).stdout.splitlines()
    assert [line.split()[0] for line in every] == [code for code in PAGES if code[0] == "G"]
    assert "G18 (problem or warning)  A window whose least is over its most." in every
    wrong = CliRunner().invoke(main, ["check", "--explain", "S99"])
    assert wrong.exit_code == 2
    assert wrong.stdout == ""
    assert "Near to it are" in wrong.stderr
