"""Which fault of the catalogue an act is: by what was operated, for which burn, and where it stood.

The plate says which class a fault is of; within a class the act names the one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from trainer.rehearsal.after_acts import Act
from trainer.rehearsal.retold import LASTED, OF_THE_DAY, STOOD, UNTOUCHED, words
from trainer.run.events import BenchSet, Event

_FORGOTTEN: Final = {"image": "image-burn-forgotten", "marks": "marks-burn-forgotten"}
_LOOSE: Final = {"image": "not-seated", "marks": "second-burn-off"}

_BY_WORD: Final[Mapping[tuple[str, str], str]] = {
    ("film", "wrong"): "wrong-film",
    ("film_side", "emulsion-up"): "emulsion-up",
    ("mask", "none"): "mask-off",
    ("opaquing", "none"): "pinholes",
    ("opaquing", "some"): "pinholes",
    ("opaquing", "over-image"): "opaque-over-image",
    ("shade", "off"): "fogged",
    ("cover", "off"): "fogged",
    ("punch", "none"): "off-centre",
    ("punch", "off-centre"): "off-centre",
    ("glass_wiped", "off"): "dust",
    ("glass", "open"): "poor-vacuum",
    ("glass", "closed"): "poor-vacuum",
    ("gasket", "film-edge"): "film-edge",
    ("gasket", "tape"): "film-edge",
    ("plate_side", "coated-down"): "plate-face-down",
    ("pour", "off"): "short-development",
    ("spread", "one-place"): "one-place",
    ("rubbing", "part"): "corner-missed",
    ("rubbing", "none"): "short-development",
    ("rubbing", "all-over"): "short-development",
    ("pad", "loaded"): "dirty-pad",
    ("rinse", "none"): "rinse-skipped",
    ("rinse", "face"): "rinse-skipped",
    ("squeegee", "off"): "gum-late",
    ("gum", "none"): "no-gum",
    ("gum", "thick"): "gum-thick",
    ("buff", "off"): "not-buffed",
}
_OF_THE_DAY: Final[Mapping[str, str]] = {
    "film_wrong": "wrong-reading",
    "film_damper": "swollen-film",
    "film_warmer": "swollen-film",
    "plate_warmer": "swollen-film",
    "plate_scratches": "scratched",
    "developer_used": "old-developer",
    "lamp_warm": "cold-lamp",
    "lamp_hours": "old-lamp",
}
_BELOW_ABOVE: Final[Mapping[str, tuple[str, str]]] = {
    "units": ("underexposed", "overexposed"),
    "timer": ("underexposed", "overexposed"),
    "developer": ("little-developer", ""),
    "developer_temperature": ("cold-developer", "overdeveloped"),
}


def fault_of(act: Act, events: Sequence[Event]) -> str:
    """The fault's id; empty where the catalogue has none for it."""
    if act.kind == "day":
        return _OF_THE_DAY.get(act.control, "")
    if act.kind == "time":
        return _of_time(act)
    if act.control in _BELOW_ABOVE:
        return _of_amount(act)
    burn = act.visit.burn if act.visit is not None else "image"
    match act.control:
        case "film" if act.was != "wrong":
            return _FORGOTTEN[burn]
        case "mask" if act.was != "none":
            return "image-under-marks-mask" if burn == "image" else "marks-under-image-mask"
        case "pins" | "film_pins":
            return _LOOSE[burn]
        case "pump":
            return "poor-vacuum" if act.kind == "set" and _later_on(act, events) else "pump-stopped"
        case "lamp":
            on = "overexposed" if act.kind == "extra" else ""
            return on if act.was == "on" else "underexposed" if act.kind == "extra" else _FORGOTTEN[burn]
        case "power":
            return _FORGOTTEN[burn]
        case _:
            return _BY_WORD.get((act.control, str(act.was)), "")


def act_words(act: Act) -> str:
    """What was done or left undone, in a few English words: they go into the record."""
    if act.kind == "day":
        return OF_THE_DAY[act.control]
    if act.kind == "time":
        return LASTED.format(seconds=f"{float(act.was):.0f}")
    was = f"{act.was:g}" if isinstance(act.was, float) else words(str(act.was))
    template = STOOD if act.at else UNTOUCHED
    return template.format(control=words(act.control), position=was)


def _of_time(act: Act) -> str:
    visit = act.visit
    if visit is None:
        return ""
    plate = visit.left.plate
    if "rubbing" in visit.right:
        return "short-development" if float(act.was) < float(act.right) else "overdeveloped"
    if "rinse" in visit.right and float(act.was) < float(act.right):
        return "rinse-skipped"
    if plate.pool is not None:
        return "dried-on"
    if plate.rinsed != "none" or plate.squeegeed:
        return "gum-late"
    return "dried-on" if plate.treatments else "fogged"


def _of_amount(act: Act) -> str:
    below, above = _BELOW_ABOVE[act.control]
    was, right = float(act.was), float(act.right) if act.right != "" else 0.0
    if act.control == "units" and not was and act.visit is not None:
        return _FORGOTTEN[act.visit.burn]
    if act.kind == "extra":
        return below
    return below if was < right else above


def _later_on(act: Act, events: Sequence[Event]) -> bool:
    """Was the pump switched on after all, at a later step?"""
    end = act.visit.end if act.visit is not None else 0
    return any(
        isinstance(one.body, BenchSet) and (one.body.control, one.body.value) == ("pump", "on")
        for one in events[end:]
    )
