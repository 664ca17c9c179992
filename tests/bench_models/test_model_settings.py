"""The file of settings: every constant documented, a shop's own over it, and what is said of a wrong file."""

from __future__ import annotations

import ast
from collections.abc import Mapping
from dataclasses import fields
from pathlib import Path

import pytest

from trainer import bench as room
from trainer import places
from trainer.bench.settings import (
    SECTIONS,
    SHOPS_OWN,
    BenchSettings,
    WrongSettings,
    constants,
    replaced,
    settings,
)
from trainer.procedure.problems import ProcedureProblems
from trainer.rehearsal.bench_settings import read_bench

PUBLISHED = ("(", ":", "tables of")
"""What is in the name of a source that can be looked up."""


def test_every_constant_of_the_models_is_in_the_file(shipped: Mapping[str, object]) -> None:
    """The file has each field of each settings dataclass, and nothing else, in the same order."""
    wanted = [(section, one.name) for section, kind in SECTIONS.items() for one in fields(kind)]
    assert [(one.section, one.name) for one in constants(shipped)] == wanted


def test_every_constant_says_its_unit_range_and_source(shipped: Mapping[str, object]) -> None:
    """Each number has a unit and a range that it lies in, and all have a meaning and an honest source."""
    for one in constants(shipped):
        if isinstance(one.value, str):
            assert one.value in one.options
        else:
            assert one.unit
            assert one.between[0] <= one.value <= one.between[1]
        assert one.about.endswith(".")
        labelled = "teaching model, calibrate" in one.source or "common practice, no source" in one.source
        from_memory = "from memory" in one.source
        assert labelled or from_memory or any(mark in one.source for mark in PUBLISHED), one.source


def test_no_constant_is_buried_in_a_field_s_default() -> None:
    """No field of a settings dataclass has a value of its own: a model without its file cannot be made."""
    for kind in SECTIONS.values():
        with pytest.raises(TypeError):
            kind()


def test_bench_reads_no_file() -> None:
    """No module of the models imports a path, a file format or another room."""
    allowed = {"numpy", "scipy", "trainer", "__future__", "_typeshed"}
    standard = {"collections", "dataclasses", "difflib", "math", "types", "typing"}
    folder = Path(next(iter(room.__path__)))
    for name in (*SECTION_MODULES, "settings", "limits", "numbers", "geometry", "wedge", "tone"):
        tree = ast.parse((folder / f"{name}.py").read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom) and node.module:
                assert node.module.split(".")[0] in allowed | standard, (name, node.module)
                assert not node.module.startswith("trainer.") or node.module.startswith("trainer.bench")


SECTION_MODULES = sorted({kind.__module__.rpartition(".")[2] for kind in SECTIONS.values()})


def test_a_shop_s_own_values_take_the_place_of_the_shipped(shipped: Mapping[str, object]) -> None:
    """A value alone or with its source replaces one constant; all the others stay."""
    own = {
        "bench": 1,
        "lamp": {"warm_up": 90, "distance": {"value": 800, "unit": "mm", "source": "our tape"}},
    }
    known = constants(shipped)
    before, after = settings(known), settings(replaced(known, own))
    assert (after.lamp.warm_up, after.lamp.distance) == (90, 800)
    assert after.lamp.cool_down == before.lamp.cool_down
    assert after.coating == before.coating
    said = {one.name: one.source for one in replaced(constants(shipped), own) if one.section == "lamp"}
    assert (said["warm_up"], said["distance"]) == (SHOPS_OWN, "our tape")


@pytest.mark.parametrize("own", [None, 3, [], {"bench": 2}, {"bench": True}, {"bench": 1, "lamp": []}])
def test_what_is_no_file_of_settings_is_refused(shipped: Mapping[str, object], own: object) -> None:
    """Anything but sections of constants under `bench: 1` is refused with a sentence."""
    with pytest.raises(WrongSettings) as wrong:
        replaced(constants(shipped), own)
    assert str(wrong.value).endswith(".")


