"""The shop file: the settings that a shop has made its own, held to what each procedure allows.

format: 1
station: sink 1
units: metric
altitude: 240 m
first: [negative-plate-two-burns]
procedures:
  negative-plate-two-burns: {exposure: 26}
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.procedure import units
from trainer.procedure.atmosphere import highest_gauge
from trainer.procedure.building import Node
from trainer.procedure.files import FileTrouble, read_bytes
from trainer.procedure.names import IDENT
from trainer.procedure.problems import Mistake, Problem, ShopTrouble, first_sentence, in_order, nearest
from trainer.procedure.quantity import parse
from trainer.procedure.reader import Tree, read_tree
from trainer.procedure.rule_tools import number
from trainer.procedure.shop_edit import ShopKeeper, with_setting
from trainer.procedure.text import one_line
from trainer.procedure.units import System
from trainer.procedure.wanted import described

if TYPE_CHECKING:
    from trainer.procedure.plan import Plan

__all__ = [
    "ShopFile",
    "ShopKeeper",
    "ShopTrouble",
    "problems_for",
    "read_shop",
    "settings_for",
    "station_called",
    "with_setting",
]


_KEYS = ("format", "station", "units", "altitude", "first", "procedures")
LONGEST_STATION = 40
"""Letters of a station's name."""
_LOWEST, _HIGHEST = -500.0, 9000.0
"""Metres: from under the lowest shore to over the highest town."""


@dataclass(frozen=True, slots=True)
class ShopFile:
    """What a shop file says. `altitude` in metres; `settings` by procedure and setting; `tree`: the places.

    `station`: what this station is called, empty where the file does not say. `units`: what the instruments
    show, None where it does not say. `first`: ids of the procedures that are offered before all others.

    A file that is not there is an empty one. `problems` are those of the file itself; whether a value fits
    its procedure is said by `problems_for`.
    """

    path: Path
    station: str = ""
    units: System | None = None
    altitude: float | None = None
    first: tuple[str, ...] = ()
    settings: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()
    text: str = ""
    tree: Tree | None = None


def read_shop(path: Path) -> ShopFile:
    """The shop file at `path`. Never raises: what is wrong is in `problems`."""
    try:
        source = read_bytes(path)
    except FileTrouble as trouble:
        return ShopFile(path, problems=() if trouble.problem.code == "F01" else (trouble.problem,))
    if not source.strip():
        return ShopFile(path)
    tree = read_tree(source, str(path))
    found = [*tree.problems, *_problems(tree)] if tree.complete else list(tree.problems)
    root = tree.value if isinstance(tree.value, dict) else {}
    listed = root.get("first")
    return ShopFile(
        path,
        station_called(station if isinstance(station := root.get("station"), str) else ""),
        _system(root.get("units")),
        _altitude(root.get("altitude")),
        tuple(one for one in listed if isinstance(one, str)) if isinstance(listed, list) else (),
        _settings(root.get("procedures")),
        in_order(found),
        tree.text,
        tree,
    )


def station_called(name: str) -> str:
    """A station's name as runs keep it: clean, on one line, at most 40 letters."""
    return " ".join(one_line(name.replace("\n", " ")).split())[:LONGEST_STATION].rstrip()


def problems_for(plan: Plan, shop: ShopFile) -> tuple[Problem, ...]:
    """What is wrong with the shop's settings for one procedure: outside `between`, unknown, out of reach."""
    return in_order([*_misfits(plan, shop), *_out_of_reach(plan, shop)])


def settings_for(
    plan: Plan, shop: ShopFile, overrides: Mapping[str, float] | None = None
) -> dict[str, float]:
    """Every setting of a procedure and the value to use: its own, else the shop's, else that of `overrides`.

    Raises ShopTrouble where the shop file has an error, or where a value is not one that a shop may set.
    """
    errors = [one for one in (*shop.problems, *problems_for(plan, shop)) if one.severity == "error"]
    if errors:
        raise ShopTrouble(first_sentence(errors, str(shop.path)))
    declared = plan.procedure.settings
    values = {name: float(setting.value) for name, setting in declared.items()}
    shops_own = shop.settings.get(plan.procedure.id, {})
    values.update({name: value for name, value in shops_own.items() if name in declared})
    for name, value in (overrides or {}).items():
        if name not in declared:
            raise ShopTrouble(f"`{name}` is no setting of this procedure. Write one of {_names(declared)}.")
        if wrong := _outside(plan, name, value):
            raise ShopTrouble(f"{wrong[0]} {wrong[1]}")
        values[name] = float(value)
    return values


