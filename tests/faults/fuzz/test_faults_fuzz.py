"""Files, texts, events and records that are nearly right, or not at all: told, never fallen over."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack
from functools import cache

import fuzz_mutants as mutants
import fuzz_mutants_events as events
import fuzz_mutants_texts as texts
import pytest
from fuzz_cases import CASES, Case
from fuzz_cell import Cell, Kind
from fuzz_on_records import Record
from fuzz_words import WORDS
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from trainer.procedure.load import load_bytes


@cache
def sound_record() -> bytes:
    """The bytes of a sound record."""
    return Record().sound.read_bytes()


ANY = st.binary(max_size=600)
INPUTS: Mapping[str, Callable[[], st.SearchStrategy[bytes]]] = {
    "reader": lambda: mutants.files("procedures") | ANY,
    "load": lambda: mutants.files("procedures"),
    "heads": lambda: mutants.files("procedures") | ANY,
    "pictures": lambda: st.text(max_size=500).map(lambda text: text.encode("utf-8", "surrogatepass")) | ANY,
    "shop": lambda: mutants.trees(st.just(mutants.SHOP)) | mutants.lines(st.just(mutants.SHOP)) | ANY,
    "walks": lambda: mutants.walks() | mutants.files("walks"),
    "formulas": texts.formulas,
    "typed": lambda: (st.sampled_from(WORDS) | st.text(max_size=20)).map(
        lambda text: text.encode("utf-8", "surrogatepass")
    ),
    "wire": events.event_json,
    "histories": events.event_lines,
    "records": lambda: mutants.bytes_edited(sound_record()) | ANY,
    "record rows": events.rows_written_over,
}
"""What each target is sent."""
QUICK = {
    "reader": 20,
    "load": 15,
    "heads": 15,
    "pictures": 40,
    "shop": 30,
    "walks": 10,
    "formulas": 40,
    "typed": 40,
    "wire": 80,
    "histories": 30,
    "records": 10,
    "record rows": 10,
}
LONG = {
    "reader": 500,
    "load": 350,
    "heads": 350,
    "pictures": 400,
    "shop": 800,
    "walks": 300,
    "formulas": 1500,
    "typed": 800,
    "wire": 2000,
    "histories": 1400,
    "records": 400,
    "record rows": 400,
}


class Cells:
    """A cell for each target, made when it is first wanted."""

    def __init__(self, stack: ExitStack) -> None:
        self._stack = stack
        self._made: dict[str, Cell] = {}

    def __getitem__(self, target: str) -> Cell:
        if target not in self._made:
            self._made[target] = self._stack.enter_context(Cell(target))
        return self._made[target]


@pytest.fixture(scope="module")
def cells() -> Iterator[Cells]:
    """Cells that are shared by what is tried on the same target."""
    with ExitStack() as stack:
        yield Cells(stack)


def fuzz(
    cell: Cell, examples: int, inputs: st.SearchStrategy[bytes], *, afresh: bool = False, shrink: bool = True
) -> None:
    """Send so many inputs to a target. Raises AssertionError with the smallest that breaks it.

    afresh: other inputs each time. shrink: look for the smallest; without it, the first is told.
    """

    @settings(
        max_examples=examples,
        deadline=None,
        derandomize=not afresh,
        suppress_health_check=list(HealthCheck),
        phases=(Phase.generate, Phase.shrink) if shrink else (Phase.generate,),
    )
    @given(inputs)
    def survives(data: bytes) -> None:
        cell.must_survive(data)

    survives()


@pytest.mark.parametrize("target", INPUTS)
@pytest.mark.sweep(quick=4)
def test_a_few_inputs(cells: Cells, target: str) -> None:
    """Each target gets through a few dozen inputs within its time and memory, and tells what is wrong."""
    fuzz(cells[target], QUICK[target], INPUTS[target]())


@pytest.mark.long(seconds=6)
@pytest.mark.parametrize("target", INPUTS)
def test_many_inputs(cells: Cells, target: str) -> None:
    """The same for hundreds and thousands, others each time."""
    fuzz(cells[target], LONG[target], INPUTS[target](), afresh=True)


def slow_ones_are_long(case: Case) -> pytest.MarkDecorator | tuple[()]:
    """Loads of files as large as may be take a second each."""
    return pytest.mark.long if case.target == "load" else ()


@pytest.mark.parametrize(
    "case",
    [pytest.param(case, id=f"{case.target}: {case.was}", marks=slow_ones_are_long(case)) for case in CASES],
)
def test_what_was_found_stays_mended(cells: Cells, case: Case) -> None:
    """An input that once broke its target costs little work and memory, and is told in words."""
    cells[case.target].must_survive(case.data())


@pytest.fixture(scope="module")
def cell() -> Iterator[Cell]:
    """A cell around a target that does all that a cell must notice."""
    with Cell("broken", megabytes=100, seconds=0.05) as around:
        yield around


@pytest.mark.parametrize(
    ("word", "kind"),
    [
        ("fine", "fine"),
        ("crash", "crash"),
        ("wrong", "wrong"),
        ("memory", "memory"),
        ("work", "slow"),
        ("hang", "hang"),
        ("die", "died"),
    ],
)
def test_a_cell_notices(cell: Cell, word: str, kind: Kind) -> None:
    """A target that crashes, lies, grows, works too long, hangs or dies is noticed, and work goes on."""
    cell.watchdog = 0.5 if kind == "hang" else 40.0
    assert cell.attempt(word.encode()).kind == kind
    cell.watchdog = 40.0
    assert cell.attempt(b"fine").kind == "fine"


def test_the_search_finds_what_is_broken() -> None:
    """A search over inputs fails where one of them breaks its target."""
    words = st.sampled_from([b"fine", b"well", b"crash"])
    with Cell("broken") as broken, pytest.raises(AssertionError, match="nobody expects this"):
        fuzz(broken, 30, words)


@pytest.mark.parametrize(
    ("target", "kind"),
    [("reader that raises", "crash"), ("reader that loops", "hang"), ("reader that grows", "memory")],
)
@pytest.mark.sweep(quick=1)
def test_a_broken_reader_is_found(target: str, kind: Kind) -> None:
    """Readers that break on a key that stands twice are found by the edits to real files."""
    with (
        Cell(target, megabytes=100, watchdog=0.5 if kind == "hang" else 40.0) as broken,
        pytest.raises(AssertionError, match=kind),
    ):
        fuzz(broken, 200, INPUTS["reader"](), shrink=False)


@pytest.mark.long
def test_mutants_are_of_every_kind() -> None:
    """Edits leave some files sound and break others: not all that is sent is refused at the door."""
    plans: set[bool] = set()

    @settings(max_examples=20, deadline=None, derandomize=True)
    @given(mutants.files("procedures"))
    def look(data: bytes) -> None:
        plans.add(load_bytes(data, "fuzzed").plan is not None)

    look()
    assert plans == {True, False}