def test_a_gap_in_the_shipped_file_is_named(shipped: Mapping[str, object]) -> None:
    """A shipped file that lacks a constant, or gives another range than the model, is refused by name."""
    lamp = shipped["lamp"]
    assert isinstance(lamp, dict)
    without = {name: entry for name, entry in lamp.items() if name != "warm_up"}
    with pytest.raises(WrongSettings, match="lamp: `warm_up` is missing"):
        constants({**shipped, "lamp": without})
    other = {**lamp, "warm_up": {**lamp["warm_up"], "between": [0, 5]}}
    with pytest.raises(WrongSettings, match=r"lamp\.warm_up: Unit and limits are not those of the model"):
        constants({**shipped, "lamp": other})


WRONG = """bench: 1
lamp:
  warm_up: -4
  distanc: 800
  kind: round
  cool_down: {value: 200, unit: min}
frame: 3
finish:
  rinse_time: soon
  blind_from: {source: our log}
gums: {}
"""


def test_all_that_is_wrong_with_a_shop_s_file_comes_with_its_place(tmp_path: Path) -> None:
    """Every slip of a file is said at once, each with line, column and what to write."""
    file = tmp_path / "bench.yaml"
    file.write_text(WRONG, encoding="utf-8")
    with pytest.raises(ProcedureProblems) as caught:
        read_bench(file)
    said = [(one.place.line, one.place.column, one.message, one.help) for one in caught.value.problems]
    assert said[0] == (3, 12, "`-4` is out of range.", "Write a number from 1 to 1800, in s.")
    assert said[1] == (4, 3, "`distanc` is not known here.", "Write `distance`, or delete it.")
    assert [place[:2] for place in said] == [
        (3, 12),
        (4, 3),
        (5, 9),
        (6, 33),
        (7, 8),
        (9, 15),
        (10, 15),
        (11, 1),
    ]
    assert str(caught.value).startswith(f"{file}:3:12: ")


@pytest.mark.parametrize(
    ("text", "place", "words"),
    [
        ("bench: 1\ncontact: {open_gap: 10, closed_gap: 20}\n", (2, 10), "`closed_gap` must be less than"),
        ("bench: 1\nlamp: {warm_up: 1e400}\n", (2, 17), "A number is wanted here"),
        ("bench: 1\nlamp: {warm_up: .nan}\n", (2, 17), "A number is wanted here"),
        ("lamp: {warm_up: 90}\n", (1, 1), "does not say its format"),
        ("bench: 1\nlamp:\n  warm_up: 90\n  warm_up: 91\n", (4, 3), "warm_up"),
    ],
)
def test_what_is_said_of_a_wrong_file(tmp_path: Path, text: str, place: tuple[int, int], words: str) -> None:
    """Two values that do not go together, a number beyond all, no format, a key twice: each has its place."""
    file = tmp_path / "bench.yaml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(ProcedureProblems) as caught:
        read_bench(file)
    first = caught.value.problems[0]
    assert (first.place.line, first.place.column) == place
    assert words in first.message


def test_the_shop_s_file_lies_beside_the_shop_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, bench: BenchSettings
) -> None:
    """Without a name, `bench.yaml` beside the shop file is taken; where there is none, the shipped values."""
    monkeypatch.setenv("SINKSIDE_SHOP", str(tmp_path / "shop.yaml"))
    assert places.bench_path() == tmp_path / "bench.yaml"
    assert read_bench() == bench
    (tmp_path / "bench.yaml").write_text("bench: 1\ndeveloper: {q10: 2.5}\n", encoding="utf-8")
    assert read_bench().developer.q10 == 2.5


def test_a_file_that_is_named_must_be_there(tmp_path: Path) -> None:
    """A shop's file that is named and missing is said, not passed over."""
    with pytest.raises(ProcedureProblems, match=r"nowhere\.yaml"):
        read_bench(tmp_path / "nowhere.yaml")
