"""What of a step has no room on 80 columns and 24 rows: counted with the screen's own layout."""

from __future__ import annotations

from dataclasses import replace

from trainer.run.view import RunView
from trainer.screens import sheets
from trainer.screens.page import lay_out
from trainer.screens.widgets.hazard import framed

COLUMNS, ROWS = 80, 24
PLACE, KEYS, NUMBER, FIGURES = 2, 1, 8, 10
"""Rows of the parts round the sheet; a test compares them with the screen."""
_MARGINS = 2


def shortfalls(view: RunView) -> tuple[str, ...]:
    """Sentences on what will not fit at 80x24; none where all of it does."""
    if view.hazard is not None:
        moved = not framed(view.hazard, ("", ""), COLUMNS, ROWS).ends
        return (
            ("The safety prompt is longer than the screen: it has to be moved to be read.",) if moved else ()
        )
    room = rows_for(view)
    page = lay_out(sheets.sheet(view), COLUMNS - _MARGINS, room)
    bare = lay_out(
        sheets.sheet(replace(view, key_points=(), why="", points_hidden=False)), COLUMNS - _MARGINS, room
    )
    over = len(bare.lines) - room
    told = []
    if over > 0:
        told.append(f"{over} {'row' if over == 1 else 'rows'} too many: the text has to be moved to be read.")
    if not page.whole and over <= 0:
        told.append("Key points and reason have no room: they stand behind the key ?.")
    return tuple(told)


def rows_for(view: RunView) -> int:
    """The rows that the sheet has at 80x24."""
    number = NUMBER if view.number is not None else 0
    figures = FIGURES if view.wait is not None and view.number is None else 0
    return ROWS - PLACE - KEYS - number - figures