def _misfits(plan: Plan, shop: ShopFile) -> Iterator[Problem]:
    own = plan.procedure.id
    for name, value in shop.settings.get(own, {}).items():
        path = ("procedures", own, name)
        if shop.tree is None:
            return
        if name not in plan.procedure.settings:
            near = nearest(name, plan.procedure.settings)
            instead = f"Write `{near}`" if near else f"Write one of {_names(plan.procedure.settings)}"
            yield Problem(
                "S30",
                "warning",
                f"`{name}` is no setting of the procedure `{own}`.",
                f"{instead}, or delete the line.",
                shop.tree.key(path),
                path,
            )
        elif wrong := _outside(plan, name, value):
            yield Problem("S24", "error", *wrong, shop.tree.place(path), path)


def _out_of_reach(plan: Plan, shop: ShopFile) -> Iterator[Problem]:
    """A vacuum that the air at the shop's altitude does not give: no trainee could ever reach it."""
    if shop.altitude is None or shop.tree is None:
        return
    own = plan.procedure.id
    for name, setting in plan.procedure.settings.items():
        value = shop.settings.get(own, {}).get(name, float(setting.value))
        if not units.same_kind(setting.unit, "inHg"):
            continue
        most = highest_gauge(shop.altitude, setting.unit)
        if value >= most:
            path = ("procedures", own, name)
            yield Problem(
                "S33",
                "error",
                f"`{name}` is {units.shown(value, setting.unit)}, and at {units.shown(shop.altitude, 'm')} "
                f"no vacuum gauge shows more than {units.shown(most, setting.unit)}.",
                f"Write `{name}` under `{own}` with a value that the pump reaches here, or mend `altitude`.",
                shop.tree.place(path if path in shop.tree.places else ("altitude",)),
                path,
            )


def _outside(plan: Plan, name: str, value: float) -> tuple[str, str] | None:
    """What is wrong with a value that a shop may not set, and what to write."""
    setting = plan.procedure.settings[name]
    low, high = setting.between
    if low <= value <= high:
        return None
    allowed = f"{units.plain(low)} to {units.shown(high, setting.unit)}"
    said = f"`{name}` is {units.shown(value, setting.unit)}, and the procedure allows {allowed}."
    return said, f"Write a number from {units.plain(low)} to {units.plain(high)}."


def _names(known: Mapping[str, object]) -> str:
    return ", ".join(f"`{name}`" for name in known) or "none: it has no settings"


def _system(said: object) -> System | None:
    return "us" if said == "us" else "metric" if said == "metric" else None


def _altitude(node: Node) -> float | None:
    """Metres, where an altitude is written."""
    try:
        metres = parse(node).to("m") if isinstance(node, str) else None
    except Mistake:
        return None
    return metres if metres is not None and _LOWEST <= metres <= _HIGHEST else None


def _settings(node: Node) -> dict[str, dict[str, float]]:
    """The numbers under `procedures`; anything else there is a problem, not a setting."""
    found: dict[str, dict[str, float]] = {}
    for procedure, own in (node if isinstance(node, dict) else {}).items():
        if isinstance(own, dict):
            numbers = ((name, number(value)) for name, value in own.items())
            found[procedure] = {name: value for name, value in numbers if value is not None}
    return found


