"""The commands, as a person or a program calls them: output, messages, exit codes."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from trainer import places
from trainer.cli import main

PROCEDURES = places.procedures_dir()
WALKS = Path(__file__).resolve().parent / "walks"
BROKEN = "format: 1\nid: broken\ntitel: A slip\nrevision: 1\nsummary: One key misspelt.\n"


def said(*arguments: str, typed: str | None = None) -> Result:
    """Call `sinkside`; stdout and stderr apart."""
    return CliRunner().invoke(main, arguments, input=typed)


def test_the_version_and_the_help_name_the_program() -> None:
    """`--version` prints the name and a number; `--help` lists every command."""
    assert said("--version").output.startswith("sinkside 0.")
    help_page = said("--help").output
    assert all(command in help_page for command in ("run", "check", "walk", "record", "guide"))


def test_check_of_the_shipped_procedures_is_clean() -> None:
    """`check` on the folder of shipped procedures ends with 0 and says how many were looked at."""
    result = said("check", str(PROCEDURES))
    assert result.exit_code == 0
    assert f"o problems in {len(list(PROCEDURES.glob('*.yaml')))} files" in result.output


def test_check_takes_the_id_of_a_shipped_procedure() -> None:
    """An id is looked for among the shipped procedures."""
    assert said("check", "exposure-test").exit_code == 0


def test_check_shows_problems_at_their_line(tmp_path: Path) -> None:
    """A misspelt key is shown with file, line, column, a caret and the key that was meant; it ends with 1."""
    broken = tmp_path / "broken.yaml"
    broken.write_text(BROKEN, encoding="utf-8")
    result = said("check", str(broken))
    assert result.exit_code == 1
    assert f"{broken}:3:1" in result.stdout
    assert "^" in result.stdout
    assert "title" in result.stdout


def test_check_as_json_is_for_programs(tmp_path: Path) -> None:
    """`--json` gives one object for each file, with code, line and column of each problem."""
    broken = tmp_path / "broken.yaml"
    broken.write_text(BROKEN, encoding="utf-8")
    (checked,) = json.loads(said("check", "--json", str(broken)).stdout)
    places_of = {(problem["place"]["line"], problem["place"]["column"]) for problem in checked["problems"]}
    assert checked["file"] == str(broken)
    assert (3, 1) in places_of
    assert all(problem["code"] and problem["help"] for problem in checked["problems"])


def test_check_of_an_authors_folder_leaves_walks_out(tmp_path: Path) -> None:
    """Walks and the shop file lie beside a procedure: its folder is clean; named themselves they are told."""
    shutil.copy(PROCEDURES / "eye-splash.yaml", tmp_path)
    (tmp_path / "eye-splash-right.yaml").write_text("walk: 1\nprocedure: eye-splash\n", encoding="utf-8")
    (tmp_path / "shop.yaml").write_text("format: 1\nprocedures: {}\n", encoding="utf-8")
    result = said("check", str(tmp_path))
    assert result.exit_code == 0
    assert "\n2 files are walks or shop files and were left out" in result.stdout
    assert said("check", str(tmp_path / "eye-splash-right.yaml")).exit_code == 1
    (tmp_path / "eye-splash.yaml").unlink()
    result = said("check", str(tmp_path))
    assert result.exit_code == 2
    assert "holds no procedure" in result.stdout


def test_check_keeps_files_apart_and_names_a_problem_before_a_warning(tmp_path: Path) -> None:
    """An empty line stands between the problems of two files; the code to look up is that of a problem."""
    (tmp_path / "a.yaml").write_text(BROKEN.replace("broken", "a"), encoding="utf-8")
    (tmp_path / "b.yaml").write_text(BROKEN.replace("broken", "b"), encoding="utf-8")
    told = said("check", str(tmp_path)).stdout
    assert f"\n\n{tmp_path / 'b.yaml'}:1:1: problem" in told
    assert "sinkside check --explain S0" in told


def test_a_file_is_found_by_its_name_without_the_ending(tmp_path: Path) -> None:
    """Who leaves `.yaml` out is told the name."""
    shutil.copy(PROCEDURES / "eye-splash.yaml", tmp_path / "eyes.yaml")
    result = said("check", str(tmp_path / "eyes"))
    assert result.exit_code == 2
    assert f"Did you mean `{tmp_path / 'eyes.yaml'}`?" in result.stdout


@pytest.mark.parametrize("name", ["not-there.yaml", "."])
def test_check_ends_with_2_where_nothing_can_be_read(tmp_path: Path, name: str) -> None:
    """A missing file and a folder without procedures are said, and end with 2."""
    result = said("check", str(tmp_path / "empty" / name))
    assert result.exit_code == 2
    (tmp_path / "empty").mkdir(exist_ok=True)
    assert said("check", str(tmp_path / "empty")).exit_code == 2


def test_walk_goes_through_a_folder(tmp_path: Path) -> None:
    """Every walk in the folder passes, and the last line counts them; a rehearsal tells its plate as JSON."""
    for name in ("exposure-test-left", "exposure-test-rehearsal", "two-burns-stopped"):
        shutil.copy(WALKS / f"{name}.yaml", tmp_path)
    result = said("walk", str(tmp_path))
    assert result.exit_code == 0, result.output
    assert "3 walks" in result.output
    told = json.loads(said("walk", "--json", str(tmp_path)).output)
    assert ["plate" in walk for walk in told["walks"]] == [False, True, False]
    assert told["walks"][1]["plate"]["solid_step"] == 6.0


def test_walk_says_where_it_went_wrong(tmp_path: Path) -> None:
    """A walk that does not go as written ends with 1 and names its line."""
    walk = tmp_path / "wrong.yaml"
    walk.write_text(
        "walk: 1\nprocedure: exposure-test\nguidance: full\nacts:\n  - accept\n", encoding="utf-8"
    )
    result = said("walk", str(walk))
    assert result.exit_code == 1
    assert f"{walk}:5" in result.output


def test_walk_ends_with_2_where_there_is_none(tmp_path: Path) -> None:
    """A folder without walks is said, and ends with 2."""
    assert said("walk", str(tmp_path)).exit_code == 2


def test_every_page_of_the_guide_opens() -> None:
    """`guide` lists the pages, `guide TOPIC` shows each, and a page that is not there ends with 2."""
    index = said("guide").output
    for page in places.guide_dir().glob("*.md"):
        assert page.stem in index or page.stem == "index"
        assert said("guide", page.stem).output == page.read_text(encoding="utf-8")
    missing = said("guide", "nothing")
    assert (missing.exit_code, missing.stdout) == (2, "")
    assert "trainee" in missing.stderr


def test_a_person_is_kept_corrected_shown_and_erased(tmp_path: Path) -> None:
    """`record person` adds, names, shows, exports and erases."""
    at = ("record", "--record", str(tmp_path / "record.db"), "person")
    assert said(*at, "add", "T-01", "--name", "Somebody Invented").exit_code == 0
    assert said(*at, "add", "I-1", "--instructor", typed="481516\n").exit_code == 0
    assert "Somebody Invented" in said(*at, "show").stdout
    assert said(*at, "rename", "T-01", "Another Name").exit_code == 0
    assert json.loads(said(*at, "export", "T-01").stdout)["person"]["name"] == "Another Name"
    assert said(*at, "erase", "T-01", "--yes").exit_code == 0
    assert "Another Name" not in said(*at, "show").stdout


def test_a_pin_that_anybody_would_guess_is_refused(tmp_path: Path) -> None:
    """A trivial PIN is refused with a sentence, and nobody is added."""
    at = ("record", "--record", str(tmp_path / "record.db"), "person")
    result = said(*at, "add", "I-1", "--instructor", typed="123456\n")
    assert result.exit_code == 1
    assert result.stderr.startswith("sinkside: ")
    assert "I-1" not in said(*at, "show").stdout


def test_verify_and_rebuild_say_what_they_found(tmp_path: Path) -> None:
    """On a sound record `verify` ends with 0 and `rebuild` counts; without a record both end with 1."""
    record = str(tmp_path / "record.db")
    assert said("record", "--record", record, "verify").exit_code == 1
    said("record", "--record", record, "person", "add", "T-01")
    assert said("record", "--record", record, "verify").exit_code == 0
    assert "0 events" in said("record", "--record", record, "rebuild").stdout


@pytest.mark.parametrize("arguments", [(), ("run", "exposure-test", "--trainee", "T-01")])
def test_without_a_terminal_it_says_so(arguments: tuple[str, ...]) -> None:
    """With no terminal the app draws nothing, says so in one line, and ends with 2."""
    finished = subprocess.run(
        [sys.executable, "-m", "trainer.cli", *arguments],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )
    assert finished.returncode == 2
    assert finished.stdout == ""
    assert len(finished.stderr.splitlines()) == 1
    assert "terminal" in finished.stderr


def test_a_procedure_that_is_not_there_is_a_sentence(tmp_path: Path) -> None:
    """`run` of an unknown id ends with a sentence that names the known ones, and no traceback."""
    result = said(
        "run", "no-such-work", "--plain", "--trainee", "T-01", "--guidance", "full",
        "--record", str(tmp_path / "record.db"),
    )  # fmt: skip
    assert result.exit_code == 1
    assert "exposure-test" in result.stderr
    assert "Traceback" not in result.output


def test_a_text_on_the_command_line_is_text(tmp_path: Path) -> None:
    """An escape sequence in a code is refused as a code, and is not written to the terminal."""
    result = said(
        "run", "exposure-test", "--plain", "--trainee", "T\x1b[31m", "--guidance", "full",
        "--record", str(tmp_path / "record.db"),
    )  # fmt: skip
    assert result.exit_code == 1
    assert "\x1b" not in result.output
