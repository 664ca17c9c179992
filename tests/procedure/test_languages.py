"""Which texts are missing in which language, and what is shown instead. Common practice, no source."""

from __future__ import annotations

import pytest

from trainer.procedure.heads import read_keys
from trainer.procedure.load import load_bytes
from trainer.procedure.text import _TABLE, clean, in_language

HEAD = """format: 1
id: x
title: {es: Vacío, en: Vacuum}
revision: 1
summary: %s
stages:
  - id: vacuum
    title: {es: Vacío, en: Vacuum}
    steps:
      - {id: start, do: %s}
      - id: end-it
        do: %s
"""
BOTH = "{es: Para., en: Stop.}"


def problems(*texts: str) -> list[tuple[str, int, str]]:
    """Code, line and sentence of the problems of a file with these texts."""
    loaded = load_bytes((HEAD % texts).encode(), "x.yaml")
    assert loaded.plan is not None
    return [(one.code, one.place.line, f"{one.message} {one.help}") for one in loaded.problems]


def test_a_file_with_all_its_languages_has_no_problem() -> None:
    """Where every text is in every language, nothing is said; nor where none has a code."""
    assert problems(BOTH, BOTH, BOTH) == []
    plain = (HEAD % ("a", "b", "c")).replace("{es: Vacío, en: Vacuum}", "Vacuum")
    assert load_bytes(plain.encode(), "x.yaml").problems == ()


def test_one_warning_for_each_language_that_is_missing() -> None:
    """Each language gets one warning, at its first missing text, with how many and on which lines."""
    said = problems("Para.", "{es: Para.}", BOTH)
    assert [one[:2] for one in said] == [("S34", 5)]
    assert "`en` is missing in 2 of 5 texts; where it is wanted, `es` is shown." in said[0][2]
    assert "Lines: 5, 10." in said[0][2]
    both = problems(BOTH, "{en: Stop.}", "{es: Para., de: Halt.}")
    assert [(code, line) for code, line, _ in both] == [("S34", 3), ("S34", 10), ("S34", 12)]
    assert [said[:4] for _, _, said in both] == ["`de`", "`es`", "`en`"]


@pytest.mark.parametrize(
    ("asked", "shown"),
    [("es", "Vacío"), ("en", "Vacuum"), ("es-MX", "Vacío"), ("de", "Vacío"), ("", "Vacío")],
)
def test_what_is_shown_where_a_language_is_missing(asked: str, shown: str) -> None:
    """The language asked for, without its country where need be, else the one that stands first."""
    assert in_language({"es": "Vacío", "en": "Vacuum"}, asked) == shown


def test_a_few_keys_are_read_without_the_rest() -> None:
    """Keys of a file are read as far as they are there; what comes after them may be broken."""
    source = (HEAD % ("x", "y", "z")).encode()
    wanted = frozenset({"title", "revision"})
    broken = source[: source.index(b"summary")] + b"summary: {]"
    for file in (source, broken):
        assert read_keys(file, wanted)["title"] == {"es": "Vacío", "en": "Vacuum"}
        assert read_keys(file, wanted)["revision"] == 1
    assert read_keys(b"", wanted) == read_keys(b"- list", wanted) == read_keys(b"\xff\x00", wanted) == {}


def test_cleaning_looks_at_every_character() -> None:
    """The short way through a text that needs no cleaning lets no character pass that is to be replaced."""
    passed = [chr(code) for code in _TABLE if chr(code).isprintable() or chr(code) == "\n"]
    assert [one for one in passed if clean(f"a{one}") != f"a{one}".translate(_TABLE)] == []
    assert clean("a\tb\u200b\x1b") == "a    b\ufffd\u241b"
