"""A page that is read with a plate beside it, and a loupe over the plate."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal

from trainer.screens import actions
from trainer.screens.drawing import WIDE
from trainer.screens.looking import Looking
from trainer.screens.page import Block
from trainer.screens.reading import ROWS, Reading, Result
from trainer.screens.widgets.keys import Keys, as_spoken
from trainer.screens.widgets.pane import Pane
from trainer.screens.widgets.picture import Picture
from trainer.screens.widgets.sheet import Sheet
from trainer.tongue import marked

Named = Sequence[tuple[str, str, str]]
LOOK = ("plate", actions.BY_ID["plate"].shown, actions.BY_ID["plate"].words)
AT_PLATE: Named = (
    ("plate", actions.BY_ID["plate"].shown, marked("back")),
    *((key, actions.BY_ID[key].shown, actions.BY_ID[key].words) for key in ("loupe", "magnify")),
)


class PlateReading(Reading[Result]):
    """Blocks at the left, the plate at the right from 100 columns; `i` gives plate and loupe all the room."""

    DEFAULT_CSS = """
    PlateReading #middle { height: 1fr; }
    PlateReading.plate Sheet { display: none; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(key, "look", id=f"plate.look.{key}", show=False) for key in actions.BY_ID["plate"].keys),
        *(
            Binding(key, "magnify", id=f"plate.magnify.{key}", show=False)
            for key in actions.BY_ID["magnify"].keys
        ),
        *(
            Binding(key, f"loupe('{key}')", id=f"plate.{key}", show=False)
            for key in ("left", "right", "up", "down")
        ),
        Binding("pagedown", f"move({ROWS})", id="plate.pagedown", show=False),
        Binding("pageup", f"move(-{ROWS})", id="plate.pageup", show=False),
    ]

    def __init__(self, blocks: Sequence[Block], named: Named, looking: Looking) -> None:
        super().__init__(blocks, named)
        self.looking = looking

    def compose(self) -> ComposeResult:
        """The sheet, the plate, the row of keys."""
        with Horizontal(id="middle"):
            yield Sheet()
            yield Pane()
        yield Keys()

    def show(self, blocks: Sequence[Block]) -> None:
        """Show other blocks."""
        self._blocks = tuple(blocks)
        self.query_one(Sheet).show(self._blocks)
        self.look()

    @property
    def opened(self) -> bool:
        """Whether plate and loupe have all the room."""
        return self.has_class("plate")

    def on_resize(self) -> None:
        """Beside, or behind its key."""
        self.call_after_refresh(self.look)

    def on_picture_room(self, message: Picture.Room) -> None:
        """The pictures have another size."""
        message.stop()
        self.look()

    def on_picture_pointed(self, message: Picture.Pointed) -> None:
        """A click on the plate puts the loupe there, and opens it."""
        message.stop()
        if self.looking.point(self.query_one(Pane), message):
            self.add_class("plate")
            self.look()

    def look(self) -> None:
        """Draw the plate where it is seen, and name the keys."""
        pane = self.query_one(Pane)
        pane.display = self.opened or self.app.size.width >= WIDE
        pane.set_class(self.opened, "opened")
        if pane.display:
            self.looking.draw(pane, opened=self.opened)
        self.name_keys()

    def name_keys(self) -> None:
        """The keys that work now."""
        if self.opened:
            self.query_one(Keys).show(as_spoken([*AT_PLATE]))
        else:
            super().name_keys()

    def clicked(self, action: str) -> None:
        """A click on a key."""
        if action == "plate":
            self.action_look()
        elif action == "magnify":
            self.action_magnify()

    def action_look(self) -> None:
        """Open plate and loupe, or close them."""
        self.toggle_class("plate")
        self.look()

    def action_magnify(self) -> None:
        """The next magnification."""
        if self.opened:
            self.looking.magnify()
            self.look()

    def action_loupe(self, key: str) -> None:
        """Move the loupe; where it is not open, the text."""
        if self.opened:
            self.looking.move(self.query_one(Pane), key)
            self.look()
        elif key in ("up", "down"):
            self.action_move(ROWS if key == "down" else -ROWS)
