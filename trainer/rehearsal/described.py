"""What a picture of film or plate would show, in words, for whoever works without pictures."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from trainer.run.events import Value

_LEAST = 1.0
"""Less than so many % is not seen."""
_ALL = 95.0
"""So many % look like all of it, the finest dots and lines left out."""


def described(found: Mapping[str, Value], stage: str, *, out: bool) -> tuple[str, ...]:
    """Sentences on what there is to see. `found`: the measures; `out`: the plate has left its pack."""
    if not out:
        return tuple(_film(found))
    return tuple(_struck(found) if stage in ("raw", "exposed") else _developed(found))


def _film(found: Mapping[str, Value]) -> Iterator[str]:
    holes = _number(found, "pinholes")
    if holes is None:
        return
    if holes:
        places = _count(holes, "place")
        yield f"Through the loupe the black has {places} where it is clear."
    else:
        yield "Through the loupe only the image is clear."


def _struck(found: Mapping[str, Value]) -> Iterator[str]:
    image, marks, stray = (_number(found, name) for name in ("struck", "marks_struck", "stray"))
    if image is not None:
        yield f"Of the image, {_share(image)} has changed colour."
    if marks is not None:
        yield f"Of the marks, {_share(marks)} has changed colour."
    if stray is not None and stray >= _LEAST:
        yield f"Beside image and marks, {_share(stray)} has changed colour too."


def _developed(found: Mapping[str, Value]) -> Iterator[str]:
    background, solid, ghosts = (_number(found, name) for name in ("background", "solid_step", "ghost_steps"))
    if background is not None:
        yield (
            f"A tint of the coating is left on the metal: {background:.0f} %."
            if background >= _LEAST
            else "The metal is clean."
        )
    if (dot := _number(found, "smallest_dot")) is not None:
        yield f"The smallest dots that held are of {dot:g} %."
    if solid is not None:
        grey = f", and the next {_count(ghosts, 'step')} grey" if ghosts else ""
        yield f"The wedge is solid up to step {solid:g}{grey}."
    for name, words in _FAULTS.items():
        amount = found.get(name)
        if isinstance(amount, bool):
            continue
        if isinstance(amount, int | float) and amount >= _LEAST:
            yield words.format(amount=amount)
    if found.get("right_reading") is False:
        yield "The image reads the wrong way round."
    if found.get("marks") is False:
        yield "Not all marks are there."


_FAULTS: Mapping[str, str] = {
    "image_missing": "Of the image, {amount:.0f} % is not there.",
    "unwanted": "There is solid coating where there should be none: {amount:.0f} cm².",
    "uneven": "One place kept more coating than the rest: {amount:.0f} % more.",
    "pinholes": "Specks that would print: {amount:.0f}.",
    "scratches": "Scratches go through the image: {amount:.0f} mm.",
    "oxidised": "The metal has oxidised in places: {amount:.0f} %.",
}


def _number(found: Mapping[str, Value], name: str) -> float | None:
    value = found.get(name)
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def _share(percent: float) -> str:
    if percent >= _ALL:
        return "all"
    return "nothing" if percent < _LEAST else f"{percent:.0f} %"


def _count(number: float, word: str) -> str:
    return f"one {word}" if number == 1 else f"{number:g} {word}s"
