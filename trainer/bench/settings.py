"""The settings of the bench: every constant of the models, from a mapping that a caller took from a file.

Each constant stands there with its value, its unit, its limits, its source and what it means. A shop's own
mapping may give any part of them anew: `lamp: {warm_up: 90}`, or with its source, `{value: 90, source: our
log}`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import Field, dataclass, fields
from types import MappingProxyType
from typing import cast

from trainer.bench.coating import Coating
from trainer.bench.contact import Contact, FilmStock
from trainer.bench.development import Developer
from trainer.bench.finish import Finish
from trainer.bench.lamp import Lamp
from trainer.bench.limits import OutOfRange, range_of, words_of
from trainer.bench.register import Register
from trainer.bench.vacuum import Frame

TEACHING = "teaching model, calibrate"
"""The source of a number that no handbook gives."""
_FORMAT = 1
_SHOP = "this shop's own file"
_SECTIONS: Mapping[str, type] = MappingProxyType(
    {
        "lamp": Lamp,
        "frame": Frame,
        "contact": Contact,
        "film": FilmStock,
        "coating": Coating,
        "developer": Developer,
        "finish": Finish,
        "register": Register,
    }
)


@dataclass(frozen=True, slots=True)
class BenchSettings:
    """Every constant of the models, by the model that uses it."""

    lamp: Lamp
    frame: Frame
    contact: Contact
    film: FilmStock
    coating: Coating
    developer: Developer
    finish: Finish
    register: Register


@dataclass(frozen=True, slots=True)
class Constant:
    """One constant with what is known about it. Of `between` and `options` one is empty."""

    section: str
    name: str
    value: float | str
    unit: str
    between: tuple[float, ...]
    options: tuple[str, ...]
    source: str
    about: str


def read(shipped: object, own: object = None) -> BenchSettings:
    """The settings of the shipped mapping, with a shop's own over it. Raises OutOfRange with a sentence."""
    values: dict[str, dict[str, float | str]] = {section: {} for section in _SECTIONS}
    for constant in documented(shipped, own):
        values[constant.section][constant.name] = constant.value
    made = {section: kind(**values[section]) for section, kind in _SECTIONS.items()}
    return BenchSettings(**made)


def documented(shipped: object, own: object = None) -> tuple[Constant, ...]:
    """Every constant with its source, in the order of the models. Raises OutOfRange with a sentence."""
    base = _sections(shipped, "The settings of the bench")
    over = _sections(own, "The shop's own settings of the bench") if own is not None else {}
    return tuple(_constants(base, over))


def _constants(base: Mapping[str, object], over: Mapping[str, object]) -> Iterator[Constant]:
    for section, kind in _SECTIONS.items():
        known = {one.name: one for one in fields(kind)}
        given = _names(base.get(section), section, known)
        mine = _names(over.get(section, {}), section, known)
        if missing := sorted(set(known) - set(given)):
            raise OutOfRange(f"The settings of the bench lack {section}.{missing[0]}.")
        for name, one in known.items():
            shipped = _shipped(f"{section}.{name}", given[name], one)
            yield _owned(shipped, mine[name], one) if name in mine else shipped


def _sections(tree: object, what: str) -> Mapping[str, object]:
    """The sections of a file, its format looked at."""
    root = _mapping(tree, what)
    if root.get("bench") != _FORMAT or isinstance(root.get("bench"), bool):
        raise OutOfRange(f"{what} must begin with `bench: {_FORMAT}`.")
    return _known({name: value for name, value in root.items() if name != "bench"}, what, _SECTIONS)


def _names(tree: object, section: str, known: Mapping[str, object]) -> Mapping[str, object]:
    return _known(_mapping(tree, f"The section `{section}`"), f"The section `{section}`", known)


def _known(given: Mapping[str, object], what: str, known: Mapping[str, object]) -> Mapping[str, object]:
    for name in given:
        if name not in known:
            raise OutOfRange(f"{what} has `{name[:40]}`, and the bench knows {', '.join(known)}.")
    return given


def _mapping(tree: object, what: str) -> Mapping[str, object]:
    if not isinstance(tree, Mapping) or not all(isinstance(key, str) for key in tree):
        raise OutOfRange(f"{what} must be keys with their values.")
    return cast("Mapping[str, object]", tree)


def _shipped(what: str, entry: object, one: Field[object]) -> Constant:
    """A constant of the shipped file: all that is said about it, and the same limits as the model's."""
    said = _known(_mapping(entry, what), what, dict.fromkeys(_keys(one)))
    if missing := [key for key in _keys(one) if key not in said]:
        raise OutOfRange(f"{what} lacks `{missing[0]}`.")
    section, name = what.split(".")
    limits, options = range_of(one), words_of(one)
    between = (limits.least, limits.most) if limits else ()
    if limits and (said["unit"] != limits.unit or _pair(said["between"]) != between):
        raise OutOfRange(
            f"{what} must be in {limits.unit}, between {limits.least:g} and {limits.most:g}, as its model is."
        )
    if options and _texts(said["options"]) != options:
        raise OutOfRange(f"{what} must have the options {', '.join(options)}, as its model has.")
    return Constant(
        section,
        name,
        _value(what, said["value"], one),
        limits.unit if limits else "",
        between,
        options,
        _text(what, said["source"]),
        _text(what, said["about"]),
    )


def _owned(shipped: Constant, entry: object, one: Field[object]) -> Constant:
    """A constant as a shop gives it: the value alone, or the value and its source."""
    what = f"{shipped.section}.{shipped.name}"
    said: Mapping[str, object] = entry if isinstance(entry, Mapping) else {"value": entry}
    _known(said, what, dict.fromkeys(_keys(one)))
    if "value" not in said:
        raise OutOfRange(f"{what} lacks `value`.")
    if "unit" in said and said["unit"] != shipped.unit:
        raise OutOfRange(f"{what} must be in {shipped.unit or 'no unit'}.")
    value = _value(what, said["value"], one)
    source = _text(what, said.get("source", _SHOP))
    return Constant(
        shipped.section,
        shipped.name,
        value,
        shipped.unit,
        shipped.between,
        shipped.options,
        source,
        shipped.about,
    )


def _keys(one: Field[object]) -> tuple[str, ...]:
    limits = ("unit", "between") if range_of(one) else ("options",)
    return ("value", *limits, "source", "about")


def _value(what: str, value: object, one: Field[object]) -> float | str:
    """A value of the kind the model wants; its limits are the dataclass's own to hold."""
    if range_of(one):
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise OutOfRange(f"{what} must be a number, and this is {str(value)[:40]!r}.")
        limits = range_of(one)
        if limits and not limits.least <= value <= limits.most:
            raise OutOfRange(
                f"{what} is {value:g} {limits.unit}, and must be from {limits.least:g} to {limits.most:g}."
            )
        return float(value)
    if value not in words_of(one):
        raise OutOfRange(f"{what} is {str(value)[:40]!r}, and must be one of {', '.join(words_of(one))}.")
    return str(value)


def _pair(value: object) -> tuple[float, ...]:
    numbers = value if isinstance(value, list | tuple) else ()
    return tuple(float(one) for one in numbers if isinstance(one, int | float))


def _texts(value: object) -> tuple[str, ...]:
    return tuple(str(one) for one in value) if isinstance(value, list | tuple) else ()


def _text(what: str, value: object) -> str:
    if not isinstance(value, str) or not value.strip():
        raise OutOfRange(f"{what} must say its source and what it is, in words.")
    return value
