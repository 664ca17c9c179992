"""What is typed and picked: readings, judgements, quizzes of all four kinds."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from run_kit import Sink, plan_of, plan_with

from trainer.run import answers
from trainer.run import events as ev
from trainer.run.measured import measured, unit_words
from trainer.run.refusals import Refused
from trainer.run.view import NumberView

NUMBERS = st.floats(min_value=-99_999, max_value=99_999).map(lambda value: round(value, 3))


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("22", 22),
        ("21.5", 21.5),
        ("21,5", 21.5),
        (" 7 ", 7),
        ("+3", 3),
        ("-0.5", -0.5),
        (".5", 0.5),
        (",5", 0.5),
        ("8.", 8),
        ("007", 7),
    ],
)
def test_numbers_are_read_with_point_or_comma(typed: str, value: float) -> None:
    """A number is read as people type it, with a decimal point or comma."""
    assert answers.number(typed) == value


@pytest.mark.parametrize(
    "typed",
    [
        "",
        " ",
        "-",
        ".",
        "1.2.3",
        "1,234.5",
        "1e9",
        "nan",
        "inf",
        "0x10",
        "²",
        "٣",
        "1_0",
        "12 inHg",
        "9" * 16,
    ],
)
def test_other_text_is_no_number(typed: str) -> None:
    """Anything else is refused with a sentence."""
    with pytest.raises(Refused, match=r"number.*\."):
        answers.number(typed)


@given(NUMBERS, st.sampled_from([".", ","]))
def test_every_number_with_three_places_is_read(value: float, mark: str) -> None:
    """Every number that an instrument can show is read back exactly."""
    assert answers.number(f"{value:.3f}".replace(".", mark)) == value


def at_gauge() -> Sink:
    """A run that asks for the vacuum gauge."""
    sink = Sink.open().until("read-gauge")
    sink.settle()
    return sink


def test_good_reading_goes_on() -> None:
    """A reading that is good is recorded as typed and in its own unit, and goes on."""
    sink = at_gauge()
    sink.run.enter("22,5")
    taken = sink.bodies(ev.ReadingTaken)[-1]
    assert (taken.value, taken.unit, taken.typed, taken.typed_unit) == (22.5, "inHg", "22,5", "inHg")
    assert taken.verdict == "ok"
    assert sink.run.state.step == "mind-the-light"


def test_reading_in_another_unit() -> None:
    """A reading may be typed in any unit of its kind, and is kept in its own."""
    # Source: trade-facts V04, 20 inHg = 67.73 kPa (to 0.01 kPa), computed from V01.
    sink = at_gauge()
    number = sink.run.view().number
    assert number is not None
    assert number.units[:2] == ("inHg", "kPa")
    assert "unit" in sink.run.view().acts
    sink.run.enter("67.73", "kPa")
    taken = sink.bodies(ev.ReadingTaken)[-1]
    assert taken.value == pytest.approx(20, abs=0.003)
    assert (taken.typed, taken.typed_unit) == ("67.73", "kPa")


def test_a_number_typed_in_the_wrong_unit_shows() -> None:
    """What was typed in another unit is told in the procedure's own too: 22 meant in inHg, typed as kPa."""
    # Source: trade-facts V04, 20 inHg = 67.73 kPa, so 22 kPa = 6.496 inHg.
    sink = at_gauge()
    sink.run.enter("22", "kPa")
    number = sink.run.view().number
    assert number is not None
    assert (number.last, number.verdict) == ("22 kPa (6.5 inHg)", "miss")
    for _ in range(2):
        sink.settle()
        sink.run.enter("22", "kPa")
    assert sink.run.view().step == "find-leak"
    assert sink.run.view().notice == "You read 22 kPa (6.5 inHg)."
    earlier = sink.run.look_back(1)
    assert earlier is not None
    assert earlier.notice == "At this step: 22 kPa (6.5 inHg)."


@pytest.mark.parametrize("typed", ["12.5", "0,5"])
def test_half_a_piece_is_no_count(typed: str) -> None:
    """What is counted is a whole number, however it is written."""
    one = "reading: {name: humidity, unit: '%RH', plausible: [5, 100], right: 50}"
    plan = plan_with(one, one.replace("'%RH'", "each"))
    sink = Sink.open(plan=plan).until("room-humidity")
    sink.settle()
    with pytest.raises(Refused, match="whole number"):
        sink.run.enter(typed)
    assert sink.run.state.step == "room-humidity"
    sink.settle()
    sink.run.enter("50.0")
    assert sink.bodies(ev.ReadingTaken)[-1].value == 50


@pytest.mark.parametrize("unit", ["units", "furlong", "degC", "psi "])
def test_unit_of_another_kind_is_refused(unit: str) -> None:
    """A unit of another kind, or none that is known, is refused with those that fit."""
    sink = at_gauge()
    with pytest.raises(Refused, match="Type it in inHg"):
        sink.run.enter("22", unit)


