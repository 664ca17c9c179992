"""The shop's own files and the procedures that ship, read as a run reads them."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.procedure.heads import read_heads
from trainer.procedure.load import load_bytes
from trainer.procedure.problems import first_sentence, nearest
from trainer.procedure.shop import ShopFile, problems_for, read_shop
from trainer.record.doctor.asked import Asked, quoted
from trainer.record.doctor.told import Told, fine, mend, note


def shop(asked: Asked) -> Iterator[Told]:
    """The shop file, the station's name, the procedures."""
    yield from _shop_file(asked)
    yield _procedures(asked)


def _shop_file(asked: Asked) -> Iterator[Told]:
    read = read_shop(asked.shop)
    errors = [one for one in read.problems if one.severity == "error"]
    if errors:
        yield mend(
            "shop",
            f"The shop file cannot be used: {first_sentence(errors, str(asked.shop))}",
            "Mend it as it says; until then no run can be opened.",
            f"$EDITOR {quoted(asked.shop)}",
        )
    elif read.problems:
        yield note("shop", f"The shop file: {first_sentence(read.problems, str(asked.shop))}")
    elif read.tree is None:
        yield note("shop", f"There is no shop file {asked.shop}: the procedures' own numbers are used.")
    else:
        yield fine("shop", f"The shop file {asked.shop} is read")
    if not errors:
        yield from _numbers(asked, read)
    name = asked.environment.get("SINKSIDE_STATION", "") or read.station
    if name.strip():
        yield fine("station", f"The station is called {name}")
    else:
        yield note(
            "station",
            "The station has no name: a review cannot tell it from others.",
            "Give it one in the shop file (station: sink 1), or by a variable.",
            "export SINKSIDE_STATION='sink 1'",
        )


def _numbers(asked: Asked, read: ShopFile) -> Iterator[Told]:
    """The shop's numbers against the procedures they are for: where they do not fit, no run can begin."""
    heads = {head.id: head for head in read_heads(asked.procedures)}
    for name in read.first:
        if name not in heads:
            near = nearest(name, heads)
            meant = f" Was {near} meant?" if near else ""
            yield note("shop", f"The shop file offers {name} first, which is none of the shipped.{meant}")
    for name in read.settings:
        head = heads.get(name)
        if head is None:
            near = nearest(name, heads)
            meant = f" Was {near} meant?" if near else ""
            yield note("shop", f"The shop file has numbers for {name}, which is none of the shipped.{meant}")
            continue
        plan = load_bytes(head.path.read_bytes(), str(head.path)).plan
        wrong = problems_for(plan, read) if plan is not None else ()
        errors = [one for one in wrong if one.severity == "error"]
        if errors:
            yield mend(
                "shop",
                f"The shop's numbers do not fit {name}, and no run of it can be opened: "
                f"{first_sentence(errors, str(asked.shop))}",
                "Mend them as it says.",
                f"$EDITOR {quoted(asked.shop)}",
            )
        elif wrong:
            yield note("shop", f"The shop file, for {name}: {first_sentence(wrong, str(asked.shop))}")


def _procedures(asked: Asked) -> Told:
    heads = read_heads(asked.procedures)
    broken = [head for head in heads if head.problem]
    if not heads:
        return mend(
            "procedures",
            f"There are no procedures in {asked.procedures}.",
            "Install Sinkside anew.",
            "pipx reinstall sinkside",
        )
    if broken:
        return mend(
            "procedures",
            f"{len(broken)} of {len(heads)} procedures cannot be read: {broken[0].problem}",
            "See what is wrong with them.",
            f"sinkside check {quoted(asked.procedures)}",
        )
    return fine("procedures", f"{len(heads)} procedures are read")
