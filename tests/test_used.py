"""Nothing stands in the program that only tests use: each public name is spoken of somewhere in `trainer`.

Read as text, since to parse all of it takes longer than all of this test. So a little gets by: a name that
is a local variable's too counts as used in its own module. What is found is surely unused there.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path

from trainer import places

HERE = Path(places.__file__).resolve().parent
ALLOWED: Mapping[str, str] = {
    "calc.Amount.get_metavar": "click asks for it",
    "procedure.codes.all_codes": "which codes there are, for the tests of their pages",
    "procedure.explain.Page.examples": "a page shows them as they stand; tests try each",
    "procedure.fixes.FIXED": "which codes can be mended, for the test of the page that lists them",
    "procedure.render.as_json": "of one file; the command puts several together",
    "procedure.subset.parse": "of a text, where the program has its pieces already",
    "record.exports.acts.LEFT_OUT": "why a kind of event is not stated: a test holds that each is decided",
    "record.exports.csv_text.unguarded": "how another program reads a guarded cell",
    "record.exports.forms.seconds_of": "how another program reads a duration",
    "rehearsal.artworks.TITLES": "words for the catalogues of languages, read out of the source",
    "rehearsal.bench_terms.REFUSALS": "words for the catalogues of languages, read out of the source",
    "rehearsal.invented.making.make_class": "a whole class in memory; the command writes run by run",
    "rehearsal.invented.writing.write": "the same",
    "rehearsal.practice_state.fold": "the state that a record of practice gives: held against the one kept",
    "rehearsal.walk_parse.EXPECTATIONS": "what can be expected, for the test of the page that lists it",
    "rehearsal.walk_spot.CODES": "which codes there are, for the tests of their pages",
    "run.fakes.FakeClock.jump_wall": "a fake",
    "run.fakes.FakeClock.reboot": "a fake",
    "run.fakes.FakeSignOff": "a fake",
    "run.readiness.ready": "the rule told event by event, which `insight.ready` is held against",
    "serving.driver.SeatDriver": "an environment variable names it",
}
"""What nothing in the program names, and why it stands there."""

_NOT_CODE = re.compile(r'"""[\s\S]*?"""|(?:^|  )#.*$', re.M)
_DEFINED = re.compile(r"^(?:async )?(?:def|class) ([a-zA-Z]\w*)|^([a-zA-Z]\w*)(?:: [^=\n]+)? = ", re.M)
_METHOD = re.compile(r"^    (?:async )?def ([a-zA-Z]\w*)|^class (\w+)|^(?:async )?def ", re.M)
_NEXT = re.compile(r"^[^\s)\]}#]", re.M)
_IMPORT = re.compile(r"^ *from trainer(?:\.([\w.]+))? import (\([^)]*\)|.*)$", re.M)
_COMMAND = re.compile(r"^@\w+\.(?:command|group)\b", re.M)
_FRAMEWORK = ("screens.", "serving.")
"""Rooms whose methods a framework calls by name."""


def test_nothing_is_there_for_tests_alone() -> None:
    """Every public function, class, constant and method is used by the program, or named here with why."""
    sources = {
        ".".join(file.relative_to(HERE).with_suffix("").parts): file.read_text(encoding="utf-8")
        for file in HERE.rglob("*.py")
    }
    assert sorted(unused(sources)) == sorted(ALLOWED)


def test_what_nothing_uses_is_found() -> None:
    """Unused: never named, named by itself alone, or of the name of something else. A command is used."""
    sources = {
        "one": "A = 1\nB: int = 2\n\ndef used():\n    return A\n\ndef alone():\n    return alone()\n",
        "two": (
            "from trainer import one\nfrom trainer.three import (\n    kept as k,\n)\n\n"
            '@main.command("go")\ndef go():\n    """About alone."""\n    one.used()\n'
        ),
        "three": "class kept:\n    def told(self):\n        pass\n\ndef used():\n    pass\n# used() here\n",
    }
    assert sorted(unused(sources)) == ["one.B", "one.alone", "three.kept.told", "three.used"]


def unused(sources: Mapping[str, str]) -> Iterator[str]:
    """The public names of modules (their sources by name, without `trainer.`) that no module uses."""
    code = {module: _NOT_CODE.sub("", source) for module, source in sources.items()}
    taken: set[tuple[str, str]] = set()
    attributes: set[str] = set()
    for text in code.values():
        known: dict[str, str] = {}
        for module, names in _IMPORT.findall(text):
            for name, called in re.findall(r"(\w+)(?: as (\w+))?", names):
                whole = f"{module}.{name}" if module else name
                if whole in code:
                    known[called or name] = whole
                taken.add((module, name))
        pairs = set(re.findall(r"(\w*)\.(\w+)", text))
        taken.update((known[of], name) for of, name in pairs if of in known)
        attributes.update(name for _, name in pairs)
    for module, text in code.items():
        yield from _names(module, text, taken)
        if not module.startswith(_FRAMEWORK):
            yield from _methods(module, text, attributes)


def _names(module: str, text: str, taken: set[tuple[str, str]]) -> Iterator[str]:
    for found in _DEFINED.finditer(text):
        name = found[1] or found[2]
        if (module, name) in taken or _COMMAND.search(text[: found.start()].rpartition("\n\n")[2]):
            continue
        after = _NEXT.search(text, found.end())
        elsewhere = text[: found.start()] + (text[after.start() :] if after else "")
        told = re.sub(rf"^ *{name}\b *(?::[^=\n]*)?=(?!=)", "", elsewhere, flags=re.M)  # another's own
        if not re.search(rf"(?<![.\w]){name}\b(?!=[^=])", told):
            yield f"{module}.{name}"


def _methods(module: str, text: str, attributes: set[str]) -> Iterator[str]:
    owner = ""
    for found in _METHOD.finditer(text):
        owner = owner if found[1] else found[2] or ""
        if owner and found[1] and found[1] not in attributes:
            yield f"{module}.{owner}.{found[1]}"
