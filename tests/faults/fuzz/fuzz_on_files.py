"""Fuzzed: files that people write. What is wrong with one is told; what is let in can be run."""

from __future__ import annotations

from fuzz_kit import TWO_BURNS, Target, can_be_said, can_be_shown, folder, shipped, written
from run_kit import Sink

from trainer.procedure.heads import read_head
from trainer.procedure.load import load, load_bytes
from trainer.procedure.pictures import read_picture
from trainer.procedure.plan import Plan
from trainer.procedure.problems import ShopTrouble
from trainer.procedure.reader import read_tree
from trainer.procedure.shop import read_shop, settings_for, with_setting
from trainer.procedure.text import unclean
from trainer.rehearsal.walk import run_walk
from trainer.run.fold import fold
from trainer.run.refusals import Refused, TooSoon

MOST_RIGHT_ACTS = 120


def reader() -> Target:
    """The strict reader alone."""

    def target(data: bytes) -> None:
        tree = read_tree(data, "x.yaml")
        can_be_shown(tree.problems, tree.text)
        for path, place in tree.places.items():
            assert place.line <= tree.text.count("\n") + 1, path

    return target


def loading() -> Target:
    """A whole load; what is let in can be drawn and run."""

    def target(data: bytes) -> None:
        loaded = load_bytes(data, "fuzzed")
        can_be_shown(loaded.problems, loaded.source_text)
        assert (loaded.plan is None) is bool(loaded.errors), "a plan with errors, or none without"
        if loaded.plan is not None:
            drive(loaded.plan)

    return target


def drive(plan: Plan) -> None:
    """A run of a plan: right acts, a spoiled plate, a restart. Only a refusal may stop it."""
    sink = Sink.open("cued", plan=plan)
    try:
        for number in range(MOST_RIGHT_ACTS):
            view = sink.run.view()
            assert view.acts
            assert unclean(f"{view.act}{view.notice}{view.title}{view.why}") is None
            if sink.run.state.closed:
                break
            if number == 20 and "spoil" in view.acts:
                sink.run.spoil("scratched")
            if number == 30:
                sink.restart(down=1.0)
            sink.right()
    except (Refused, TooSoon):
        pass
    assert fold(plan, sink.events) == sink.run.state


def heads() -> Target:
    """The head of a file, as the start screen reads it."""
    where = folder() / "fuzzed.yaml"

    def target(data: bytes) -> None:
        with written(where, data):
            head = read_head(where)
        for text in (head.id, head.problem or ""):
            assert unclean(text) is None

    return target


def pictures() -> Target:
    """A drawing beside a procedure."""
    here = folder()
    (here / "pictures").mkdir()

    def target(data: bytes) -> None:
        with written(here / "pictures" / "drawn.txt", data):
            drawn = read_picture(here / "x.yaml", "drawn")
        for row in drawn or ():
            assert unclean(row) is None
            assert "\n" not in row

    return target


def shop() -> Target:
    """The shop file, read, used, and changed."""
    plan = load(shipped()).require()
    where = folder() / "shop.yaml"

    def target(data: bytes) -> None:
        with written(where, data):
            read = read_shop(where)
            can_be_shown(read.problems, read.text)
            try:
                settings = settings_for(plan, read)
            except ShopTrouble as trouble:
                can_be_said(trouble)
                return
            for name, value in settings.items():
                low, high = plan.procedure.settings[name].between
                assert low <= value <= high
            changed = with_setting(read.text, TWO_BURNS, "exposure", 33.0)
            where.write_text(changed, encoding="utf-8")
            after = read_shop(where)
        assert after.settings[TWO_BURNS]["exposure"] == 33.0
        was = {key: dict(own) for key, own in read.settings.items()}
        was.setdefault(TWO_BURNS, {})["exposure"] = 33.0
        assert {key: dict(own) for key, own in after.settings.items() if own} == {
            key: own for key, own in was.items() if own
        }, "another setting was changed"

    return target


def walks() -> Target:
    """A walk file, read and walked."""
    where = folder() / "fuzzed.yaml"

    def target(data: bytes) -> None:
        with written(where, data):
            result = run_walk(where)
        assert result.passed is not any(found.severity == "error" for found in result.findings)
        can_be_shown(result.findings, result.source_text)

    return target