def test_slip_is_asked_again_and_is_no_try() -> None:
    """A number that the gauge cannot show is a slip: recorded, asked again, neither taken nor counted."""
    sink = at_gauge()
    sink.run.enter("225")
    view = sink.run.view()
    assert view.number == NumberView(
        ("inHg", "kPa", "mbar", "mmHg", "bar"),
        "225 inHg",
        "slip",
        "It can only be between 0 inHg and 30 inHg. Look again and type it again.",
    )
    assert sink.bodies(ev.ReadingTaken)[-1].verdict == "slip"
    assert sink.run.state.taken("readings.vacuum") is None
    assert "read-gauge" not in sink.run.state.tries
    assert sink.kinds()[-1] == "reading_taken"


def test_miss_is_asked_again_with_what_to_do() -> None:
    """A plausible reading that is not good is recorded, and asked again with the procedure's own words."""
    sink = at_gauge()
    sink.run.enter("17")
    number = sink.run.view().number
    assert number is not None
    assert (number.last, number.verdict) == ("17 inHg", "miss")
    assert number.say.startswith("The pump has not finished")
    assert sink.kinds()[-3:] == ["reading_taken", "moved", "step_shown"]
    assert sink.run.state.tries["read-gauge"] == 1
    assert sink.run.state.visit == 2
    sink.settle()
    sink.run.enter("22")
    assert [body.verdict for body in sink.bodies(ev.ReadingTaken)[-2:]] == ["miss", "ok"]


def test_third_miss_goes_another_way() -> None:
    """Where the procedure says so, the third miss leads to an aside, which leads back."""
    sink = at_gauge()
    for _ in range(3):
        sink.settle()
        sink.run.enter("17")
    view = sink.run.view()
    assert (view.step, view.aside) == ("find-leak", True)
    assert view.notice == "You read 17 inHg."
    sink.until("read-gauge")
    number = sink.run.view().number
    assert number is not None
    assert (number.last, number.verdict) == ("", "")
    assert [body.why for body in sink.bodies(ev.Moved) if body.to == "find-leak"] == ["guard"]


@pytest.mark.parametrize(
    ("typed", "verdict"), [("0", "miss"), ("30", "ok"), ("30.1", "slip"), ("-0.1", "slip")]
)
def test_limits_are_plausible(typed: str, verdict: str) -> None:
    """The limits of what is plausible belong to it."""
    sink = at_gauge()
    sink.run.enter(typed)
    assert sink.bodies(ev.ReadingTaken)[-1].verdict == verdict


def test_limit_in_another_unit_is_plausible() -> None:
    """A limit typed in another unit is not a slip for the last bit of its conversion."""
    sink = at_gauge()
    sink.run.enter("101.5916", "kPa")  # 30 inHg is 101.59167 kPa (trade-facts V01)
    assert sink.bodies(ev.ReadingTaken)[-1].verdict == "ok"


def test_judgement_decides_the_way() -> None:
    """A judgement is recorded, unmarked in a wet run, and its answer decides the way on."""
    sink = Sink.open().until("film-clean")
    sink.settle()
    choice = sink.run.view().choice
    assert choice is not None
    assert [option.key for option in choice.options] == ["clean", "spots"]
    for place in (0, 3, -1):
        sink.settle()
        with pytest.raises(Refused, match="digit"):
            sink.run.pick(place)
    sink.settle()
    sink.run.pick(2)
    assert sink.bodies(ev.Judged) == [ev.Judged("film", "spots", right=None, keeps_run=True)]
    assert sink.run.state.step == "opaque-spots"
    sink.until("room-humidity")
    assert [body.answer for body in sink.bodies(ev.Judged)] == ["spots", "clean"]


@pytest.mark.parametrize(("place", "right"), [(1, True), (2, False), (3, False)])
def test_choice_quiz(place: int, *, right: bool) -> None:
    """One answer of several is taken at once; the reason is said whatever it was, and stays until `next`."""
    sink = Sink.open().until("why-units")
    sink.settle()
    assert sink.run.view().quiz_question == "Why does the integrator count units and not seconds?"
    sink.run.pick(place)
    answer = sink.run.view().answer
    assert answer is not None
    assert (answer.right, answer.wanted[:6]) == (right, "A cold")
    assert answer.because.startswith("The plate needs a dose")
    assert sink.bodies(ev.QuizAnswered) == [
        ev.QuizAnswered("why_units", "choice", ("abc"[place - 1],), right)
    ]
    sink.settle()
    with pytest.raises(Refused):
        sink.run.pick(1)
    sink.settle()
    sink.run.next()
    assert sink.run.state.step == "what-leaks"


