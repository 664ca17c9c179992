"""Moving over a leaf by keys: from spot to spot, and the rows in sight. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from trainer.screens.review.laying import Laid, Spot
from trainer.screens.review.leaf import Opens


@dataclass(frozen=True, slots=True)
class Place:
    """Where somebody is on a leaf: the spot (its place among them; -1 where there is none), the first row."""

    spot: int = 0
    top: int = 0


def begun(laid: Laid, height: int, at: Opens | None = None) -> Place:
    """The place to begin at: the spot that opens `at` where there is one, else the first."""
    found = next((number for number, spot in enumerate(laid.spots) if at and spot.opens == at), 0)
    return kept(laid, height, Place(found))


def kept(laid: Laid, height: int, place: Place) -> Place:
    """The place on a leaf that was laid out anew: its spot in sight, no rows beyond the end."""
    spot = min(max(0, place.spot), len(laid.spots) - 1)
    last = max(0, len(laid.lines) - height)
    return _in_sight(laid, height, Place(spot, min(max(0, place.top), last)))


def _in_sight(laid: Laid, height: int, place: Place) -> Place:
    if not 0 <= place.spot < len(laid.spots):
        return place
    spot, pinned = laid.spots[place.spot], 0
    if any(head < spot.line <= end for head, end in laid.heads):
        pinned = 1  # the head of the table covers the first row
    top = place.top
    if spot.line - pinned < top:
        top = max(0, spot.line - pinned)
    elif spot.last >= top + height:
        top = min(spot.line - pinned, spot.last - height + 1)
    if spot.line == _first(laid.spots).line:
        top = 0 if spot.last < height else top
    return replace(place, top=max(0, top))


def moved(laid: Laid, height: int, place: Place, key: str) -> Place:
    """The place after one of the keys that move."""
    if key in ("left", "right"):
        return _sideways(laid, height, place, 1 if key == "right" else -1)
    if key in ("up", "down"):
        return _lines(laid, height, place, 1 if key == "down" else -1)
    if key in ("pageup", "pagedown"):
        return _pages(laid, height, place, 1 if key == "pagedown" else -1)
    if key == "tab":
        return _section(laid, height, place)
    end = len(laid.spots) - 1 if key == "end" else 0
    top = max(0, len(laid.lines) - height) if key == "end" else 0
    return kept(laid, height, Place(end, top))


def _sideways(laid: Laid, height: int, place: Place, step: int) -> Place:
    there = place.spot + step
    if not laid.spots or not 0 <= there < len(laid.spots):
        return place
    same = laid.spots[there].line == laid.spots[place.spot].line
    return _in_sight(laid, height, replace(place, spot=there)) if same else place


def _lines(laid: Laid, height: int, place: Place, step: int) -> Place:
    """To the nearest spot of the next line that has one; rows without any are moved past a page at a time."""
    if not laid.spots:
        return kept(laid, height, replace(place, top=place.top + step))
    here = laid.spots[place.spot]
    lines = {spot.line for spot in laid.spots if (spot.line - here.line) * step > 0}
    if not lines:
        return kept_free(laid, height, replace(place, top=place.top + step * 3))
    line = min(lines) if step > 0 else max(lines)
    beyond = line - (place.top + height - 1) if step > 0 else place.top - line
    if beyond >= height:
        return replace(place, top=max(0, place.top + step * (height - 1)))
    there = min(
        (number for number, spot in enumerate(laid.spots) if spot.line == line),
        key=lambda number: abs(laid.spots[number].start - here.start),
    )
    return _in_sight(laid, height, replace(place, spot=there))


def kept_free(laid: Laid, height: int, place: Place) -> Place:
    """The rows moved within the leaf, wherever the spot is."""
    return replace(place, top=min(max(0, place.top), max(0, len(laid.lines) - height)))


def _pages(laid: Laid, height: int, place: Place, step: int) -> Place:
    top = kept_free(laid, height, replace(place, top=place.top + step * max(1, height - 2))).top
    spots = list(enumerate(laid.spots))
    inside = [number for number, spot in spots if top + 1 <= spot.line < top + height]
    if not inside or top == place.top:
        return replace(place, top=top, spot=_end(laid, step) if top == place.top else place.spot)
    return Place(inside[0], top)


def _end(laid: Laid, step: int) -> int:
    return len(laid.spots) - 1 if step > 0 else min(0, len(laid.spots) - 1)


def _section(laid: Laid, height: int, place: Place) -> Place:
    """The first spot after the next heading, which comes to the top; after the last one, the first of all."""
    if not laid.spots:
        return place
    here = laid.spots[place.spot].line
    later = [line for line in laid.headings if line > here]
    for line in later:
        after = [number for number, spot in enumerate(laid.spots) if spot.line >= line]
        if after:
            top = min(line, max(0, len(laid.lines) - height))
            return _in_sight(laid, height, Place(after[0], top))
    return _in_sight(laid, height, Place(0, 0))


def _first(spots: Iterable[Spot]) -> Spot:
    return next(iter(spots))