def _problems(tree: Tree) -> Iterator[Problem]:
    """What is wrong with the shape of a shop file."""
    root = tree.value
    if not isinstance(root, dict):
        said = f"Keys with their values are wanted here, and this is {described(root)}."
        yield Problem("S08", "error", said, "Begin the file with `format: 1`.", tree.place(()))
        return
    for key in root:
        if key not in _KEYS:
            near = nearest(key, _KEYS) or "procedures"
            said = f"`{key[:40]}` is no key of a shop file."
            yield Problem(
                "S01", "error", said, f"Write `{near}`, or delete the line.", tree.key((key,)), (key,)
            )
    if type(root.get("format")) is not int or root["format"] != 1:
        first = tuple(root)[:1]  # nothing where the file is `{}`
        place = tree.place(("format",)) if "format" in root else tree.key(first) if first else tree.place(())
        yield Problem("S09", "error", "The shop file does not say its format.", "Write `format: 1`.", place)
    if "station" in root:
        yield from _station_problem(tree, root["station"])
    if "units" in root and root["units"] not in ("metric", "us"):
        said = f"`metric` or `us` is wanted here, and this is {described(root['units'])}."
        yield _at(tree, ("units",), "S09", said, "Write `units: metric` or `units: us`.")
    if "altitude" in root:
        yield from _altitude_problem(tree, root["altitude"])
    if "first" in root:
        yield from _first_problems(tree, root["first"])
    yield from _procedure_problems(tree, root.get("procedures"))


def _station_problem(tree: Tree, node: Node) -> Iterator[Problem]:
    if not isinstance(node, str) or not node.strip():
        said = f"The name of the station is wanted here, and this is {described(node)}."
        instead = f'Write it in quotes: `station: "{node}"`.' if isinstance(node, int | float) else _A_NAME
        yield _at(tree, ("station",), "S03", said, instead)
    elif len(" ".join(node.split())) > LONGEST_STATION:
        said = f"The name of a station has at most {LONGEST_STATION} letters, and this has {len(node)}."
        yield _at(tree, ("station",), "S10", said, _A_NAME)


_A_NAME = "Write a short name: `station: sink 1`."


def _at(tree: Tree, path: tuple[str | int, ...], code: str, message: str, help_: str) -> Problem:
    return Problem(code, "error", message, help_, tree.place(path), path)


def _altitude_problem(tree: Tree, node: Node) -> Iterator[Problem]:
    if _altitude(node) is not None:
        return
    try:
        given = parse(node) if isinstance(node, str) else None
    except Mistake as wrong:
        yield _at(tree, ("altitude",), wrong.code, wrong.message, "Write a height: `altitude: 240 m`.")
        return
    if given is None:
        said = f"A height is wanted here, and this is {described(node)}."
    elif not units.same_kind(given.unit, "m"):
        said = f"A height is wanted here, and `{given.unit}` measures {units.kind_of(given.unit)}."
    else:
        said = f"There is no shop at {given}."
    yield _at(tree, ("altitude",), "S16", said, "Write a height: `altitude: 240 m` or `altitude: 800 ft`.")


def _first_problems(tree: Tree, node: Node) -> Iterator[Problem]:
    """Ids of procedures are wanted, each once."""
    if not isinstance(node, list):
        said = f"A list of procedures is wanted here, and this is {described(node)}."
        yield _at(tree, ("first",), "S07", said, "Write `first: [negative-plate-two-burns]`.")
        return
    for place, one in enumerate(node):
        path = ("first", place)
        if not isinstance(one, str) or not IDENT.fullmatch(one):
            said = f"The id of a procedure is wanted here, and this is {described(one)}."
            yield _at(
                tree, path, "S12", said, "Write it as `id` in its file says: `negative-plate-two-burns`."
            )
        elif one in node[:place]:
            yield _at(tree, path, "S26", f"`{one}` is listed twice.", "Delete one of the two.")


def _procedure_problems(tree: Tree, node: Node) -> Iterator[Problem]:
    if node is None:
        return
    if not isinstance(node, dict):
        said = f"Procedures with their settings are wanted here, and this is {described(node)}."
        yield _at(tree, ("procedures",), "S08", said, "Write `procedures: {negative-plate: {exposure: 26}}`.")
        return
    for procedure, own in node.items():
        path = ("procedures", procedure)
        if own is not None and not isinstance(own, dict):
            said = f"Settings with their values are wanted here, and this is {described(own)}."
            yield _at(tree, path, "S08", said, "Write them in braces: `{exposure: 26}`.")
        for name, value in (own if isinstance(own, dict) else {}).items():
            if number(value) is None:
                said = f"A number is wanted here, and this is {described(value)}."
                yield _at(tree, (*path, name), "S04", said, "Write the number alone, without a unit: `26`.")
