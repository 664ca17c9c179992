"""A small prompt over the screen: puts the questions of an asking, one after another."""

from __future__ import annotations

from collections.abc import Generator
from typing import ClassVar, Generic, TypeVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Input

from trainer.procedure.text import one_line
from trainer.screens.page import Block, lay_out
from trainer.screens.questions import LONGEST, Question
from trainer.screens.widgets.drawn import Drawn
from trainer.tongue import spoken

Got = TypeVar("Got")


class Asked(Drawn):
    """The question, the options, and how to go back."""

    DEFAULT_CSS = """
    Asked { height: 5; }
    """

    def ask(self, question: Question, said: str) -> None:
        """Draw `question`; said: what was wrong with the answer before."""
        blocks = [Block(Content.styled(question.ask, "bold"))]
        if question.more:
            blocks.append(Block(Content.styled(question.more, "$quiet"), gap=0))
        if said:
            blocks.append(Block(Content.styled(said, "bold $warning"), first=Content("! ")))
        blocks += [
            Block(
                Content(shown),
                first=Content.assemble((f" {number} ", "bold reverse"), "  "),
                gap=int(number == 1),
            )
            for number, (_, shown) in enumerate(question.options, 1)
        ]
        blocks.append(Block(Content.styled(_way_back(question), "$quiet")))
        page = lay_out(blocks, 62, 17)
        self.styles.height = len(page.lines)
        self.draw(Content("\n").join(page.lines))


class Line(Input):
    """A line to type in; what is pasted into it is cleaned, since the line is shown as it stands."""

    def _on_paste(self, event: events.Paste) -> None:
        """Take the first line of what was pasted. The library's own handler, which is not to run too."""
        event.prevent_default()
        event.stop()
        if event.text:
            self.insert_text_at_cursor(one_line(event.text.splitlines()[0]))


def _way_back(question: Question) -> str:
    if question.form == "pick":
        return spoken("b  back to the work, nothing changed")
    if question.may_be_empty:
        return spoken("Enter goes on, also without words. F10 or Esc: back, nothing changed")
    return spoken("Enter goes on. Enter with nothing typed, F10 or Esc: back, nothing changed")


class Ask(ModalScreen[Got | None], Generic[Got]):
    """Dismissed with what the asking returns, or None where the person went back."""

    DEFAULT_CSS = """
    Ask { align: center middle; }
    Ask #box { width: 70; height: auto; padding: 1 3; background: $surface; border: heavy $primary; }
    Ask Input { margin-top: 1; border: tall $primary; background: $background; }
    """
    AUTO_FOCUS = ""  # the line has the focus only where something is typed
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("b", "back", id="ask.back", show=False),
        Binding("f10,escape", "back", id="ask.leave", show=False, priority=True),
    ]

    def __init__(self, asking: Generator[Question, str, Got]) -> None:
        super().__init__()
        self._asking = asking
        self._question = next(asking)

    def compose(self) -> ComposeResult:
        """The question, and a line to type in."""
        with Vertical(id="box"):
            yield Asked()
            yield Line(max_length=LONGEST, select_on_focus=False)

    def on_mount(self) -> None:
        """Put the first question."""
        self._put("")

    def _put(self, said: str) -> None:
        line = self.query_one(Input)
        self.query_one(Asked).ask(self._question, said)
        typed = self._question.form != "pick"
        line.display = typed
        line.password = self._question.form == "secret"
        line.value = ""
        self.set_focus(line if typed else None)  # at once, so that no key is lost

    def on_key(self, event: events.Key) -> None:
        """A digit picks one of the options."""
        if self._question.form == "pick" and event.character and event.character.isdecimal():
            event.stop()
            number = int(event.character)
            if 1 <= number <= len(self._question.options):
                self._answer(self._question.options[number - 1][0])

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """A typed line; an empty one goes back, where it is no answer."""
        event.stop()
        if not event.value.strip() and not self._question.may_be_empty:
            self.dismiss(None)
            return
        self._answer(event.value)

    def _answer(self, answer: str) -> None:
        try:
            self._question = self._asking.send(answer)
        except StopIteration as finished:
            self.dismiss(finished.value)
            return
        self._put("")

    def action_back(self) -> None:
        """Go back, nothing changed."""
        self.dismiss(None)
