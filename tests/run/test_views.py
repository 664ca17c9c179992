"""What a run shows: both front ends draw nothing else."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields

import pytest
from run_kit import RIGHT, Sink, plan_of

from trainer.run.session import Refused, Run
from trainer.run.view import ActName, HazardView, RunView, SignView, WorkedView

STAGES = ("inspection", "vacuum", "exposure", "development", "look")
TASKS = ("hazard", "wait", "number", "choice", "answer", "worked", "offer", "sign")


def walk(guidance: str) -> list[RunView]:
    """Every view of a run of right acts with one spoiled plate, before each act."""
    sink = Sink.open("solo" if guidance == "solo" else "cued" if guidance == "cued" else "full")
    views = []
    for _ in range(300):
        views.append(sink.run.view())
        if sink.run.state.closed:
            return views
        if sink.run.state.step == "read-wedge" and sink.run.state.plate == 1:
            sink.run.spoil("dust")
        else:
            sink.right()
    raise AssertionError("the end was not reached")


@pytest.mark.parametrize("guidance", ["full", "cued", "solo"])
def test_one_task_at_a_time(guidance: str) -> None:
    """A view asks for one thing: at most one task, with a wait's choice or number as the only company."""
    for view in walk(guidance):
        asked = {task for task in TASKS if getattr(view, task) is not None}
        assert len(asked) <= 1 or asked in ({"wait", "choice"}, {"wait", "number"})
        assert bool(view.acts)


@pytest.mark.parametrize("guidance", ["full", "cued", "solo"])
def test_place_in_the_work(guidance: str) -> None:
    """Stage and step numbers stay within their counts, and stages are named in order."""
    for view in walk(guidance):
        assert view.stages == ("Inspection", "Vacuum", "Exposure", "Development", "Last look")
        assert 1 <= view.stage_number <= 5
        assert 1 <= view.step_number <= view.steps_in_stage
        assert STAGES[view.stage_number - 1] == view.stage


def test_first_view_is_whole() -> None:
    """The first view of a run says who does what, where in the work, and how."""
    view = Sink.open().run.view()
    assert (view.run, view.trainee, view.procedure, view.title) == (
        "run-1",
        "T-01",
        "plate",
        "A plate for the tests",
    )
    assert (view.guidance, view.rehearsal, view.plate) == ("full", False, 1)
    assert (view.stage, view.stage_number, view.step, view.step_number) == (
        "inspection",
        1,
        "look-at-film",
        1,
    )
    assert (view.steps_in_stage, view.aside) == (3, False)
    assert view.act == "Lay the film on the light table and look for pinholes."
    assert view.key_points == ("Mask on top", "Light table on")
    assert view.why == "Anything clear that is no image will print."
    assert view.acts == ("next", "pause", "hand_over", "note", "stop")


def test_cued_hides_key_points_until_asked_for() -> None:
    """At `cued` the act is told; key points, reason and picture come when they are asked for."""
    sink = Sink.open("cued")
    view = sink.run.view()
    assert view.act.startswith("Lay the film")
    assert (view.key_points, view.why, view.points_hidden) == ((), "", True)
    assert "points" in view.acts
    sink.run.points()
    view = sink.run.view()
    assert (len(view.key_points), view.points_hidden) == (2, False)
    assert view.why
    sink.right()
    assert sink.run.view().points_hidden is False
    assert "points" not in sink.run.view().acts


def test_full_needs_no_asking() -> None:
    """At `full` everything is shown, so there is nothing to ask for."""
    sink = Sink.open("full")
    with pytest.raises(Refused):
        sink.run.points()


def test_asides_are_not_counted() -> None:
    """An aside is told as such and keeps the number of the step before it."""
    sink = Sink.open().until("film-clean")
    sink.settle()
    sink.run.pick(2)
    view = sink.run.view()
    assert (view.step, view.aside, view.step_number, view.steps_in_stage) == ("opaque-spots", True, 2, 3)


def test_safety_prompt_is_the_same_at_every_level() -> None:
    """A safety prompt shows its signal word, the harm and how to avoid it, whatever the guidance."""
    wanted = HazardView(
        "warning",
        "The frame can crush fingers.",
        ("Both hands on the rim", "Never force the glass while the gauge shows vacuum"),
    )
    for guidance in ("full", "cued", "solo"):
        view = next(view for view in walk(guidance) if view.step == "mind-the-glass")
        assert view.hazard == wanted
        assert view.acts[0] == "accept"
        assert "next" not in view.acts


def test_worked_result_shows_rule_and_working() -> None:
    """A worked value comes with its rule in words, its working with the numbers in it, and its unit."""
    sink = Sink.open().until("read-wedge")
    sink.settle()
    sink.run.enter("4")
    view = sink.run.view()
    assert isinstance(view.worked, WorkedView)
    assert view.worked.rule.startswith("Each step is a factor")
    assert view.worked.result == "47.89 units"
    for part in ("24 units", "0.15", "6", "4", "= 47."):
        assert part in view.worked.working
    sink.restart()
    assert sink.run.view().worked == view.worked


def test_sign_off_says_what_is_signed_for() -> None:
    """A sign-off names the act that is signed for, in the procedure's words."""
    sink = Sink.open().until("sign")
    assert sink.run.view().sign == SignView("Hold the plate to the light and look for what is missing.")


