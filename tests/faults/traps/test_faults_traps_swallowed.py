"""Nothing swallows an error: no source of the program has a place where one could get lost."""

from __future__ import annotations

from pathlib import Path

import pytest
from swallowing import RULES, findings

import trainer

ROOM = Path(trainer.__file__).parent
SOURCES = sorted(path for path in ROOM.rglob("*.py") if "shipped" not in path.parts)

ALLOWED: dict[tuple[str, str], tuple[int, str]] = {
    ("careless text", "procedure/names.py"): (
        1,
        "An id is proposed from a title: letters without a like are left.",
    ),
    ("error passed over", "record/verify_run.py"): (
        1,
        "What cannot be read is told by the look at its bodies.",
    ),
    ("error passed over", "record/practised.py"): (
        1,
        "What cannot be read was not practised; `record verify` tells of it.",
    ),
    ("error passed over", "rehearsal/after_acts.py"): (
        1,
        "It asks for a measure, and nobody knows now what that was.",
    ),
    ("broad suppress", "record/shared/forwarder.py"): (
        1,
        "A line that is to be cut is cut already; whoever sends over it is told.",
    ),
    ("broad suppress", "screens/app.py"): (
        1,
        "A signal ends the program; whose run is open is said where it can.",
    ),
    ("broad suppress", "screens/leaving.py"): (1, "Nobody reads stderr any more; the exit code still tells."),
    ("broad except", "record/shared/aside.py"): (
        1,
        "Handed on, as an executor does, to whoever asks for the result.",
    ),
    ("own thread", "record/shared/aside.py"): (
        1,
        "It keeps its error for whoever asks for the result; an executor's thread would hold up the end.",
    ),
    ("own thread", "screens/terminal.py"): (
        1,
        "It only waits for the terminal to go; should it fail, the reading of keys still tells of that.",
    ),
    ("own thread", "screens/lines.py"): (
        1,
        "A line is waited for; every error of it comes back as an empty line.",
    ),
}
"""Rule and file: how many places, and why each may stand."""

SABOTAGED = {
    "bare except": ["try:\n    go()\nexcept:\n    tell()"],
    "broad except": [
        "try:\n    go()\nexcept Exception as error:\n    tell(error)",
        "try:\n    go()\nexcept (ValueError, builtins.BaseException):\n    tell()",
    ],
    "error passed over": [
        "try:\n    go()\nexcept OSError:\n    pass",
        "for one in many:\n    try:\n        go()\n    except (sqlite3.Error, ValueError):\n        continue",
        "try:\n    go()\nexcept Trouble:\n    'nothing to do'",
        "try:\n    go()\nexcept KeyError:\n    ...",
    ],
    "broad suppress": [
        "with suppress(OSError):\n    go()",
        "with contextlib.suppress(NotImplementedError, Exception):\n    go()",
        "with suppress(*ALL):\n    go()",
    ],
    "dropped task": [
        "asyncio.create_task(go())",
        "loop.run_in_executor(None, go)",
        "pool.submit(go)",
        "asyncio.ensure_future(go())",
    ],
    "gathered errors": ["async def all():\n    await asyncio.gather(a(), b(), return_exceptions=True)"],
    "quiet worker": [
        "@work(thread=True, exit_on_error=False)\ndef go(self): ...",
        "self.run_worker(go, exit_on_error=False)",
    ],
    "own thread": ["threading.Thread(target=go).start()"],
    "left in finally": [
        "def go():\n    try:\n        act()\n    finally:\n        return 1",
        "for one in many:\n    try:\n        go()\n    finally:\n        if one:\n            continue",
    ],
    "swallowing exit": [
        "class A:\n    def __exit__(self, *what):\n        self.close()\n        return True",
        "class A:\n    async def __aexit__(self, kind, error, trace):\n        return kind is OSError",
    ],
    "careless text": ["open(path, errors='ignore')", "data.decode('utf-8', 'ignore')"],
    "silenced": [
        "loop.set_exception_handler(lambda loop, told: None)",
        "warnings.simplefilter('ignore')",
    ],
}
"""Sources that swallow errors, by the rule that must find each."""

SOUND = """
try:
    go()
except FileNotFoundError:
    pass
except (OSError, ValueError) as error:
    raise Trouble("The file cannot be read.") from error
except OverflowError:
    found = None
finally:
    def later():
        return 1
with suppress(FileNotFoundError):
    path.unlink()
task = asyncio.create_task(go())
done = await asyncio.gather(a(), b(), return_exceptions=True)
class Closing:
    def __exit__(self, *what):
        self.close()
        return None
data.decode("utf-8", "replace")
"""
"""Source with the like of all of it that loses nothing."""


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOM)))
def test_no_source_swallows_an_error(path: Path) -> None:
    """No handler, suppression, task, worker or exit of the file lets an error go without a word."""
    found = list(findings(path.read_text(encoding="utf-8")))
    for rule in RULES:
        lines = [line for name, line in found if name == rule]
        most, _ = ALLOWED.get((rule, path.relative_to(ROOM).as_posix()), (0, ""))
        assert len(lines) == most, f"{path}: {rule} in lines {lines}; {most} may stand there"


def test_what_is_allowed_is_still_there() -> None:
    """Every exception to the rules names a file that there is, and a reason."""
    for (rule, file), (most, reason) in ALLOWED.items():
        assert rule in RULES
        assert (ROOM / file).is_file(), file
        assert most > 0
        assert reason


@pytest.mark.parametrize(
    ("rule", "source"),
    [(rule, source) for rule, sources in SABOTAGED.items() for source in sources],
)
def test_a_sabotaged_source_is_found(rule: str, source: str) -> None:
    """Each way to lose an error is found by the rule that is there for it."""
    assert rule in {name for name, _ in findings(source)}


def test_every_rule_has_a_sabotaged_source() -> None:
    """No rule stands that was never seen to find anything."""
    assert set(SABOTAGED) == set(RULES)


def test_sound_source_is_not_found() -> None:
    """Handlers that say something, and narrow ones, are let be."""
    assert list(findings(SOUND)) == []
