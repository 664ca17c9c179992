"""What a view says in words: shared by the screens and the lines of text. Pure functions of frozen values."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from trainer.tongue import marked, spoken

if TYPE_CHECKING:  # 5 ms, and the start screen shows no run
    from trainer.run.view import RunView, WaitView

SIGNALS = {"danger": marked("DANGER"), "warning": marked("WARNING"), "caution": marked("CAUTION")}
"""The signal words, as ANSI Z535 uses them."""
GUIDANCE = {
    "full": marked("act, key points, reasons, picture"),
    "cued": marked("the act; key points when asked for, and asking is recorded"),
    "solo": marked("told nothing: pick what comes next, then do it"),
}

LEVELS = {"full": marked("full"), "cued": marked("cued"), "solo": marked("solo")}
"""What the levels of guidance are called."""

KINDS = {
    "wet": marked("wet run, with real material"),
    "rehearsal": marked("rehearsal, on a simulated bench"),
    "faults": marked("fault practice, on plates that went wrong"),
}
"""What each kind of run is called on the start screen."""


def clock_text(seconds: float, *, up: bool = False) -> str:
    """`mm:ss`, or `h:mm:ss` from an hour on. What remains is rounded up; what has passed (`up`) down."""
    whole = max(0, math.floor(seconds) if up else math.ceil(seconds - 1e-6))
    hours, rest = divmod(whole, 3600)
    minutes, left = divmod(rest, 60)
    return f"{hours}:{minutes:02}:{left:02}" if hours else f"{minutes:02}:{left:02}"


def span_text(seconds: float) -> str:
    """A length of time in words: `45 s`, `1 min 30 s`, `2 h 5 min`."""
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    if whole < 3600:
        minutes, left = divmod(whole, 60)
        return f"{minutes} min {left} s" if left else f"{minutes} min"
    hours, minutes = divmod(whole // 60, 60)
    return f"{hours} h {minutes} min" if minutes else f"{hours} h"


def number_text(value: float) -> str:
    """A number without a useless `.0`."""
    return f"{value:.6g}"


def primary_words(view: RunView) -> str:
    """What the primary key does now, in one to three words."""
    if view.paused:
        return spoken("back at the sink")
    if view.answer:
        return spoken("go on")
    if view.number:
        return spoken("enter")  # also where it is the count of a dose that nobody watched
    if view.wait and view.wait.state == "ready":
        return spoken("it has started") if view.wait.form == "dose" else spoken("start the clock")
    if view.wait:
        return spoken("it has stopped") if view.wait.form == "dose" else spoken("go on")
    if view.choice and (view.choice.several or view.choice.ordered):
        return spoken("that is my answer")
    if view.worked or view.offer or view.sign:
        return spoken("go on")
    return spoken("done")


def wait_flag(wait: WaitView) -> str:
    """The one word that is shown large when a wait rings; nothing while it only runs."""
    if wait.state == "due":
        return spoken("TIME") if wait.form == "countdown" else spoken("OPEN")
    return {"closing": spoken("CLOSING"), "late": spoken("LATE")}.get(wait.state, "")


def wait_figures(wait: WaitView) -> str:
    """What the large figures show: time to go, time over, or the units of a dose."""
    if wait.form == "dose":
        return number_text(wait.units) if wait.units is not None else "-"
    if wait.state == "unknown":
        return "--:--"
    if wait.state == "ready":
        return clock_text((wait.seconds if wait.form == "countdown" else wait.at_least) or 0)
    over = _over(wait)
    if over is not None:
        return clock_text(over, up=True)
    return clock_text(wait.remaining or 0)


def _over(wait: WaitView) -> float | None:
    """Seconds past the end of a countdown or the close of a window."""
    if wait.form == "countdown" and wait.state == "due":
        return max(0.0, (wait.elapsed or 0) - (wait.seconds or 0))
    if wait.state == "late":
        return max(0.0, (wait.elapsed or 0) - (wait.at_most or 0))
    return None


def wait_label(wait: WaitView) -> str:
    """What the large figures are, in a few words beside or above them."""
    if wait.form == "dose":
        return _dose_label(wait)
    if wait.state == "unknown":
        return spoken("time not known")
    if wait.form == "countdown":
        counting = {"ready": spoken("to wait, once started"), "due": spoken("past the time")}
        return counting.get(wait.state, spoken("to go"))
    labels = {
        "ready": spoken("at least, once started"),
        "running": spoken("until you may go on"),
        "due": spoken("left to go on"),
        "closing": spoken("left, then it is too late"),
        "late": spoken("too late by this much"),
    }
    return labels[wait.state]


def _dose_label(wait: WaitView) -> str:
    if wait.state == "ready":
        return spoken("units to set")
    if wait.elapsed is None:
        return spoken("units set")
    return spoken("units set, {time} gone by", time=clock_text(wait.elapsed, up=True))


def wait_sentences(
    wait: WaitView, *, number_asked: bool = False, by_hand: bool = False, key: str = ""
) -> tuple[str, ...]:
    """What to know and do about the wait; what is out of the ordinary stands in the run's own notice.

    number_asked: the exposure went on unwatched, and the integrator's own count is typed. by_hand: at the
    simulated bench the clock starts with what the hands begin. key: the primary one, Space where not said.
    """
    if number_asked:
        return (
            spoken(
                "It was set to {units} units. Where it has counted down to 0, type {units}.",
                units=number_text(wait.units or 0),
            ),
        )
    said = (
        _begun_by_hand(wait)
        if by_hand and wait.state == "ready"
        else _wait_rule(wait, key or spoken("Space"))
    )
    return (said,) if said else ()


def _begun_by_hand(wait: WaitView) -> str:
    if wait.form == "dose":
        units = number_text(wait.units or 0)
        return spoken(
            "Set the integrator to {units} units. The clock starts as you light the lamp.", units=units
        )
    if wait.form == "countdown":
        return spoken("{time}. The clock starts as you begin.", time=span_text(wait.seconds or 0))
    least, most = _limits(wait)
    return spoken(
        "Not before {least}, not after {most}. The clock starts as you begin.", least=least, most=most
    )


def _limits(wait: WaitView) -> tuple[str, str]:
    """The least and the most of a window."""
    most = spoken("as long as it takes") if wait.at_most is None else span_text(wait.at_most)
    return span_text(wait.at_least or 0), most


def _wait_rule(wait: WaitView, key: str) -> str:
    if wait.state == "unknown":
        return ""  # the run asks about it, and says why
    if wait.form == "dose":
        return _dose_rule(wait, key)
    if wait.form == "countdown":
        if wait.state == "ready":
            return spoken("{time}. Press {key} as you begin.", key=key, time=span_text(wait.seconds or 0))
        if wait.state == "due":
            return spoken("Time is up. Go on.")
        return spoken("Wait. It rings when the time has come.")
    least, most = _limits(wait)
    rules = {
        "ready": spoken(
            "Not before {least}, not after {most}. Press {key} as you begin.",
            least=least,
            most=most,
            key=key,
        ),
        "running": spoken("Not before {least}. It rings when you may go on.", least=least),
        "due": spoken("You may go on now. Not after {most}.", most=most),
        "closing": spoken("Go on now: {most} is nearly over.", most=most),
        "late": spoken("It has been more than {most}. Go on at once.", most=most),
    }
    return rules[wait.state]


def _dose_rule(wait: WaitView, key: str) -> str:
    units = number_text(wait.units or 0)
    guess = ""
    if wait.estimate is not None:
        time = span_text(wait.estimate)
        guess = " " + spoken("That took about {time} in earlier exposures here.", time=time)
    if wait.state == "ready":
        said = spoken(
            "Set the integrator to {units} units. Press {key} as the exposure starts.", units=units, key=key
        )
        return said + guess
    return spoken("Press {key} when the machine's integrator has stopped by itself.", key=key) + guess


def place_words(view: RunView) -> tuple[str, ...]:
    """Where in the work, in parts: step, plate, and for whom."""
    step = (
        spoken("a step aside")
        if view.aside
        else spoken("step {number} of {all}", number=view.step_number, all=view.steps_in_stage)
    )
    who = " ".join(f"{view.trainee} {view.job} {view.colour}".split())
    guidance = spoken("guidance {level}", level=spoken(LEVELS[view.guidance]))
    return (step, spoken("plate {number}", number=view.plate), who, guidance)


def stage_words(view: RunView) -> str:
    """What the stage at hand is called."""
    return view.stages[view.stage_number - 1] if view.stages else view.stage


def signal_word(signal: str) -> str:
    """The signal word of a safety prompt."""
    return spoken(SIGNALS[signal])


def verdict_word(view: RunView) -> str:
    """What is said first about a typed number that was not taken."""
    if view.number is None or not view.number.verdict:
        return ""
    return spoken("Not yet good.") if view.number.verdict == "miss" else spoken("A slip of the keys?")


def answer_word(right: bool) -> str:
    """`Right` or `Not right`."""
    return spoken("Right.") if right else spoken("Not right.")
