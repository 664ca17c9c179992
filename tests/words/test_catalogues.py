"""The catalogues of the app's own words: up to date, whole, and fit for the values put into them."""

from __future__ import annotations

import ast
import io
from pathlib import Path
from string import Formatter

import pytest
from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract_from_dir
from babel.messages.mofile import read_mo, write_mo
from babel.messages.pofile import read_po

from trainer import places, tongue

ROOM = Path(places.__file__).resolve().parent
KEYWORDS = {"spoken": None, "marked": None, "counted": (1, 2)}
LANGUAGES = sorted(folder.name for folder in places.words_dir().iterdir() if folder.is_dir())
Id = str | tuple[str, ...]


def catalogue(language: str) -> Catalog:
    """The catalogue of a language, as translators see it."""
    with (places.words_dir() / language / "LC_MESSAGES" / "sinkside.po").open("rb") as file:
        return read_po(file, locale=language)


def messages(language: str) -> list[Message]:
    """What is translated; not the head of the file."""
    return [message for message in catalogue(language) if message.id]


def key(found: object) -> Id:
    """A message's id, one text or its two forms."""
    return found if isinstance(found, str) else tuple(found)  # type: ignore[arg-type] # Babel's ids are lists


def extracted() -> set[Id]:
    """What Babel, the tool that translators use, finds in the code."""
    return {key(found) for _, _, found, _, _ in extract_from_dir(ROOM, keywords=KEYWORDS)}


def called() -> tuple[set[Id], list[str]]:
    """What Python's own parser finds in these calls, inside f-strings too; and texts put together there."""
    found: set[Id] = set()
    together: list[str] = []
    for file in ROOM.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name):
                continue
            if node.func.id not in KEYWORDS:
                continue
            texts = node.args[: 2 if node.func.id == "counted" else 1]
            together += [f"{file.name}:{text.lineno}" for text in texts if isinstance(text, ast.JoinedStr)]
            words = [text.value for text in texts if isinstance(text, ast.Constant)]
            if words and words != [""]:
                found.add(str(words[0]) if len(words) == 1 else tuple(map(str, words)))
    return found, together


def forms(message: Message) -> list[str]:
    """The translation, in each of its forms."""
    said = message.string or ""
    return [said] if isinstance(said, str) else list(said)


def fields(text: str) -> set[str]:
    """The names of the places for values in a text."""
    return {name for _, name, _, _ in Formatter().parse(text) if name is not None}


def test_the_two_languages_of_the_app() -> None:
    """Every language with a name for itself has a catalogue, but English, which stands in the code."""
    assert [*LANGUAGES, "en"] == sorted(tongue.NAMES, key=lambda code: code == "en")


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_catalogue_is_up_to_date(language: str) -> None:
    """Extraction finds what the catalogue has and nothing else; no text is put together inside a call."""
    known = {key(message.id) for message in messages(language)}
    found, together = called()
    assert together == []
    assert extracted() == found
    assert known == found


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_word_is_translated(language: str) -> None:
    """Nothing is empty, marked as a guess, or in fewer forms than the language counts with."""
    for message in messages(language):
        said = forms(message)
        assert all(said), message.id
        assert not message.fuzzy, message.id
        if message.pluralizable:
            assert len(said) == catalogue(language).num_plurals, message.id


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_place_for_a_value_survives(language: str) -> None:
    """A translation has the places of its English and no other, and the blanks at its ends."""
    for message in messages(language):
        english = message.id if isinstance(message.id, str) else message.id[-1]
        for number, said in enumerate(forms(message), 1):
            if number == len(forms(message)):
                assert fields(said) == fields(english), said
            assert fields(said) <= fields(english), said
            assert (said[:1] == " ", said[-1:] == " ") == (english[:1] == " ", english[-1:] == " "), said


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_ships_is_what_translators_wrote(language: str) -> None:
    """The compiled catalogue says what the text catalogue says."""
    with (places.words_dir() / language / "LC_MESSAGES" / "sinkside.mo").open("rb") as file:
        shipped = {key(message.id): forms(message) for message in read_mo(file) if message.id}
    assert shipped == {key(message.id): forms(message) for message in messages(language)}


def test_english_reads_no_catalogue(monkeypatch: pytest.MonkeyPatch) -> None:
    """In English no file of words is opened."""
    monkeypatch.setattr(places, "words_dir", lambda: pytest.fail("a catalogue was looked for"))
    monkeypatch.setattr(tongue, "_catalogues", {})
    monkeypatch.setattr(tongue, "_spoken", "en")
    assert tongue.spoken("plate {number}", number=2) == "plate 2"
    assert tongue.counted("{number} plate", "{number} plates", 1) == "1 plate"


@pytest.mark.parametrize(
    ("language", "said"),
    [("es", "plancha 2"), ("es-MX", "plancha 2"), ("de", "plate 2"), ("../es", "plate 2"), ("", "plate 2")],
)
def test_a_language_is_spoken_or_english_is(
    monkeypatch: pytest.MonkeyPatch, language: str, said: str
) -> None:
    """A known language, with its country or without, speaks; any other code leaves English."""
    monkeypatch.setattr(tongue, "_spoken", language)
    assert tongue.spoken("plate {number}", number=2) == said


def test_plurals_are_those_of_the_language(monkeypatch: pytest.MonkeyPatch) -> None:
    """Spanish counts one apart from none and two. Source: Unicode CLDR, plural rules of `es`, from memory."""
    monkeypatch.setattr(tongue, "_spoken", "es")
    said = [tongue.counted("{number} plate", "{number} plates", number) for number in (0, 1, 2)]
    assert said == ["0 planchas", "1 plancha", "2 planchas"]


def test_a_damaged_catalogue_leaves_english(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Neither a catalogue that is missing or no catalogue, nor one with a wrong place, ends the program."""
    monkeypatch.setattr(places, "words_dir", lambda: tmp_path)
    monkeypatch.setattr(tongue, "_spoken", "es")
    folder = tmp_path / "es" / "LC_MESSAGES"
    folder.mkdir(parents=True)
    wrong = Catalog(locale="es")
    wrong.add("plate {number}", "plancha {numero}")
    made = io.BytesIO()
    write_mo(made, wrong)
    for damage in (None, b"", b"no catalogue", made.getvalue()[:40], made.getvalue()):
        if damage is not None:
            (folder / "sinkside.mo").write_bytes(damage)
        monkeypatch.setattr(tongue, "_catalogues", {})
        assert tongue.spoken("plate {number}", number=2) == "plate 2"
