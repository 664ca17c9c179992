"""What a picture of film or plate would show, in words, for whoever works without pictures."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from trainer.run.events import Value
from trainer.tongue import counted, marked, spoken

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
        yield counted(
            "Through the loupe the black has one place where it is clear.",
            "Through the loupe the black has {number} places where it is clear.",
            round(holes),
        )
    else:
        yield spoken("Through the loupe only the image is clear.")


def _struck(found: Mapping[str, Value]) -> Iterator[str]:
    image, marks, stray = (_number(found, name) for name in ("struck", "marks_struck", "stray"))
    if image is not None:
        yield spoken("Of the image, {share} has changed colour.", share=_share(image))
    if marks is not None:
        yield spoken("Of the marks, {share} has changed colour.", share=_share(marks))
    if stray is not None and stray >= _LEAST:
        yield spoken("Beside image and marks, {share} has changed colour too.", share=_share(stray))


def _developed(found: Mapping[str, Value]) -> Iterator[str]:
    background, solid, ghosts = (_number(found, name) for name in ("background", "solid_step", "ghost_steps"))
    if background is not None:
        yield (
            spoken("A tint of the coating is left on the metal: {amount} %.", amount=f"{background:.0f}")
            if background >= _LEAST
            else spoken("The metal is clean.")
        )
    if (dot := _number(found, "smallest_dot")) is not None:
        yield spoken("The smallest dots that held are of {dot} %.", dot=f"{dot:g}")
    if solid is not None:
        step = f"{solid:g}"
        if ghosts:
            yield counted(
                "The wedge is solid up to step {step}, and the next one step grey.",
                "The wedge is solid up to step {step}, and the next {number} steps grey.",
                round(ghosts),
                step=step,
            )
        else:
            yield spoken("The wedge is solid up to step {step}.", step=step)
    for name, words in _FAULTS.items():
        amount = found.get(name)
        if isinstance(amount, bool):
            continue
        if isinstance(amount, int | float) and amount >= _LEAST:
            yield spoken(words, amount=f"{amount:.0f}")
    if found.get("right_reading") is False:
        yield spoken("The image reads the wrong way round.")
    if found.get("marks") is False:
        yield spoken("Not all marks are there.")


_FAULTS: Mapping[str, str] = {
    "image_missing": marked("Of the image, {amount} % is not there."),
    "unwanted": marked("There is solid coating where there should be none: {amount} cm²."),
    "uneven": marked("One place kept more coating than the rest: {amount} % more."),
    "pinholes": marked("Specks that would print: {amount}."),
    "scratches": marked("Scratches go through the image: {amount} mm."),
    "oxidised": marked("The metal has oxidised in places: {amount} %."),
}


def _number(found: Mapping[str, Value], name: str) -> float | None:
    value = found.get(name)
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def _share(percent: float) -> str:
    if percent >= _ALL:
        return spoken("all")
    return spoken("nothing") if percent < _LEAST else f"{percent:.0f} %"
