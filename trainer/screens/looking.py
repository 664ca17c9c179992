"""Looking at a plate: all of it and what a loupe shows, drawn anew where something differs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.rehearsal import sight
from trainer.screens import bench_words, loupe
from trainer.screens.widgets.pane import Pane
from trainer.screens.widgets.picture import Picture, colours

if TYPE_CHECKING:
    from trainer.rehearsal.sight import Seen, Sight


class Looking:
    """A plate that somebody looks at, and where the loupe is over it."""

    def __init__(self, seen: Seen) -> None:
        self.seen = seen
        self.loupe = loupe.over(seen.job.width, seen.job.height)
        self._drawn: tuple[object, ...] = ()
        self._whole: Sight | None = None

    def move(self, pane: Pane, key: str) -> None:
        """The loupe a quarter of what it shows further."""
        self.loupe = self.loupe.moved(key, *self._shows(pane))

    def _shows(self, pane: Pane) -> tuple[float, float]:
        """What the loupe shows from left to right and from top to bottom, mm."""
        size, pixel = pane.loupe.size, self._pixel(pane) / self.loupe.times
        return size.width * pixel, 2 * size.height * pixel

    def magnify(self) -> None:
        """The next magnification."""
        self.loupe = self.loupe.magnified()

    def point(self, pane: Pane, message: Picture.Pointed) -> bool:
        """Put the loupe where the whole plate was clicked; False where it was something else."""
        if message.picture is not pane.whole:
            return False
        if self._whole:
            whole = self._whole
            x, y = (message.col + 0.5) * whole.pixel, (2 * message.row + 1) * whole.pixel
            self.loupe = self.loupe.at(whole.left + x, whole.top + y)
        return True

    def _pixel(self, pane: Pane) -> float:
        """Size of a pixel of the whole plate as it is drawn there, mm."""
        if self._whole:
            return self._whole.pixel
        size = pane.whole.size
        return max(self.loupe.width / max(1, size.width), self.loupe.height / max(1, 2 * size.height))

    def draw(self, pane: Pane, *, opened: bool, told: str = "") -> None:
        """Draw plate and, where the pane is opened, loupe. told: news that may stand under them."""
        work, film = self.seen.work(), self.seen.film()
        sizes = pane.whole.size, pane.loupe.size
        if opened:
            self.loupe = self.loupe.within(*self._shows(pane))
        state = (work, film, *sizes, opened, self.loupe, told)
        if not pane.whole.size.width or state == self._drawn:
            return
        self._drawn = state
        shown, area = colours(pane.app), None
        whole = self._whole = sight.whole(self.seen, sizes[0].width, sizes[0].height, shown)
        if opened and sizes[1].width:
            part = sight.magnified(
                self.seen,
                (self.loupe.x, self.loupe.y),
                pixel=whole.pixel / self.loupe.times,
                cells=(sizes[1].width, sizes[1].height),
                colours=shown,
            )
            pane.loupe.show(part.rows)
            area = bench_words.area_of(part, whole)
        pane.whole.show(whole.rows, area)
        pane.tell(bench_words.caption("film" if film else work.stage, self.loupe, opened=opened, told=told))
