"""Quantities as people write them, and names. No source: the format is our own."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.procedure import units
from trainer.procedure.names import CEL_RESERVED, ident, name
from trainer.procedure.problems import Mistake
from trainer.procedure.quantity import Quantity, amount, parse, quantity


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("45 s", 45, "s"),
        ("  45   s ", 45, "s"),
        ("0.5 h", 0.5, "h"),
        ("1 min 30 s", 90, "s"),
        ("1 h 5 min", 65, "min"),
        ("2 days 3 h", 51, "h"),
        ("1 day", 1, "days"),
        ("60 days", 60, "days"),
        ("75 mL", 75, "mL"),
        ("2.5 US fl oz", 2.5, "US fl oz"),
        ("-4 degC", -4, "degC"),
        ("69 kPa", 69, "kPa"),
        ("24 units", 24, "units"),
    ],
)
def test_what_is_a_quantity(text: str, value: float, unit: str) -> None:
    """A number, a space and a unit; several where all are times."""
    assert parse(text) == Quantity(value, unit)


@pytest.mark.parametrize(
    ("text", "instead"),
    [
        ("1:30", "`1 min 30 s`"),
        ("0:45", "`45 s`"),
        ("1:02:03", "`1 h 2 min 3 s`"),
        ("45", "`45 s`"),
        ("45s", "`45 s`"),
        ("75ml", "`75 mL`"),
        ("1,5 h", "`1.5 h`"),
        ("1,5", "`1.5 s`"),
        ("010 s", "`10 s`"),
        ("010", "`10 s`"),
        ("½ h", "`0.5 h`"),
        ("1/2 h", "`0.5 h`"),
        ("30-90 s", "`at_least: 30 s`"),
        ("30 to 90 s", "`at_least: 30 s`"),
        ("1e3 s", "`1000 s`"),
        ("1_000 s", "`1000 s`"),
        ("90 seconds", "`90 s`"),
        ("3 minutes", "`3 min`"),
        ("21 °C", "`21 degC`"),
        ("30 s 1 min", "`1 min 30 s`"),
        ("1 min 1 min", "`1 min 30 s`"),
        ("5 parsecs", "Units: s, min,"),
        ("", "`45 s`"),
        ("soon", "`45 s`"),
        ("9999999999 s", "`45 s`"),
    ],
)
def test_what_is_no_quantity(text: str, instead: str) -> None:
    """Each slip is refused, and what was probably meant is written out."""
    with pytest.raises(Mistake) as caught:
        parse(text)
    assert instead in caught.value.help
    assert caught.value.code == "S14"


@given(st.floats(0, 1e6).map(lambda value: round(value, 3)), st.sampled_from(units.KNOWN))
def test_a_written_quantity_comes_back(value: float, unit: str) -> None:
    """A number and a unit, written with a space, are read as such."""
    assert parse(f"{value:.3f} {unit}") == Quantity(value, unit)


@given(st.text(max_size=60))
def test_no_text_breaks_the_reading_of_quantities(text: str) -> None:
    """Any text is a quantity, the name of a value, or a mistake with a help; quickly."""
    for reads in (parse, quantity, amount):
        try:
            found = reads(text)
        except Mistake as wrong:
            found = wrong.help
        assert isinstance(found, Quantity) or found


@pytest.mark.parametrize(
    "text", ["1" * 5000, "1 " * 3000, "1 min " * 2000, "settings." + "a" * 5000, "é" * 5000]
)
def test_long_texts_take_no_time(text: str) -> None:
    """A long text is refused with a short sentence."""
    with pytest.raises(Mistake) as caught:
        parse(text)
    assert len(str(caught.value)) < 700


def test_an_amount_may_be_a_value_by_name() -> None:
    """`settings.x` and `worked.x` stay names; readings and bare words are refused with what to write."""
    assert amount("settings.exposure") == "settings.exposure"
    assert amount(" worked.units_next ") == "worked.units_next"
    assert amount("45 s") == Quantity(45, "s")
    for text in ("readings.vacuum", "setting.exposure", "exposure", "settings.", "settings.A"):
        with pytest.raises(Mistake, match=r"settings\."):
            amount(text)
    with pytest.raises(Mistake, match=r"`settings\.exposure`"):
        amount("setting.exposure")


def test_values_that_are_no_text() -> None:
    """A number alone lacks its unit; a truth, nothing and a list are no quantity."""
    with pytest.raises(Mistake, match="without a unit"):
        quantity(45)
    for value in (True, None, [45]):
        with pytest.raises(Mistake, match="not a quantity"):
            quantity(value)
    assert quantity(Quantity(1, "s")) == Quantity(1, "s")


def test_a_quantity_turns_and_shows() -> None:
    """A quantity turns into units of its kind and shows as people read it."""
    assert Quantity(1.5, "min").to("s") == 90
    assert str(Quantity(90, "s")) == "1 min 30 s"
    with pytest.raises(Mistake):
        Quantity(24, "units").to("s")


@given(st.text(max_size=80))
def test_ids_and_names_are_what_they_say(text: str) -> None:
    """Only the letters allowed make an id or a name; the proposal for any other text is one itself."""
    for reads, pattern in ((ident, r"[a-z][a-z0-9-]{0,62}"), (name, r"[a-z][a-z0-9_]{0,62}")):
        kept = text in {"done", "stop"} if reads is ident else text in CEL_RESERVED
        if re.fullmatch(pattern, text, re.ASCII) and not kept:
            assert reads(text) == text
        else:
            with pytest.raises(Mistake) as caught:
                reads(text)
            proposed = re.findall(r"`([^`]+)`", caught.value.help)[-1]
            assert reads(proposed) == proposed


def test_what_is_no_text_is_left_to_the_type_check() -> None:
    """A number is neither refused nor changed by `ident` and `name`."""
    assert ident(3) == 3
    assert name(None) is None
