"""Plots on a real screen: without colours every cell stays, and poor colours are enough."""

from __future__ import annotations

import pytest
from review_values import chart, curve_row
from textual.app import App, ComposeResult
from textual.content import Content

from trainer.screens import themes
from trainer.screens.widgets.drawn import Drawn
from trainer.screens.widgets.plot_chart import control_chart
from trainer.screens.widgets.plot_curve import curve


class Shown(App[None]):
    """A plot, and nothing else."""

    CSS = "Drawn { height: 1fr; }"

    def __init__(self, lines: tuple[Content, ...], theme: str, *, ansi: bool) -> None:
        super().__init__(ansi_color=ansi)
        self._lines = lines
        for known in themes.THEMES:
            self.register_theme(known)
        self.theme = theme

    def compose(self) -> ComposeResult:
        """One widget."""
        yield Drawn()

    def on_mount(self) -> None:
        """Draw."""
        self.query_one(Drawn).draw_lines(self._lines)


async def cells(lines: tuple[Content, ...], theme: str, *, ansi: bool) -> tuple[str, set[object]]:
    """The characters on the terminal, and the colours."""
    app = Shown(lines, theme, ansi=ansi)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        strips = [list(strip) for strip in app.screen._compositor.render_strips()]
    styles = [piece.style for row in strips for piece in row if piece.style]
    colours = {colour for style in styles for colour in (style.color, style.bgcolor) if colour}
    return "\n".join("".join(piece.text for piece in row).rstrip() for row in strips), set(colours)


@pytest.mark.parametrize("lines", [control_chart(chart(), 78, 20).lines, curve(curve_row(), 78, 20).lines])
async def test_without_colours_nothing_is_lost(
    lines: tuple[Content, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same characters stand in full colour, in sixteen and in none."""
    full, many = await cells(lines, themes.DARK, ansi=False)
    sixteen, _ = await cells(lines, themes.SIXTEEN, ansi=True)
    monkeypatch.setenv("NO_COLOR", "1")
    none, left = await cells(lines, themes.SIXTEEN, ansi=True)
    assert full == sixteen == none
    assert len(many) > 2
    assert all(getattr(colour, "is_default", False) for colour in left)
    assert full.split("\n")[0].strip() == lines[0].plain.strip()
