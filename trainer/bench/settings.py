"""The settings of the bench: every constant of the models, from a mapping that a caller took from a file.

The shipped file gives each constant with its value, unit, limits, source and meaning. A shop's own file may
give any of them anew: `lamp: {warm_up: 90}`, or with its source, `warm_up: {value: 90, source: our log}`.
"""

from __future__ import annotations

from collections.abc import Generator, Iterable, Iterator, Mapping, Sequence
from dataclasses import Field, dataclass, fields, replace
from difflib import get_close_matches
from types import MappingProxyType

from trainer.bench.coating import Coating
from trainer.bench.contact import Contact, FilmStock
from trainer.bench.development import Developer
from trainer.bench.finish import Finish
from trainer.bench.lamp import Lamp
from trainer.bench.limits import OutOfRange, Range, range_of, words_of
from trainer.bench.register import Register
from trainer.bench.vacuum import Frame

SHOPS_OWN = "this shop's own file"
"""The source of a shop's number that does not say where it is from."""
_FORMAT = 1
SECTIONS: Mapping[str, type] = MappingProxyType(
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
"""The sections of a file, and the dataclass that each fills."""


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


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a file of settings. `path`: the keys down to it; at_key: the last key is wrong."""

    path: tuple[str, ...]
    said: str
    instead: str
    at_key: bool = False


class WrongSettings(OutOfRange):
    """A mapping that gives no settings. `faults`: all that is wrong; `args[0]`: the first, in words."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults = tuple(faults)
        first = self.faults[0]
        where = ".".join(first.path)
        super().__init__(
            f"{where}: {first.said} {first.instead}" if where else f"{first.said} {first.instead}"
        )


def constants(shipped: object) -> tuple[Constant, ...]:
    """Every constant of the shipped mapping, in the order of the models. Raises WrongSettings."""
    return _sound(_shipped(shipped))


def replaced(known: Sequence[Constant], own: object) -> tuple[Constant, ...]:
    """The constants with a shop's own values over them, `own` being its mapping. Raises WrongSettings."""
    made = _sound(_replaced(known, own))
    settings(made)
    return made


def settings(known: Iterable[Constant]) -> BenchSettings:
    """The constants as the models take them. Raises WrongSettings where two of them do not go together."""
    values: dict[str, dict[str, float | str]] = {section: {} for section in SECTIONS}
    for constant in known:
        values[constant.section][constant.name] = constant.value
    made: dict[str, object] = {}
    faults = []
    for section, kind in SECTIONS.items():
        try:
            made[section] = kind(**values[section])
        except OutOfRange as refused:
            faults.append(Fault((section,), str(refused), "Change one of the two."))
    if faults:
        raise WrongSettings(faults)
    return BenchSettings(**made)  # type: ignore[arg-type]  # SECTIONS gives each field its own class


def _sound(found: Iterator[Constant | Fault]) -> tuple[Constant, ...]:
    made = tuple(found)
    if faults := [one for one in made if isinstance(one, Fault)]:
        raise WrongSettings(faults)
    return tuple(one for one in made if isinstance(one, Constant))


def _shipped(tree: object) -> Iterator[Constant | Fault]:
    root = yield from _root(tree)
    for section, kind in SECTIONS.items():
        given = yield from _keys((section,), root.get(section), [one.name for one in fields(kind)])
        for one in fields(kind):
            if one.name in given:
                yield from _documented((section, one.name), given[one.name], one)
            else:
                yield Fault((section,), f"`{one.name}` is missing.", "Take it from the shipped file.")


def _replaced(known: Sequence[Constant], tree: object) -> Iterator[Constant | Fault]:
    root = yield from _root(tree)
    own: dict[tuple[str, str], object] = {}
    for section, given in root.items():
        names = [one.name for one in known if one.section == section]
        mine = yield from _keys((section,), given, names)
        own.update({(section, name): entry for name, entry in mine.items()})
    for constant in known:
        key = (constant.section, constant.name)
        if key in own:
            yield from _own(constant, own[key])
        else:
            yield constant


def _root(tree: object) -> Generator[Fault, None, Mapping[str, object]]:
    """The sections of a file; the generator's value."""
    head = f"Begin the file with `bench: {_FORMAT}`."
    if not isinstance(tree, Mapping):
        yield Fault((), "These are no settings of the bench.", head)
        return {}
    if type(tree.get("bench")) is not int or tree["bench"] != _FORMAT:
        yield Fault(("bench",) if "bench" in tree else (), "The file does not say its format.", head)
    found = yield from _keys((), {key: value for key, value in tree.items() if key != "bench"}, [*SECTIONS])
    return found


def _keys(
    path: tuple[str, ...], tree: object, known: Sequence[str]
) -> Generator[Fault, None, Mapping[str, object]]:
    """Those entries of a mapping whose keys are known; the generator's value."""
    if not isinstance(tree, Mapping):
        yield Fault(path, "Keys with their values are wanted here.", f"Its keys: {', '.join(known)}.")
        return {}
    for key in tree:
        if key not in known:
            name = str(key)
            near = get_close_matches(name, known, 1)
            instead = f"Write `{near[0]}`, or delete it." if near else f"Known: {', '.join(known)}."
            yield Fault((*path, name), f"`{name[:40]}` is not known here.", instead, at_key=True)
    return {key: value for key, value in tree.items() if key in known}


def _documented(path: tuple[str, str], entry: object, one: Field[object]) -> Iterator[Constant | Fault]:
    """A constant of the shipped file: all that is said about it, and the same limits as the model's."""
    limits, options = range_of(one), words_of(one)
    wanted = ("value", *(("unit", "between") if limits else ("options",)), "source", "about")
    said = yield from _keys(path, entry, wanted)
    if missing := [key for key in wanted if key not in said]:
        yield Fault(path, f"`{missing[0]}` is missing.", f"Its keys: {', '.join(wanted)}.")
        return
    between = (limits.least, limits.most) if limits else ()
    if limits and (said["unit"] != limits.unit or said["between"] != [limits.least, limits.most]):
        yield Fault(path, "Unit and limits are not those of the model.", f"Write {_limits(limits)}.")
    if options and said["options"] != list(options):
        yield Fault(path, "The options are not those of the model.", f"Write {', '.join(options)}.")
    yield from _words(path, said, ("source", "about"))
    value = yield from _value((*path, "value"), said["value"], one)
    unit = limits.unit if limits else ""
    yield Constant(*path, value, unit, between, options, str(said["source"]), str(said["about"]))


def _own(constant: Constant, entry: object) -> Iterator[Constant | Fault]:
    """A constant as a shop gives it: the value alone, or the value and what else it wants to say of it."""
    path = (constant.section, constant.name)
    one = next(one for one in fields(SECTIONS[constant.section]) if one.name == constant.name)
    plain = not isinstance(entry, Mapping)
    said = (
        {"value": entry} if plain else (yield from _keys(path, entry, ("value", "unit", "source", "about")))
    )
    if "value" not in said:
        yield Fault(path, "`value` is missing.", "Write `value: ` and the number.")
        return
    if said.get("unit", constant.unit) != constant.unit:
        yield Fault((*path, "unit"), "The unit cannot be changed.", f"Write `{constant.unit}`.")
    yield from _words(path, said, tuple(key for key in ("source", "about") if key in said))
    value = yield from _value(path if plain else (*path, "value"), said["value"], one)
    source, about = str(said.get("source", SHOPS_OWN)), str(said.get("about", constant.about))
    yield replace(constant, value=value, source=source, about=about)


def _value(path: tuple[str, ...], value: object, one: Field[object]) -> Generator[Fault, None, float | str]:
    """A value of the kind the model wants and inside its limits; the generator's value."""
    limits, options = range_of(one), words_of(one)
    if limits is None:
        if value not in options:
            yield Fault(
                path, f"`{str(value)[:40]}` is not one of the options.", f"Write {' or '.join(options)}."
            )
        return str(value)
    if isinstance(value, bool) or not isinstance(value, int | float):
        yield Fault(path, "A number is wanted here.", f"Write {_limits(limits)}.")
        return 0.0
    if not limits.least <= value <= limits.most:
        yield Fault(path, f"`{str(value)[:20]}` is out of range.", f"Write {_limits(limits)}.")
    return float(value)


def _words(path: tuple[str, ...], said: Mapping[str, object], keys: tuple[str, ...]) -> Iterator[Fault]:
    for key in keys:
        text = said[key]
        if not isinstance(text, str) or not text.strip():
            yield Fault((*path, key), "This must say something, in words.", "Write where the number is from.")


def _limits(limits: Range) -> str:
    return f"a number from {limits.least:g} to {limits.most:g}, in {limits.unit}"
