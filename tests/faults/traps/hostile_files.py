"""The test plate with texts in it that are names of things to call."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

import yaml
from run_kit import HERE, Sink

from trainer.procedure.load import load_bytes
from trainer.procedure.plan import Plan
from trainer.run.refusals import Refused, TooSoon
from trainer.run.session import Run

CALLS = (
    *("tripwire_target.fire", "os.system", "os.abort", "os.getcwd", "subprocess.run", "builtins.eval"),
    *("__import__", "__import__('tripwire_target')", "__class__", "{0.__class__}", "lambda: 1"),
    *("to_done", "may_next", "may_finish_step", "is_done", "trigger", "finish_step", "spoil_plate"),
    *("state", "why", "model", "machine", "initial", "_fire", "_add", "add_transition", "eval", "exec"),
)
"""Names of functions, of methods of the library's machines and models, and of our own."""
IDS = (
    *("to-done", "may-next", "trigger", "state", "why", "model", "machine", "initial", "states", "events"),
    *("finish-step", "spoil-plate", "show-hazard", "leave-hazard", "is-done", "fire", "add", "finish"),
    *(
        "eval",
        "exec",
        "compile",
        "import",
        "system",
        "s0",
        "s1",
        "s2",
        "getattr",
        "self",
        "send-event",
        "open",
    ),
)
"""The same as ids can be written."""
NAMES = ("trigger", "state", "to_done", "may_next", "model", "why", "eval", "finish_step", "s0", "getattr")


@cache
def plate() -> str:
    """The test plate as it is written."""
    return (HERE / "plate.yaml").read_text(encoding="utf-8")


def renamed() -> Plan:
    """The test plate with the names of things to call for nearly all its ids and names."""
    text = plate()
    ids = re.findall(r"- id: ([a-z]+-[a-z-]+)\n", text)  # without a hyphen, a word may be a name as well
    for old, new in zip(ids, [*IDS, *(f"{one}-too" for one in IDS)], strict=False):
        text = re.sub(rf"(?<![\w-]){old}(?![\w-])", f"«{new}»", text)
    text = re.sub("[«»]", "", text)
    values = dict.fromkeys(re.findall(r"\bname: ([a-z_]+)", text))
    for old, new in zip(values, [*NAMES, *(f"{one}_too" for one in NAMES)], strict=False):
        text = re.sub(rf"\bname: {old}\b", f"name: «{new}»", text)
        text = re.sub(rf"\b(answers|readings|worked)\.{old}\b", rf"\1.«{new}»", text)
    return load_bytes(re.sub("[«»]", "", text).encode(), "plate.yaml").require()


Place = tuple[str | int, ...]


def places_in(node: object, path: Place = ()) -> Iterator[Place]:
    """Every value that is no group or list, and every key (marked by a last part `key`)."""
    if isinstance(node, dict):
        for key, value in node.items():
            yield (*path, key, "key")
            yield from places_in(value, (*path, key))
    elif isinstance(node, list):
        for number, value in enumerate(node):
            yield from places_in(value, (*path, number))
    else:
        yield path


@cache
def places() -> tuple[Place, ...]:
    """Every place of the test plate where a text can stand."""
    return tuple(places_in(yaml.safe_load(plate())))


def with_word(place: Place, word: str) -> bytes:
    """The test plate with a word at a place."""
    root = node = yaml.safe_load(plate())
    is_key = place[-1] == "key"
    *way, last = place[:-1] if is_key else place
    for part in way:
        node = node[part]
    if is_key:
        node[word] = node.pop(last)
    else:
        node[last] = word
    written: str = yaml.safe_dump(root, sort_keys=False, allow_unicode=True)
    return written.encode()


def worked_through(plan: Plan, acts: int, run_class: type[Run] = Run) -> Sink:
    """A run of a plan by somebody whose own texts are names of things to call too."""
    sink = Sink.open("cued", plan=plan, run_class=run_class)
    try:
        for number in range(acts):
            if sink.run.state.closed:
                break
            if number == 3:
                sink.run.note("tripwire_target.fire", by="os.system")
            if number == 9 and "spoil" in sink.run.view().acts:
                sink.run.spoil("os.abort")
            sink.right()
    except (Refused, TooSoon):
        pass  # a right act that the word made impossible; what was called till then is looked at
    return sink
