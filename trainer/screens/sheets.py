"""What the sheet in the middle of the run screen says, for every kind of task: frozen view in, blocks out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from textual.content import Content

from trainer.run.view import ActName, ChoiceView, OfferView, Option, RunView
from trainer.screens import words
from trainer.screens.page import Block
from trainer.tongue import spoken

ACT = "bold on $panel"
ASK = "bold"
QUIET = "$quiet"
BAD = "bold $error"
LOUD = "bold reverse $primary"
LEAD = 10
"""Cells for the words before an answer."""


def text(words_said: str, style: str = "") -> Content:
    """`words_said` as it stands, in one style."""
    return Content.styled(words_said, style) if style else Content(words_said)


def sheet(  # noqa: PLR0913 - all named where it is called
    view: RunView,
    *,
    points_beside: bool = False,
    looking_back: bool = False,
    controls: Sequence[Block] = (),
    digits: bool = True,
    by_hand: bool = False,
) -> list[Block]:
    """All blocks of the sheet. points_beside: the key points stand in a column of their own.

    controls: of a rehearsal's bench, between the act and what is asked. digits: whether they pick an answer.
    by_hand: the clock of a wait starts with the hands.
    """
    if view.hazard:
        return [*_notice(view), *_hazard(view)]
    if view.paused and not looking_back:
        return _paused(view)
    blocks = [*_notice(view), *_act(view), *controls, *_task(view, digits=digits, by_hand=by_hand)]
    if not points_beside:
        blocks += _spare(view)
    return blocks


def _paused(view: RunView) -> list[Block]:
    blocks = [
        Block(text(spoken("PAUSED"), "bold"), band=LOUD),
        Block(text(spoken("Press Space or p when you are back at the sink."))),
    ]
    if view.wait:
        blocks.append(Block(text(spoken("The wait goes on, and rings."))))
    return blocks


def _hazard(view: RunView) -> list[Block]:
    """A safety prompt that is only looked back at; the one to accept has the screen for itself."""
    hazard = view.hazard
    if hazard is None:
        return []
    signal = words.signal_word(hazard.signal)
    avoid = [
        Block(text(act), first=text("■ ", "bold"), gap=int(not number))
        for number, act in enumerate(hazard.avoid)
    ]
    return [Block(text(signal, "bold"), band=LOUD), Block(text(hazard.harm, "bold")), *avoid]


def _notice(view: RunView) -> list[Block]:
    if not view.notice:
        return []
    return [Block(text(view.notice, "bold $warning"), first=text("! ", "bold $warning"))]


def _question(view: RunView) -> str:
    """What is asked in words now, if anything is."""
    return view.choice.ask if view.choice else view.quiz_question


def _act_is_told(view: RunView) -> bool:
    """Whether the act stands above the task: not while it is picked, nor where the question says it all."""
    return bool(view.act) and not view.picking_next and view.act != _question(view)


def _act(view: RunView) -> list[Block]:
    """The act, large: bold on a band of its own."""
    if not _act_is_told(view):
        return []
    return [Block(text(view.act), band=ACT, large=True)]


def _task(view: RunView, *, digits: bool, by_hand: bool) -> list[Block]:
    blocks: list[Block] = []
    if view.wait:
        said = words.wait_sentences(view.wait, number_asked=view.number is not None, by_hand=by_hand)
        blocks += [Block(text(one), gap=int(not number)) for number, one in enumerate(said)]
    if view.number:
        blocks += _number(view)
    if view.choice:
        blocks += _choice(view, view.choice, digits=digits)
    if view.answer:
        blocks += _answer(view)
    if view.worked:
        blocks += _worked(view)
    if view.offer:
        blocks += _offer(view)
    if view.sign:
        blocks += _sign(view)
    return blocks


def _number(view: RunView) -> list[Block]:
    blocks = _asked(view, view.quiz_question)
    if view.number and view.number.verdict:
        last = f" {view.number.last}." if view.number.last else ""
        said = Content.assemble((words.verdict_word(view), BAD), last, " ", view.number.say)
        blocks.append(Block(said, first=text("! ", BAD)))
    return blocks


def _asked(view: RunView, question: str) -> list[Block]:
    """A question: on the band that the act would have, where there is no act above it."""
    if not question:
        return []
    return [Block(text(question, ASK), band="" if _act_is_told(view) else ACT)]


def _choice(view: RunView, choice: ChoiceView, *, digits: bool) -> list[Block]:
    blocks = _asked(view, choice.ask or (spoken("What comes next?") if view.picking_next else ""))
    if choice.several:
        blocks.append(
            Block(
                text(
                    spoken("More than one may be right: a digit picks, the same digit takes it back."), QUIET
                )
            )
        )
    elif choice.ordered:
        blocks.append(Block(text(spoken("In order: press the digits, first to last."), QUIET)))
    if not digits:
        blocks.append(Block(text(spoken("c  brings you here: then a digit answers."), QUIET), gap=0))
    for number, option in enumerate(choice.options, 1):
        blocks.append(_option(number if digits else 0, option, choice))
    return blocks


def _option(number: int, option: Option, choice: ChoiceView) -> Block:
    mark = ""
    if choice.several:
        mark = "■ " if option.picked else "□ "
    elif choice.ordered:
        mark = f"{_place(option)}. " if option.picked else "·  "
    digit = (f" {number} ", "bold reverse") if number else "   "
    first = Content.assemble("  ", digit, "  ", (mark, "bold"))
    return Block(text(option.words, "bold" if option.picked else ""), first=first, pick=number)


def _place(option: Option) -> str:
    place = option.place
    return str(place) if place else "*"


def _answer(view: RunView) -> list[Block]:
    answer = view.answer
    if answer is None:
        return []
    blocks = [Block(text(view.quiz_question, ASK))] if view.quiz_question else []
    verdict = "bold reverse $success" if answer.right else "bold reverse $error"
    blocks.append(Block(text(words.answer_word(answer.right)), band=verdict))
    blocks.append(Block(Content.assemble((_lead(spoken("You said")), QUIET), answer.given)))
    if not answer.right and answer.wanted:
        blocks.append(
            Block(Content.assemble((_lead(spoken("Wanted")), QUIET), (answer.wanted, "bold")), gap=0)
        )
    if answer.because:
        blocks.append(Block(text(answer.because)))
    return blocks


def _worked(view: RunView) -> list[Block]:
    worked = view.worked
    if worked is None:
        return []
    return [
        Block(text(worked.rule)),
        Block(text(worked.working, QUIET)),
        Block(text(worked.result, "bold"), first=text("= ", "bold $primary"), band=ACT),
    ]


def _offer(view: RunView) -> list[Block]:
    offer = view.offer
    if offer is None:
        return []
    rows = [
        Block(text(spoken("A new value for the shop:"), ASK)),
        Block(Content.assemble(offer.label, *_now(offer), (offer.new, "bold $primary"))),
        Block(Content.assemble((spoken("Limits: {limits}", limits=offer.limits), QUIET)), gap=0),
    ]
    if not offer.fits:
        rows.append(Block(text(spoken("Outside the limits: it cannot be taken."), BAD)))
        return rows
    rows.append(Block(text(spoken("s  an instructor takes it, with a PIN.   l  leave it as it is."))))
    return rows


def _now(offer: OfferView) -> tuple[str, str, str]:
    return spoken(": now "), offer.old, spoken(", offered ")


def _lead(said: str) -> str:
    """What stands before an answer, so that answers stand under one another."""
    return said.ljust(LEAD) + "  "


def _sign(view: RunView) -> list[Block]:
    sign = view.sign
    if sign is None:
        return []
    if sign.bench:
        return [
            Block(text(spoken("No instructor is near: the plate itself is looked at."), ASK)),
            Block(Content.assemble((_lead(spoken("For")), QUIET), sign.of)),
        ]
    blocks = [
        Block(text(spoken("An instructor signs here."), ASK)),
        Block(Content.assemble((_lead(spoken("For")), QUIET), sign.of)),
    ]
    if sign.last:
        blocks.append(Block(text(sign.last, "bold $warning"), first=text("! ", "bold $warning")))
    blocks.append(
        Block(text(spoken("Nobody near? The run stays open here: leave with q and come back to it."), QUIET))
    )
    return blocks


def points(view: RunView) -> list[Block]:
    """Key points and the reason, as far as the guidance lets them be seen."""
    if view.points_hidden:
        if "points" not in view.acts:
            return []
        return [Block(text(spoken("?  shows the key points"), QUIET), spare=1)]
    blocks = [
        Block(text(point), first=text("▸ ", "bold $primary"), gap=int(number == 0))
        for number, point in enumerate(view.key_points)
    ]
    if view.why:
        blocks.append(Block(Content.assemble((spoken("Why") + "  ", "bold $accent"), view.why)))
    return blocks


def side(view: RunView, drawing: Sequence[str]) -> list[Block]:
    """The column beside the act: key points and the reason, then the drawing."""
    blocks = points(view)
    if not view.points_hidden and view.key_points:
        blocks.insert(0, heading(spoken("Key points")))
    if drawing:
        blocks.append(picture(drawing))
    return blocks


def heading(said: str) -> Block:
    """A heading over a list."""
    return Block(text(said, "bold $accent"))


def acts_here(view: RunView, *, wide: bool, whole: bool) -> tuple[ActName, ...]:
    """The run's acts as they are on a screen of this size.

    Key points that may be seen but have no room stand behind their key; a drawing that stands beside the act
    needs none.
    """
    acts = list(view.acts)
    hidden_by_room = bool(view.key_points or view.why) and not wide and not whole
    if not view.points_hidden and "points" in acts:
        acts.remove("points")
    if not view.points_hidden and hidden_by_room and not view.paused:
        acts.insert(1, "points")
    if wide and "picture" in acts:
        acts.remove("picture")
    return tuple(acts)


def picture(lines: Sequence[str]) -> Block:
    """A drawing, never wrapped."""
    return Block(Content("\n".join(lines)), fixed=True)


def _spare(view: RunView) -> list[Block]:
    """Key points and the reason, where there is room: the reason goes first, the key points all together."""
    blocks = points(view)
    told = bool(view.why) and not view.points_hidden
    return [
        replace(block, spare=2 if told and number == len(blocks) else 1)
        for number, block in enumerate(blocks, 1)
    ]