@pytest.mark.parametrize(
    ("presses", "given", "right"),
    [
        ((1, 3), ("tape", "film"), True),
        ((3, 1), ("tape", "film"), True),
        ((1, 2, 3, 2), ("tape", "film"), True),
        ((1,), ("tape",), False),
        ((1, 2, 3), ("tape", "opaque", "film"), False),
    ],
)
def test_choices_quiz(presses: tuple[int, ...], given: tuple[str, ...], *, right: bool) -> None:
    """Several answers are marked and unmarked, in any order, and submitted by the primary act."""
    sink = Sink.open().until("what-leaks")
    sink.settle()
    assert "next" not in sink.run.view().acts
    with pytest.raises(Refused, match="all that are right"):
        sink.run.next()
    sink.settle()
    for place in presses:
        sink.run.pick(place)
    choice = sink.run.view().choice
    assert choice is not None
    assert choice.several
    assert {option.key for option in choice.options if option.picked} == set(given)
    assert "next" in sink.run.view().acts
    sink.run.next()
    assert sink.bodies(ev.QuizAnswered)[-1] == ev.QuizAnswered("what_leaks", "choices", given, right)
    assert sink.run.state.taken("answers.what_leaks") is not None


@pytest.mark.parametrize(
    ("typed", "unit", "right"),
    [("40", "", True), ("41", "units", True), ("39", "", True), ("41.1", "", False)],
)
def test_number_quiz(typed: str, unit: str, *, right: bool) -> None:
    """A number is right within what the question allows; it is kept as text and as a number."""
    sink = Sink.open().until("how-many-units")
    sink.settle()
    assert sink.run.view().number == NumberView(("units",))
    sink.run.enter(typed, unit)
    given = sink.bodies(ev.QuizAnswered)[-1]
    assert (given.form, given.answer, given.right) == ("number", (typed,), right)
    assert getattr(sink.run.state.taken("answers.how_many_units"), "value", None) == float(typed)
    answer = sink.run.view().answer
    assert answer is not None
    assert answer.wanted == "40 units"


def test_order_quiz_right() -> None:
    """What is to be ordered is picked in order, shown with its place, and submitted by the primary act."""
    sink = Sink.open().until("which-order")
    sink.settle()
    keys = [option.key for option in getattr(sink.run.view().choice, "options", ())]
    for key in ("plate", "film"):
        sink.run.pick(keys.index(key) + 1)
    with pytest.raises(Refused, match="Pick all of them"):
        sink.run.next()
    sink.settle()
    sink.run.pick(keys.index("mask") + 1)
    options = getattr(sink.run.view().choice, "options", ())
    assert {option.key: option.place for option in options} == {"plate": 1, "film": 2, "mask": 3}
    sink.run.next()
    assert sink.bodies(ev.QuizAnswered)[-1] == ev.QuizAnswered(
        "which_order", "order", ("plate", "film", "mask"), right=True
    )
    answer = sink.run.view().answer
    assert answer is not None
    assert answer.given == answer.wanted == "Plate, then Film, then Mask"


def test_order_quiz_wrong() -> None:
    """Another order is wrong, and the right one is told."""
    sink = Sink.open().until("which-order")
    sink.settle()
    keys = [option.key for option in getattr(sink.run.view().choice, "options", ())]
    for key in ("mask", "film", "plate"):
        sink.run.pick(keys.index(key) + 1)
    sink.run.next()
    assert sink.bodies(ev.QuizAnswered)[-1].right is False


@given(st.text(max_size=10))
def test_order_is_never_shown_solved(run: str) -> None:
    """What is to be put in order is never shown in the right order, and always alike in one run."""
    quiz = plan_of("plate").steps["which-order"].quiz
    assert quiz is not None
    shown = list(answers.options(quiz, run))
    assert sorted(shown) == ["film", "mask", "plate"]
    assert shown != ["plate", "film", "mask"]
    assert shown == list(answers.options(quiz, run))


def test_marks_do_not_outlive_their_question() -> None:
    """What was marked and not submitted is gone after a restart: nothing but the record is kept."""
    sink = Sink.open().until("what-leaks")
    sink.settle()
    sink.run.pick(1)
    sink.restart()
    choice = sink.run.view().choice
    assert choice is not None
    assert not any(option.picked for option in choice.options)


def test_answer_can_lead_back_and_be_given_again() -> None:
    """Where the procedure leads a wrong answer back, the question is asked again, and both answers stay."""
    plan = plan_with(
        "because: The plate needs a dose; the lamp gives it slower when it is cold or old.\n",
        "because: The plate needs a dose; the lamp gives it slower when it is cold or old.\n"
        "        go:\n          - {when: \"answers.why_units != 'a'\", to: why-units}\n",
    )
    sink = Sink.open(plan=plan).until("why-units")
    sink.settle()
    sink.run.pick(2)
    sink.settle()
    sink.run.next()
    view = sink.run.view()
    assert (view.step, view.answer) == ("why-units", None)
    sink.until("what-leaks")
    assert [body.right for body in sink.bodies(ev.QuizAnswered)] == [False, True]


def test_a_count_is_asked_in_words() -> None:
    """Nobody types a number in `each`: what is counted is told as pieces, where a unit stands alone."""
    assert unit_words("each") == "pieces"
    assert measured(12, "each") == "12"