def test_texts_come_in_the_runs_language() -> None:
    """Texts are in the run's language where the file has them, else in English."""
    view = Sink.open(language="es").until("draw-down").run.view()
    assert view.title == "Una plancha de prueba"
    assert view.act == "Cierre el cristal y arranque la bomba."
    assert view.stages[1] == "Vacío"
    assert view.key_points == ("Frame locked", "Ningún borde de película bajo la junta")


def test_step_without_do_says_what_its_task_is() -> None:
    """A step that leaves `do` out still tells the trainee something to do."""
    plan = plan_of("plate")
    for view in walk("full"):
        step = plan.steps[view.step]
        assert view.act or step.hazard or step.quiz


def test_looking_back_changes_nothing() -> None:
    """Looking back shows earlier steps, what was said there, and changes nothing."""
    sink = Sink.open().until("take-plate")
    state, count = sink.run.state, len(sink.events)
    back = sink.run.look_back(1)
    assert back is not None
    assert (back.step, back.acts, back.number) == ("room-humidity", ("back",), None)
    assert "50 % RH" in back.notice
    earlier = sink.run.look_back(2)
    assert earlier is not None
    assert "Clean, nothing to paint out" in earlier.notice
    first = sink.run.look_back(3)
    assert first is not None
    assert (first.step, first.key_points) == ("look-at-film", ("Mask on top", "Light table on"))
    for none in (4, 0, -1):
        assert sink.run.look_back(none) is None
    assert (sink.run.state, len(sink.events)) == (state, count)


def test_looking_back_at_a_quiz_and_a_prompt() -> None:
    """Looking back shows a question with the answer given, and a safety prompt in full."""
    sink = Sink.open().until("what-leaks")
    quiz, prompt = sink.run.look_back(1), sink.run.look_back(2)
    assert quiz is not None
    assert quiz.quiz_question.startswith("Why does")
    assert "A cold or an old lamp" in quiz.notice
    assert prompt is not None
    assert prompt.hazard is not None
    assert prompt.hazard.signal == "danger"


def test_looking_back_at_solo_tells_only_what_was_asked_for() -> None:
    """At solo a step that was done is shown as it was: key points only where they were asked for."""
    sink = Sink.open("solo")
    sink.right()
    sink.run.points()
    sink.until("take-plate")
    sink.right()
    back = sink.run.look_back(1)
    assert back is not None
    assert (back.step, back.key_points) == ("take-plate", ())
    first = sink.run.look_back(4)
    assert first is not None
    assert first.key_points == ("Mask on top", "Light table on")


def test_looking_back_over_plates() -> None:
    """Steps of a spoiled plate are still there to look back at, under their plate's number."""
    sink = Sink.open().until("draw-down")
    sink.run.spoil("dust")
    back = sink.run.look_back(1)
    assert back is not None
    assert (back.step, back.plate) == ("draw-down", 1)


def acts_of(run: Run) -> dict[ActName, Callable[[], object]]:
    """Each act with something fitting to say."""
    view = run.view()
    number = "40" if view.quiz_question else "22"
    return {
        "next": run.next if view.number is None else lambda: run.enter(number),
        "accept": run.accept,
        "pick": lambda: run.pick(1),
        "points": run.points,
        "pause": run.pause,
        "spoil": lambda: run.spoil("dust"),
        "leave_setting": run.leave_setting,
        "hand_over": lambda: run.hand_over("T-02"),
        "note": lambda: run.note("so"),
        "stop": lambda: run.stop("late"),
        "sign": lambda: run.take_setting("I-1", RIGHT) if view.offer else run.sign("I-1", RIGHT, "passed"),
    }


def is_taken(sink: Sink, act: Callable[[], object]) -> bool:
    """Is this act taken now? The run and its record are put back to where they were."""
    run, state = sink.run, sink.run.state
    kept = {name: list(events) for name, events in sink.journal.runs.items()}
    sink.settle()
    try:
        act()
    except Refused:
        return False
    finally:
        run._state, run._draft = state, (state.shown, ())
        sink.journal.runs = kept
    return True


@pytest.mark.parametrize("guidance", ["full", "solo"])
def test_footer_says_exactly_what_works(guidance: str) -> None:
    """At every step of a run each act is taken if and only if the view lists it."""
    sink = Sink.open("solo" if guidance == "solo" else "full")
    for _ in range(300):
        view = sink.run.view()
        for name, act in acts_of(sink.run).items():
            assert is_taken(sink, act) is (name in view.acts), (view.step, name)
        if sink.run.state.closed:
            return
        sink.right()
    raise AssertionError("the end was not reached")


def test_every_field_is_used() -> None:
    """Over runs with a spoiled plate every field of a view changes, but those of the run itself."""
    views = walk("cued") + walk("full") + walk("solo")
    constant = {
        field.name
        for field in fields(RunView)
        if len({repr(getattr(view, field.name)) for view in views}) == 1
    }
    assert constant == {
        "run",
        "trainee",
        "procedure",
        "title",
        "rehearsal",
        "job",
        "colour",
        "stages",
        "aside",
        "picture",
        "paused",
    }
