"""The controls of the bench on the sheet of a rehearsal: which one the keys go to, and how each is drawn.

Frozen views in, blocks and names out. Where a control stands is shown, where it ought to stand never is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from textual.content import Content

from trainer.run.measured import unit_words
from trainer.screens.page import Block
from trainer.tongue import spoken

if TYPE_CHECKING:
    from trainer.rehearsal.bench_view import BenchView, ControlView
    from trainer.run.view import ActName, RunView

TASK = "?"
"""Stands for the run's own question among the names of controls."""
MOST = 40
"""Rows for controls where nobody says how many there are; the bench has fewer controls."""
HERE = "bold"
QUIET = "$quiet"


def ring(bench: BenchView, view: RunView, *, everything: bool = False) -> tuple[str, ...]:
    """What the keys can go to: the step's controls, all others if wanted, then what the run asks."""
    if view.hazard or view.paused or view.answer or view.picking_next or view.closed:
        return ()
    names = [control.name for control in bench.controls]
    if everything:
        names += [control.name for control in bench.others]
    asked = view.number is not None or view.choice is not None
    return (*names, TASK) if asked and names else tuple(names)


def placed(names: Sequence[str], at: str) -> str:
    """Where the keys go: `at` where it is one of the names, else the first; empty where there is none."""
    return at if at in names else names[0] if names else ""


def following(names: Sequence[str], at: str) -> str:
    """The name after `at`; after the last the first."""
    return names[(names.index(at) + 1) % len(names)] if at in names else placed(names, at)


def find(bench: BenchView, name: str) -> ControlView | None:
    """The control of that name."""
    every = (*bench.controls, *bench.others)
    return next((control for control in every if control.name == name), None)


def next_position(control: ControlView) -> str:
    """The key of the position after the present one; after the last the first."""
    keys = [option.key for option in control.options]
    return keys[(keys.index(str(control.value)) + 1) % len(keys)] if str(control.value) in keys else keys[0]


def held(bench: BenchView) -> bool:
    """Whether something is being kept up."""
    return any(control.going for control in (*bench.controls, *bench.others))


def before(names: Sequence[str], at: str) -> str:
    """The name before `at`; before the first the last."""
    return following(names[::-1], at)


def acts(
    base: tuple[ActName, ...], bench: BenchView, names: Sequence[str], at: str, *, everything: bool = False
) -> tuple[ActName, ...]:
    """The run's acts `base` with those of the bench, in the order of the row of keys.

    everything: all controls are shown, and the key that closes them comes early.
    """
    if "accept" in base or base == ("next",):  # a safety prompt, a pause
        return base
    control = find(bench, at)
    made: list[ActName] = [act for act in base[:1] if act != "pick"]
    if control is None:
        made += ["pick"] if "pick" in base else []
        made += ["next"] if base[:2] == ("pick", "next") else []  # several picked: this is the answer
    elif control.options:
        made.append("pick")
    if len(names) > 1:
        made.append("control")
    made += ["controls"] if everything else []
    made += ["to_end"] if bench.busy else []
    made.append("plate")
    made += ["points"] if "points" in base[1:2] else []  # key points that have no room on the sheet
    made.append("speed")
    if held(bench) or (control and control.options):
        made.append("operate")
    made += [] if everything else ["controls"]
    digits = control is None
    return (*made, *(act for act in base if act not in made and (digits or act not in {"pick", "unit"})))


def acts_at_plate(bench: BenchView) -> tuple[ActName, ...]:
    """What works while plate and loupe have the place of the act."""
    hand: tuple[ActName, ...] = ("operate",) if held(bench) else ()
    end: tuple[ActName, ...] = ("to_end",) if bench.busy else ()
    return ("next", "loupe", "magnify", *hand, *end, "speed", "plate")


def blocks(bench: BenchView, names: Sequence[str], at: str, room: int = MOST) -> list[Block]:
    """The controls that stand in `names`, the one at `at` opened so that it can be operated.

    room: rows for them. Where they are too many for it, those around the one at `at`.
    """
    marked = find(bench, at)
    opened = _positions(marked) if marked else []
    near = _near([name for name in names if name != TASK], at, max(1, room - len(opened)))
    shown = [control for name in near if (control := find(bench, name))]
    width = max((len(control.label) for control in shown), default=0)
    place = next((n for n, control in enumerate(shown) if control.name == at), len(shown))
    made: list[Block] = []
    for number, control in enumerate(shown):
        here = control.name == at
        waits = control in bench.controls and not control.touched
        note = "   " + spoken("not touched") if waits else ""
        head = _head(control, width, note, gap=int(not number), here=here)
        made.append(replace(head, far=abs(number - place)))
        made += opened if here else []
    return made


def _near(names: Sequence[str], at: str, most: int) -> Sequence[str]:
    """At most so many names, around the marked one."""
    middle = names.index(at) if at in names else 0
    first = min(max(0, middle - most // 2), max(0, len(names) - most))
    return names[first : first + most]


def _head(control: ControlView, width: int, note: str, *, gap: int, here: bool) -> Block:
    mark = Content.styled("▸ " if here else "  ", "bold $primary")
    name = Content.styled(control.label.ljust(width + 2), HERE if here else QUIET)
    stands = Content.styled(control.shown, HERE if here else "")
    return Block(Content.assemble(mark, name, stands, (note, QUIET)), gap=gap)


def _positions(control: ControlView) -> list[Block]:
    """A line for each position, with its digit; what to do where a number is typed."""
    if control.kind == "number":
        least, most = f"{control.least:g}", f"{control.most:g} {unit_words(control.unit)}"
        limits = spoken("from {least} to {most}", least=least, most=most)
        return [Block(Content.styled(limits, QUIET), first=Content("     "), gap=0)]
    lines = [
        _position(number, option.label, stands=option.key == str(control.value))
        for number, option in enumerate(control.options, 1)
    ]
    if control.held:
        lines.append(_held(control))
    return lines


def _position(number: int, label: str, *, stands: bool) -> Block:
    first = Content.assemble("    ", (f" {number} ", "bold reverse"), " ", ("■ " if stands else "□ ", "bold"))
    return Block(Content.styled(label, HERE if stands else ""), first=first, gap=0, pick=number)


def _held(control: ControlView) -> Block:
    """What is done for as long as it is kept up: whether it goes on, and how much of it is done."""
    done = f"   {control.done}" if control.done else ""
    if control.going:
        first = Content.assemble("    ", (" d ", "bold reverse"), " ")
        return Block(Content.assemble((spoken("hands off.  It goes on"), HERE), done), first=first, gap=0)
    said = Content.styled(spoken("A digit begins it; d takes the hands off again.") + done, QUIET)
    return Block(said, first=Content("     "), gap=0)
