"""Everything that a step asks stands on a terminal of 80 by 24: nothing of it has to be scrolled to."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from trainer import places
from trainer.procedure.load import load
from trainer.rehearsal import walk_right
from trainer.rehearsal.walk import run_walk
from trainer.rehearsal.walker import Walker
from trainer.run.view import HazardView, RunView
from trainer.screens import sheets
from trainer.screens.page import lay_out
from trainer.screens.widgets.hazard import framed
from trainer.screens.widgets.keys import of_view, row

WIDTH, HEIGHT = 80, 24
TOP, KEYS, COUNTDOWN, NUMBER = 2, 1, 10, 8
WALKS = Path(__file__).parents[1] / "walks"
pytestmark = pytest.mark.long


@pytest.fixture(scope="module")
def walked() -> Iterator[dict[str, list[RunView]]]:
    """What every walk of the shipped procedures shows, second by second, by procedure."""
    seen: dict[str, dict[RunView, None]] = {}
    go_by, do_right = Walker.pass_time, walk_right.do_right

    def look(walker: Walker) -> None:
        view = walker.run.view()
        seen.setdefault(view.procedure, {})[view] = None

    def look_and_go_by(walker: Walker, seconds: float) -> None:
        look(walker)
        go_by(walker, seconds)
        look(walker)

    def look_and_do_right(walker: Walker) -> None:
        look(walker)
        do_right(walker)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Walker, "pass_time", look_and_go_by)
        patch.setattr(walk_right, "do_right", look_and_do_right)
        for file in sorted(WALKS.glob("*.yaml")):
            if "rehearsal" not in file.stem:  # they show the same steps
                run_walk(file)
        yield {procedure: list(views) for procedure, views in seen.items()}


def rows_for_sheet(view: RunView) -> int:
    """Rows left for act and task on a small terminal."""
    taken = TOP + KEYS + (NUMBER if view.number else COUNTDOWN if view.wait else 0)
    return HEIGHT - taken


def test_every_step_of_the_shipped_procedures_is_walked(walked: dict[str, list[RunView]]) -> None:
    """The walks show every step of every shipped procedure, so that the tests below see each of them."""
    for file in sorted(places.procedures_dir().glob("*.yaml")):
        plan = load(file).require()
        shown = {view.step for view in walked[plan.procedure.id]}
        assert set(plan.steps) - shown == set()


def test_act_and_task_fit_beside_countdown_and_keys(walked: dict[str, list[RunView]]) -> None:
    """At 80x24 act and task of every step fit above the countdown, the number and the keys."""
    too_long = {
        (view.step, len(page.lines), rows_for_sheet(view))
        for views in walked.values()
        for view in views
        if not view.hazard
        for page in [lay_out(sheets.sheet(view), WIDTH - 2, rows_for_sheet(view))]
        if len(page.lines) > rows_for_sheet(view)
    }
    assert too_long == set()


def test_safety_prompts_fit_with_their_key(walked: dict[str, list[RunView]]) -> None:
    """At 80x24 every safety prompt stands whole in its frame: signal, harm, what to do, its key."""
    hazards = {view.hazard: None for views in walked.values() for view in views if view.hazard}
    assert hazards
    for hazard in hazards:
        text = framed(hazard, ("h help", ""), WIDTH, HEIGHT)[0].plain
        joined = " ".join(line.strip("▞ ■") for line in text.split("\n"))
        flat = " ".join(joined.split())
        for words in (hazard.signal.upper(), hazard.harm, *hazard.avoid, "I have read it"):
            assert " ".join(words.split()) in flat
        assert len(text.split("\n")) == HEIGHT


@pytest.mark.parametrize(("width", "height"), [(80, 24), (40, 10), (60, 14)])
def test_a_long_safety_prompt_can_be_read_to_its_end(width: int, height: int) -> None:
    """A prompt longer than the screen keeps its key, says that there is more, and can be moved to its end."""
    words = tuple(f"word{number}" for number in range(200))
    hazard = HazardView("danger", " ".join(words[:150]), (" ".join(words[150:]),))
    seen, top, pages = "", 0, 0
    while "word199" not in seen:
        content, top, room, ends = framed(hazard, ("h help", ""), width, height, top)
        assert ends == ("word199" in content.plain)
        lines = content.plain.split("\n")
        assert len(lines) == height
        assert "a  " in lines[-2]
        assert ("more of this text" in content.plain) == ("word199" not in content.plain)
        seen, top, pages = seen + content.plain, top + room - 1, pages + 1
        assert pages < 200
    assert all(word in seen for word in words)


def test_key_points_stand_on_the_sheet_or_behind_a_key(walked: dict[str, list[RunView]]) -> None:
    """At 80x24 key points that may be seen either stand below the task or have their key in the row."""
    for view in (view for views in walked.values() for view in views if view.key_points and not view.paused):
        page = lay_out(sheets.sheet(view), WIDTH - 2, rows_for_sheet(view))
        acts = sheets.acts_here(view, wide=False, whole=page.whole)
        assert page.whole or "points" in acts


def test_the_row_of_keys_fits(walked: dict[str, list[RunView]]) -> None:
    """At 80 columns the row holds at most six keys and is no wider than the terminal, at every step."""
    for view in (view for views in walked.values() for view in views):
        content, at = row(of_view(view, WIDTH), WIDTH - 2)
        assert content.cell_length <= WIDTH - 2
        assert len(at) <= 6
        assert at[-1][2] == "help"
