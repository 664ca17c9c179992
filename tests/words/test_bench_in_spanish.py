"""The bench in Spanish: what is typed at it, what it has said, what is found on its plates."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from bench_kit import AtBench
from test_catalogues import forms, messages
from test_plain_rehearsal import typed

from trainer import tongue
from trainer.bench import sign_words
from trainer.bench.faults import CATALOGUE, CLASSES
from trainer.bench.measures import Line
from trainer.procedure.vocabulary import CONTROLS
from trainer.rehearsal import artworks, measure_words, retold
from trainer.run.fakes import FakeClock
from trainer.screens import bench_typed
from trainer.screens.station import Station
from trainer.tongue import spoken

FIGURES = re.compile(r"\d+(?:\.\d+)?")


@pytest.fixture(autouse=True)
def spanish() -> Iterator[None]:
    """Spanish for one test, English after it."""
    tongue.speak("es")
    yield
    tongue.speak("en")


def test_controls_are_set_in_the_words_that_are_shown(tmp_path: Path) -> None:
    """Spanish as shown, without its accents, or English: all of it is taken; what is not gets the words."""
    here = Station.open(record=tmp_path / "record.db", shop=tmp_path / "shop.yaml", clock=FakeClock())
    tongue.speak("es")
    at = AtBench.begin().right_until("film-in-frame")
    said = typed(
        at,
        here,
        *("película imagen", "Lado de pelicula = emulsion arriba", "pernos de película asentada"),
        *(
            "pump on",
            "unidades 12,5 unidades",
            "vidrio ancho",
            "esperar 2",
            "soltar",
            "rapidez 99",
            "unidades 900",
        ),
    )
    kept = [(body.control, body.value) for body in at.bodies if body.kind == "bench_set"]  # type: ignore[attr-defined] # of that kind
    assert kept[-5:] == [
        ("film", "image"),
        ("film_side", "emulsion-up"),
        ("film_pins", "seated"),
        ("pump", "on"),
        ("units", 12.5),
    ]
    assert "! Vidrio admite: abierto, cerrado, bloqueado. Escribe por ejemplo: vidrio bloqueado" in said
    assert "! El tiempo puede ir de 0.1 a 60 veces más rápido." in said
    assert "! Unidades se puede poner de 0 a 500 unidades." in said


def test_no_two_words_of_the_bench_are_typed_alike() -> None:
    """Names, positions and commands differ without accents too, in Spanish and from all English ones."""
    bench = AtBench.begin().rehearsal.bench()
    every = (*bench.controls, *bench.others)
    assert {control.name for control in every} == set(CONTROLS)
    for control in every:
        for name in (control.label, control.name):
            found = bench_typed.control_of(f"{name} x", bench)
            assert found is not None, name
            assert found[0].name == control.name, name
            assert bench_typed.command_of(name) == ("", ""), name
        for option in control.options:
            for said in (option.label, option.key):
                assert bench_typed.position(control, said) == option.key, said


def test_what_a_record_says_in_english_is_told_in_spanish() -> None:
    """Signs with their amounts, acts, and what a measure is held against; what is not known stays."""
    for english in (*sign_words.SEEN.values(), sign_words.EVEN):
        seen = english.format(steps="1.5", distance="0.7", count="3", length="12")
        told = retold.sign(seen)
        assert told != seen
        assert FIGURES.findall(told) == FIGURES.findall(seen)
    assert retold.sign("A sign of a later day.") == "A sign of a later day."
    assert retold.act("developer temperature 18.5") == "temperatura: 18.5"
    assert retold.act("film side emulsion up") == "lado de película: emulsión arriba"
    assert retold.act("it lasted 31 s") == "duró 31 s"
    assert [retold.act(done) for done in retold.OF_THE_DAY.values() if retold.act(done) == done] == []
    against = (
        "at most 3 each",
        "at most 0.15 mm",
        "at least 90 %",
        "at least 80 % protected",
        "48 to 62 %",
        "6",
    )
    assert [retold.held_against(one) for one in against] == [
        *("como mucho 3", "como mucho 0.15 mm", "al menos 90 %", "al menos 80 % protegido"),
        *("de 48 a 62 %", "6"),
    ]
    missing = measure_words.measured(Line("marks", value=False, unit="", ok=False, held_against="all there"))
    assert (missing.label, missing.shown, missing.wanted) == ("Marcas presentes", "no", "todas presentes")


def test_every_text_of_a_fault_is_translated() -> None:
    """Titles, acts, looks, remedies and cautions of the catalogue, and what is said of each class."""
    texts = {
        text
        for one in CATALOGUE.values()
        for text in (one.title, one.acts, one.looks, one.remedy, one.caution)
        if text
    }
    texts |= {text for one in CLASSES.values() for text in (one.title, one.sentence)}
    assert [text for text in texts if spoken(text) == text] == []


def test_what_the_shipped_jobs_are_called() -> None:
    """Every job that ships has its title among those that are translated."""
    titles = {artworks.read_job(named).title for named in artworks.known()}
    assert titles == set(artworks.TITLES)


def test_every_figure_survives_a_translation() -> None:
    """Amounts, factors and sizes are the same in both languages: a wrong one could hurt."""
    for message in messages("es"):
        english = message.id if isinstance(message.id, str) else message.id[-1]
        assert sorted(FIGURES.findall(forms(message)[-1])) == sorted(FIGURES.findall(english)), english
