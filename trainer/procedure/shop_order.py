"""In which order work is offered at a station: what the shop file puts first, then by what the files are.

Light: the start screen asks for it before anything is checked.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from trainer.procedure.files import FileTrouble, read_bytes
from trainer.procedure.heads import Head, read_keys
from trainer.procedure.text import in_language


def listed_first(shop: Path) -> tuple[str, ...]:
    """The ids under `first` in the shop file, each once. Never raises: `read_shop` tells what is wrong."""
    if not shop.is_file():
        return ()
    try:
        listed = read_keys(read_bytes(shop), frozenset({"first"})).get("first")
    except FileTrouble:
        return ()
    return (
        tuple(dict.fromkeys(one for one in listed if isinstance(one, str)))
        if isinstance(listed, list)
        else ()
    )


def in_shops_order(heads: Iterable[Head], first: Sequence[str], language: str) -> list[Head]:
    """Work in the order in which it is offered, the same every day.

    What the shop lists comes first, as it lists it. Then what can be rehearsed here, before what cannot; of
    each, work that makes a plate, then tests that end in a value for the shop, then what makes none. What is
    alike goes by title.
    """
    places = {procedure: place for place, procedure in enumerate(first)}

    def place(head: Head) -> tuple[int, bool, int, str, str]:
        kind = 1 if head.is_test else 0 if head.has_plates else 2
        title = in_language(head.title, language).casefold()
        return places.get(head.id, len(places)), not head.has_bench, kind, title, head.id

    return sorted(heads, key=place)
