"""SARIF output against the standard's own schema, over every broken file of the tables.

Source of the schema: see schemas/README.md.
"""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from broken_formulas import FORMULAS
from broken_shapes import KEYS, PARTS, TYPES, WARNINGS, WORDS, Change
from broken_yaml import RAW, YAML, marked
from click.testing import CliRunner, Result
from jsonschema import Draft4Validator

from trainer import places
from trainer.cli import main
from trainer.procedure.checking import Checked
from trainer.procedure.load import Loaded, load_bytes
from trainer.procedure.sarif import uri

HERE = Path(__file__).resolve().parent
SMALL = (HERE / "small.yaml").read_text(encoding="utf-8")
CHANGES = (*KEYS, *TYPES, *WORDS, *PARTS, *WARNINGS, *FORMULAS)
SCHEMA = json.loads((HERE / "schemas" / "sarif-2.1.0-rtm.5.json").read_text(encoding="utf-8"))
VALIDATOR = Draft4Validator(SCHEMA, format_checker=Draft4Validator.FORMAT_CHECKER)
CODES = places.guide_dir() / "codes"


def said(*argv: str, typed: bytes = b"") -> Result:
    """Call `sinkside check`."""
    return CliRunner().invoke(main, ["check", *argv], input=typed)


def changed(change: Change, folder: str = ".") -> Loaded:
    """small.yaml with a change, in a folder of its own."""
    return load_bytes(marked(SMALL.replace(change.old, change.new))[0], f"{folder}/small.yaml")


def broken() -> tuple[Loaded, ...]:
    """Every broken file of the tables, each under a name of its own."""
    sources = [row.source for row in RAW if len(row.source) < 50_000]
    sources += [marked(row.text)[0] for row in YAML]
    files = [load_bytes(source, f"dir/b {number}.yaml") for number, source in enumerate(sources)]
    return (*files, *(changed(change, change.name) for change in CHANGES))


def wrong(log: str) -> list[str]:
    """What the standard's schema says against a log."""
    return [f"{error.json_path}: {error.message}" for error in VALIDATOR.iter_errors(json.loads(log))]


def test_the_schema_is_that_of_the_standard() -> None:
    """The schema is sound by the rules of its own language, and it is that of SARIF 2.1.0."""
    Draft4Validator.check_schema(SCHEMA)
    assert SCHEMA["properties"]["version"]["enum"] == ["2.1.0"]
    assert wrong('{"version": "2.1.0"}') == ["$: 'runs' is a required property"]


def test_every_broken_file_gives_a_log_that_the_standard_takes() -> None:
    """One log of all broken files holds to the schema and has each problem at its place."""
    files = broken()
    log = Checked(files).as_sarif(CODES, "1.2.3")
    assert wrong(log) == []
    (run,) = json.loads(log)["runs"]
    told = [
        (result["ruleId"], result["locations"][0]["physicalLocation"]["artifactLocation"]["index"])
        for result in run["results"]
    ]
    assert told == [(one.code, number) for number, file in enumerate(files) for one in file.problems]
    rules = [rule["id"] for rule in run["tool"]["driver"]["rules"]]
    assert all(rules[result["ruleIndex"]] == result["ruleId"] for result in run["results"])
    first = next(result for result in run["results"] if result["ruleId"] == "Y12")
    assert first["relatedLocations"][0]["message"]["text"] == "first written here"


def test_what_can_be_mended_is_in_the_log() -> None:
    """A slip with one answer carries it as a fix of its very characters."""
    change = next(row for row in TYPES if row.name == "yes-for-true")
    file = changed(change)
    (result,) = json.loads(Checked((file,)).as_sarif(CODES, "1"))["runs"][0]["results"]
    (replacement,) = result["fixes"][0]["artifactChanges"][0]["replacements"]
    region = replacement["deletedRegion"]
    row = file.source_text.split("\n")[region["startLine"] - 1]
    assert row[region["startColumn"] - 1 : region["endColumn"] - 1] == "yes"
    assert replacement["insertedContent"]["text"] == "true"


def test_the_command_gives_a_log(tmp_path: Path) -> None:
    """`check --format sarif` gives a log for several files and folders, with the exit code in it."""
    (tmp_path / "small.yaml").write_text(SMALL.replace("revision: 2", 'revision: "2"'), encoding="utf-8")
    missing = str(tmp_path / "no such.yaml")
    result = said("--format", "sarif", str(tmp_path), "exposure-test", missing)
    assert result.exit_code == 2
    assert wrong(result.stdout) == []
    (run,) = json.loads(result.stdout)["runs"]
    assert run["invocations"] == [{"executionSuccessful": False, "exitCode": 2}]
    assert {one["ruleId"] for one in run["results"]} == {"S05", "F01"}
    gone = next(one for one in run["results"] if one["ruleId"] == "F01")
    assert "region" not in gone["locations"][0]["physicalLocation"]
    clean = said("--format", "sarif", "exposure-test")
    assert (clean.exit_code, wrong(clean.stdout)) == (0, [])


@pytest.mark.parametrize(
    ("file", "wanted"),
    [
        ("a.yaml", "a.yaml"),
        ("dir/\u00fc b#?%.yaml", "dir/%C3%BC%20b%23%3F%25.yaml"),
        ("/shop/a.yaml", "file:///shop/a.yaml"),
        (os.fsdecode(b"\xff.yaml"), "%FF.yaml"),
    ],
)
def test_names_of_files_become_uris(file: str, wanted: str) -> None:
    """Whatever a file is called, its URI has only characters that a URI may have (RFC 3986)."""
    assert uri(file) == wanted


def test_a_file_comes_through_a_pipe() -> None:
    """`check - --as FILE` checks what an editor has not saved yet under the name of the file."""
    source = SMALL.replace("revision: 2", "revision: 0").encode()
    result = said("-", "--as", str(HERE / "small.yaml"), typed=source)
    assert result.exit_code == 1
    assert f"{HERE / 'small.yaml'}:5:11: problem S11" in result.stdout
    assert "F11" not in result.stdout
    assert said("-", "--as", str(HERE / "small.yaml"), typed=SMALL.encode()).exit_code == 0
    assert said("-", typed=b"").exit_code == 2


@pytest.mark.parametrize(
    "argv",
    [
        (),
        ("-", "exposure-test"),
        ("-", "--fix"),
        ("exposure-test", "--as", "x.yaml"),
        ("--format", "xml", "-"),
    ],
)
def test_calls_that_mean_nothing_are_told(argv: tuple[str, ...]) -> None:
    """Without a file, with options that do not go together or of no such form: a sentence, and 2."""
    result = said(*argv)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert "Error: " in result.stderr


def test_a_file_that_is_named_twice_is_checked_once() -> None:
    """By its folder and by itself, a file is one file."""
    folder = places.procedures_dir()
    assert said(str(folder), str(folder / "exposure-test.yaml")).stdout == said(str(folder)).stdout
