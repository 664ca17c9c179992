"""The JSON Schema for editors, held to a general validator, to the files that ship and to every broken one.

The schema's own rules: JSON Schema draft 2020-12, by the metaschemas that the `jsonschema` library carries.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from broken_formulas import FORMULAS
from broken_shapes import KEYS, PARTS, TYPES, WARNINGS, WORDS, Change
from broken_yaml import marked
from click.testing import CliRunner
from code_examples import whole
from jsonschema import Draft202012Validator

from trainer import places
from trainer.cli import main
from trainer.procedure import levels
from trainer.procedure.explain import pages
from trainer.procedure.load import load_bytes
from trainer.procedure.parts import fields_of
from trainer.procedure.reader import read_tree
from trainer.procedure.schema import example, schema
from trainer.procedure.units import KNOWN, known

HERE = Path(__file__).resolve().parent
SMALL = (HERE / "small.yaml").read_text(encoding="utf-8")
SCHEMA = schema()
VALIDATOR = Draft202012Validator(SCHEMA)
PROCEDURES = places.procedures_dir()
SHIPPED = sorted(PROCEDURES.glob("*.yaml"))
FILE = places.assets_dir() / "procedure.schema.json"
MODELINE = "# yaml-language-server: $schema=../assets/procedure.schema.json"

UNSEEN = {
    "answers-alike": "two values are compared",
    "format-decimal": "JSON has one kind of number: 1.0 is 1",
    "decimal-revision": "as above",
    "right-implausible": "limits of another key",
    "value-outside": "limits of another key",
    "limits-turned": "order of two numbers",
    "limits-the-same": "order of two numbers",
    "wait-backwards": "order of two times",
    "choice-of-no-answer": "keys of another part",
    "choices-unknown": "keys of another part",
    "order-too-short": "keys of another part",
    "judge-of-no-answer": "keys of another part",
    "id-not-the-file": "the name of the file",
    "step-twice": "ids of other steps",
    "stage-twice": "ids of other stages",
    "wait-for-nothing": "what a number in a text says",
    "days-below-zero": "what a number in a text says",
}
"""Broken shapes that a schema cannot see, and what it would have to know."""
SHAPES = (*KEYS, *TYPES, *WORDS, *PARTS)


def value(source: bytes) -> object:
    """What stands in a file, by the strict reader."""
    return read_tree(source, "x").value


@cache
def refuses(source: bytes) -> bool:
    """Does the schema refuse the file?"""
    return not VALIDATOR.is_valid(value(source))


def changed(change: Change) -> bytes:
    """small.yaml with a change."""
    return marked(SMALL.replace(change.old, change.new))[0]


def parts() -> Iterator[tuple[str, dict[str, object]]]:
    """Every group of keys of the schema, by its record's name."""
    yield "Procedure", SCHEMA
    yield from ((name, part) for name, part in SCHEMA["$defs"].items() if "properties" in part)


def test_the_schema_is_sound_by_its_metaschema() -> None:
    """It is a schema of draft 2020-12, by the rules of that draft itself."""
    Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == Draft202012Validator.META_SCHEMA["$id"]


def test_every_key_of_the_format_is_in_it_and_no_other() -> None:
    """Each part of a file has exactly the keys of its record, and the same ones must be there."""
    by_name = dict(parts())
    for level in levels.LEVELS.values():
        part, fields = by_name[level.part.__name__], fields_of(level.part)
        assert part["properties"].keys() == fields.keys()  # type: ignore[attr-defined]
        assert part["required"] == [name for name, field in fields.items() if field.key.required]
        assert part["additionalProperties"] is False
    assert {level.part.__name__ for level in levels.LEVELS.values()} == by_name.keys()


def test_every_key_says_what_it_is_for_and_how_it_is_written() -> None:
    """Each key has a title, a description and an example that it would take itself."""
    for name, part in parts():
        for key, told in part["properties"].items():  # type: ignore[attr-defined]
            assert told["title"], (name, key)
            assert told["description"].endswith("."), (name, key)
            resolved = {**told, "$defs": SCHEMA["$defs"]}
            for one in told["examples"]:
                assert list(Draft202012Validator(resolved).iter_errors(one)) == [], (name, key, one)


def test_every_example_is_one_that_the_check_takes_too() -> None:
    """The example of each part's key is what messages show: nothing of it is empty."""
    for level in levels.LEVELS.values():
        for written in fields_of(level.part):
            assert example(level.part, written) not in (None, "...", [], {}), (level.called, written)


@pytest.mark.parametrize("file", [*SHIPPED, HERE / "small.yaml"], ids=lambda file: file.name)
def test_it_takes_every_file_that_ships(file: Path) -> None:
    """A general validator finds nothing in a shipped file."""
    assert [error.message for error in VALIDATOR.iter_errors(value(file.read_bytes()))] == []


@pytest.mark.long
def test_what_the_schema_refuses_the_check_refuses() -> None:
    """Of every broken file: refused by the schema is refused by the check."""
    for change in (*SHAPES, *WARNINGS, *FORMULAS):
        source = changed(change)
        if refuses(source):
            assert load_bytes(source, "small.yaml").plan is None, change.name


def test_a_broken_shape_is_refused_by_the_schema() -> None:
    """Where the shape alone tells, the schema refuses; the others are listed, each with the reason."""
    taken = {change.name for change in SHAPES if not refuses(changed(change))}
    assert taken == UNSEEN.keys()


def test_the_examples_of_the_codes_hold_too() -> None:
    """An example of a page that is mended is taken; one that the schema refuses gives a problem of shape."""
    for page in pages(places.guide_dir() / "codes").values():
        for number, one in enumerate(page.examples):
            if one.kind != "yaml" or one.text.startswith("walk:") or "procedures:" in one.text:
                continue
            tree = read_tree(whole(one.text).encode(), "x")
            if tree.complete and not VALIDATOR.is_valid(tree.value):
                assert number == 0
                assert page.code[0] in "YS" or page.code in {"G21", "G22"}, page.code


def test_units_are_those_of_the_table() -> None:
    """The units of the schema are exactly those that the reader knows."""
    assert SCHEMA["$defs"]["Unit"]["enum"] == list(KNOWN)
    assert all(known(unit) for unit in KNOWN)


def test_patterns_are_plain_enough_for_every_editor() -> None:
    """Patterns use only what the regular expressions of ECMA-262 and of Python have in common."""
    found = re.findall(r'"pattern": ("(?:[^"\\]|\\.)*")', json.dumps(SCHEMA))
    assert len(found) > 20
    for pattern in map(json.loads, found):
        re.compile(pattern)
        assert re.search(r"\\[AZzdw]|\(\?P|\(\?[aiLmsux]", pattern) is None, pattern


def test_the_command_prints_what_ships() -> None:
    """`sinkside schema` prints the file in the assets, to the byte."""
    result = CliRunner().invoke(main, ["schema"])
    assert result.exit_code == 0
    assert result.stdout == FILE.read_text(encoding="utf-8")
    assert json.loads(result.stdout) == SCHEMA


@pytest.mark.parametrize("file", SHIPPED, ids=lambda file: file.name)
def test_every_shipped_file_names_its_schema(file: Path) -> None:
    """The first line tells editors where the schema lies, and there it lies."""
    assert file.read_text(encoding="utf-8").split("\n", 1)[0] == MODELINE
    assert (file.parent / MODELINE.partition("=")[2]).resolve() == FILE.resolve()
