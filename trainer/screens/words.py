"""What a view says in words: shared by the screens and the lines of text. Pure functions of frozen values."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # 5 ms, and the start screen shows no run
    from trainer.run.view import RunView, WaitView

SIGNALS = {"danger": "DANGER", "warning": "WARNING", "caution": "CAUTION"}
GUIDANCE = {
    "full": "act, key points, reasons, picture",
    "cued": "the act; key points when asked for, and asking is recorded",
    "solo": "told nothing: pick what comes next, then do it",
}

KINDS = {
    "wet": "wet run, with real material",
    "rehearsal": "rehearsal, on a simulated bench",
    "faults": "fault practice, on plates that went wrong",
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
        return "back at the sink"
    if view.answer:
        return "go on"
    if view.wait and view.wait.state == "ready":
        return "it has started" if view.wait.form == "dose" else "start the clock"
    if view.wait:
        return "it has stopped" if view.wait.form == "dose" else "go on"
    if view.number:
        return "enter"
    if view.choice and (view.choice.several or view.choice.ordered):
        return "that is my answer"
    if view.worked or view.offer or view.sign:
        return "go on"
    return "done"


def wait_flag(wait: WaitView) -> str:
    """The one word that is shown large when a wait rings; nothing while it only runs."""
    if wait.state == "due":
        return "TIME" if wait.form == "countdown" else "OPEN"
    return {"closing": "CLOSING", "late": "LATE"}.get(wait.state, "")


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
        return "time not known"
    if wait.form == "countdown":
        return {"ready": "to wait, once started", "due": "past the time"}.get(wait.state, "to go")
    labels = {
        "ready": "at least, once started",
        "running": "until you may go on",
        "due": "left to go on",
        "closing": "left, then it is too late",
        "late": "too late by this much",
    }
    return labels[wait.state]


def _dose_label(wait: WaitView) -> str:
    if wait.state == "ready":
        return "units to set"
    passed = f", {clock_text(wait.elapsed, up=True)} gone by" if wait.elapsed is not None else ""
    return f"units set{passed}"


def wait_sentences(wait: WaitView, *, number_asked: bool = False) -> tuple[str, ...]:
    """What to know and do about the wait; what is out of the ordinary stands in the run's own notice.

    number_asked: the exposure went on unwatched, and the integrator's own count is typed.
    """
    if number_asked:
        return (f"It was set to {number_text(wait.units or 0)} units.",)
    said = _wait_rule(wait)
    return (said,) if said else ()


def _wait_rule(wait: WaitView) -> str:
    if wait.state == "unknown":
        return ""  # the run asks about it, and says why
    if wait.form == "dose":
        return _dose_rule(wait)
    if wait.form == "countdown":
        if wait.state == "ready":
            return f"{span_text(wait.seconds or 0)}. Press Space as you begin."
        return "Time is up. Go on." if wait.state == "due" else "Wait. It rings when the time has come."
    least, most = span_text(wait.at_least or 0), span_text(wait.at_most or 0)
    if wait.at_most is None:
        most = "as long as it takes"
    rules = {
        "ready": f"Not before {least}, not after {most}. Press Space as you begin.",
        "running": f"Not before {least}. It rings when you may go on.",
        "due": f"You may go on now. Not after {most}.",
        "closing": f"Go on now: {most} is nearly over.",
        "late": f"It has been more than {most}. Go on at once.",
    }
    return rules[wait.state]


def _dose_rule(wait: WaitView) -> str:
    units = number_text(wait.units or 0)
    guess = ""
    if wait.estimate is not None:
        guess = f" That took about {span_text(wait.estimate)} in earlier exposures here."
    if wait.state == "ready":
        return f"Set the integrator to {units} units. Press Space as the exposure starts.{guess}"
    return f"Press Space when the machine's integrator has stopped by itself.{guess}"


def place_words(view: RunView) -> tuple[str, ...]:
    """Where in the work, in parts: step, plate, and for whom."""
    step = "a step aside" if view.aside else f"step {view.step_number} of {view.steps_in_stage}"
    who = " ".join(f"{view.trainee} {view.job} {view.colour}".split())
    return (step, f"plate {view.plate}", who, f"guidance {view.guidance}")


def verdict_word(view: RunView) -> str:
    """What is said first about a typed number that was not taken."""
    if view.number is None or not view.number.verdict:
        return ""
    return "Not yet good." if view.number.verdict == "miss" else "A slip of the keys?"


def answer_word(right: bool) -> str:
    """`Right` or `Not right`."""
    return "Right." if right else "Not right."
