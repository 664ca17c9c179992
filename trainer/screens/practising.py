"""Fault practice: a plate with hidden faults is looked at and measured; digits pick cause and remedy."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal

from trainer.run.ports import Trouble
from trainer.run.refusals import Refused, TooSoon
from trainer.screens import actions, practice_page, themes
from trainer.screens.drawing import WIDE
from trainer.screens.looking import Looking
from trainer.screens.plate_reading import AT_PLATE, PlateReading
from trainer.screens.widgets.drawn import Drawn
from trainer.screens.widgets.keys import Keys, as_spoken
from trainer.screens.widgets.pane import Pane
from trainer.screens.widgets.sheet import Sheet
from trainer.tongue import marked

if TYPE_CHECKING:
    from trainer.rehearsal.practice import Practice

Named = tuple[str, str, str]


def bindings(ids: Iterable[str]) -> list[BindingType]:
    """The keys of these actions, as the registry has them."""
    return [
        Binding(key, f"act('{name}')", actions.BY_ID[name].words, show=False, id=f"practice.{name}.{key}")
        for name in ids
        for key in actions.BY_ID[name].keys
    ]


class Head(Drawn):
    """The row at the top."""

    DEFAULT_CSS = """
    Head { height: 1; padding: 0 1; background: $surface; color: $foreground; }
    """


class Practising(PlateReading[None]):
    """Dismissed when the trainee leaves; what was answered is in the record then."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *bindings(("next", "measures", "control", "picture", "light", "help", "leave")),
        *(
            Binding(key, f"pick({key})", "pick", show=False, id=f"practice.pick.{key}")
            for key in actions.BY_ID["pick"].keys
        ),
    ]

    def __init__(self, practice: Practice) -> None:
        super().__init__((), (), Looking(practice))
        self.practice = practice
        self.measuring = False
        self.first = 0
        self.said = ""
        self._plate = 0
        self._names: tuple[str, ...] = ()

    def compose(self) -> ComposeResult:
        """The head, the sheet, the plate, the row of keys."""
        yield Head()
        with Horizontal(id="middle"):
            yield Sheet()
            yield Pane()
        yield Keys()

    def on_mount(self) -> None:
        """Draw the first plate."""
        self.draw()

    def draw(self) -> None:
        """Draw what the practice shows now."""
        view = self.practice.view()
        if view.plate != self._plate:
            self._plate, self._names = view.plate, tuple(option.key for option in view.measures)
        self.query_one(Head).draw(practice_page.head(view))
        if self.measuring:
            blocks = practice_page.measures(view, self._names, self.first, self.said)
        else:
            blocks = practice_page.page(view, self.said)
        self.show(blocks)

    def named(self) -> list[Named]:
        """The keys that work now, by the registry's words."""
        view, said = self.practice.view(), {"leave": marked("end")}
        if self.opened:
            return [*AT_PLATE, ("picture", actions.BY_ID["picture"].shown, self._swap_words())]
        if self.measuring:
            said |= {"next": marked("back"), "pick": marked("take it"), "control": marked("more measures")}
            ids = ["next", "pick", *(["control"] if len(self._names) > practice_page.AT_ONCE else [])]
        else:
            ids = ["next"] if "next" in view.acts else ["pick"]
            said["next"] = marked("another plate")
            ids += ["measures", "plate", "picture"]
            said["picture"] = self._swap_words()
        every = [*ids, "leave", "help"]
        shown = {name: actions.BY_ID[name].shown for name in every}
        shown["pick"] = actions.digit_keys(self._digits())
        return [(name, shown[name], said.get(name, actions.BY_ID[name].words)) for name in every]

    def _digits(self) -> int:
        """How many there are to pick from by a digit: measures on the page, or answers."""
        if self.measuring:
            return len(self._names[self.first : self.first + practice_page.AT_ONCE])
        return len(self.practice.view().options)

    def name_keys(self) -> None:
        """The keys that work now."""
        moves = (
            [("down", marked("Down"), marked("more"))]
            if self.query_one(Sheet).moves and not self.opened
            else []
        )
        keys = self.named()
        self.query_one(Keys).show(as_spoken([*keys[:-1], *moves, *keys[-1:]]))

    def clicked(self, action: str) -> None:
        """A click on a key."""
        if action in {"plate", "magnify"}:
            super().clicked(action)
        else:
            self.action_act(action)

    def on_sheet_picked(self, message: Sheet.Picked) -> None:
        """A click on an answer is its digit."""
        self.action_pick(message.number)

    def action_act(self, action: str) -> None:
        """Do what the action's key says, if it does something now."""
        if action == "next" and self.opened:
            self.action_look()
            return
        doing: dict[str, Callable[[], object]] = {
            "next": self._next,
            "measures": self._measures,
            "control": self._more,
            "picture": self._swap,
            "light": self._change_light,
            "help": self._help,
            "leave": self._leave,
        }
        if not self.opened or action in {"picture", "light", "help", "leave"}:
            doing[action]()

    def action_pick(self, number: int) -> None:
        """A digit takes a measure, or answers."""
        if self.opened:
            return
        if self.measuring:
            names = self._names[self.first : self.first + practice_page.AT_ONCE]
            if number <= len(names):
                self.attempt(lambda: self.practice.measure(names[number - 1]))
        elif number <= len(self.practice.view().options):
            self.attempt(lambda: self.practice.pick(number))

    def attempt(self, act: Callable[[], object]) -> bool:
        """Do one act of the practice; say what was refused or went wrong. It can then be done again."""
        try:
            act()
        except TooSoon:
            return False
        except (Refused, Trouble) as told:
            self.said = str(told)
            self.draw()
            return False
        self.said = ""
        self.draw()
        return True

    def _next(self) -> None:
        if self.measuring:
            self._measures()
        elif "next" in self.practice.view().acts:
            self.attempt(self.practice.next)

    def _measures(self) -> None:
        self.measuring, self.first = not self.measuring, 0
        self.draw()

    def _swap_words(self) -> str:
        return marked("plate") if self.practice.film_is_out else marked("film")

    def _swap(self) -> None:
        """The job's film, or the plate again; opened where there is no room beside the question."""
        if self.measuring:
            return
        self.practice.swap()
        if self.practice.film_is_out and self.app.size.width < WIDE:
            self.add_class("plate")
        self.draw()

    def _more(self) -> None:
        if self.measuring:
            self.first += practice_page.AT_ONCE
            self.first = self.first if self.first < len(self._names) else 0
            self.draw()

    def _change_light(self) -> None:
        self.app.theme = themes.after(self.app.theme)

    def _help(self) -> None:
        from trainer.screens.help import Help  # its page is only made when it is asked for

        self.app.push_screen(Help(None, [name for name, _, _ in self.named()]))

    def _leave(self) -> None:
        if self.attempt(self.practice.close):
            self.dismiss(None)
