"""The shop file: read, held to what procedures allow, changed in place. No source: the format is our own."""

from __future__ import annotations

import os
import stat
from collections.abc import Mapping
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.procedure.load import load
from trainer.procedure.plan import Plan
from trainer.procedure.reader import read_tree
from trainer.procedure.shop import (
    ShopFile,
    ShopKeeper,
    ShopTrouble,
    problems_for,
    read_shop,
    settings_for,
    station_called,
    with_setting,
)

HERE = Path(__file__).parent
OWN = {"exposure": 24.0, "vacuum_floor": 20.0, "wedge_target": 6.0}


@pytest.fixture(scope="module")
def plan() -> Plan:
    """The small procedure."""
    return load(HERE / "small.yaml").require()


def shop(folder: Path, text: str) -> ShopFile:
    """A shop file with this text, read."""
    path = folder / "shop.yaml"
    path.write_text(text, encoding="utf-8")
    return read_shop(path)


def test_a_shop_file_that_is_not_there_changes_nothing(tmp_path: Path, plan: Plan) -> None:
    """No file, and a file with nothing in it, leave every setting as the procedure has it."""
    for read in (read_shop(tmp_path / "no.yaml"), shop(tmp_path, ""), shop(tmp_path, "format: 1\n")):
        assert read.problems == ()
        assert (read.units, read.altitude) == (None, None)
        assert settings_for(plan, read) == OWN


def test_procedure_then_shop_then_walk(tmp_path: Path, plan: Plan) -> None:
    """The shop's value stands over the procedure's, and what is asked for this time over both."""
    read = shop(
        tmp_path,
        "format: 1\nunits: us\naltitude: 5000 ft\nprocedures:\n  small: {exposure: 26, wedge_target: 7}\n"
        "  other: {exposure: 99}\n",
    )
    assert read.problems == ()
    assert read.units == "us"
    assert read.altitude == pytest.approx(1524)
    assert settings_for(plan, read) == OWN | {"exposure": 26, "wedge_target": 7}
    assert settings_for(plan, read, {"exposure": 30}) == OWN | {"exposure": 30, "wedge_target": 7}
    assert problems_for(plan, read) == ()


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("procedures: {}\n", ("S09", 1, 1)),
        ("format: 2\n", ("S09", 1, 9)),
        ("format: true\n", ("S09", 1, 9)),
        ("- format\n", ("S08", 1, 1)),
        ("format: 1\nproceedures: {}\n", ("S01", 2, 1)),
        ("format: 1\nunits: imperial\n", ("S09", 2, 8)),
        ("format: 1\naltitude: 240\n", ("S16", 2, 11)),
        ("format: 1\naltitude: 240m\n", ("S14", 2, 11)),
        ("format: 1\naltitude: 240 kPa\n", ("S16", 2, 11)),
        ("format: 1\naltitude: 240000 m\n", ("S16", 2, 11)),
        ("format: 1\nstation: 3\n", ("S03", 2, 10)),
        ("format: 1\nstation: ''\n", ("S03", 2, 10)),
        ("format: 1\nstation: [sink, 1]\n", ("S03", 2, 10)),
        (f"format: 1\nstation: {'x' * 41}\n", ("S10", 2, 10)),
        ("format: 1\nprocedures: 3\n", ("S08", 2, 13)),
        ("format: 1\nprocedures:\n  small: 26\n", ("S08", 3, 10)),
        ("format: 1\nprocedures:\n  small: {exposure: 26 units}\n", ("S04", 3, 21)),
        ("format: 1\nprocedures:\n  small: {exposure: yes}\n", ("S04", 3, 21)),
        ("format: 1\nprocedures: [\n", ("Y10", 2, 13)),
        ("format: 1\nprocedures: &a {}\n", ("Y07", 2, 13)),
    ],
)
def test_a_broken_shop_file_stops_a_run(
    tmp_path: Path, plan: Plan, text: str, told: tuple[str, int, int]
) -> None:
    """Each of these has one problem with its code and place, and no run begins with settings in doubt."""
    read = shop(tmp_path, text)
    assert [(one.code, one.place.line, one.place.column) for one in read.problems] == [told]
    assert read.problems[0].help
    with pytest.raises(ShopTrouble, match=rf"shop\.yaml:{told[1]}:{told[2]}: "):
        settings_for(plan, read)


def test_a_station_has_a_name(tmp_path: Path, plan: Plan) -> None:
    """The name is one line without blanks at its ends or doubled inside; a file that gives none has none."""
    read = shop(tmp_path, 'format: 1\nstation: "  sink   1 "\n')
    assert (read.station, read.problems) == ("sink 1", ())
    assert shop(tmp_path, "format: 1\n").station == ""
    assert settings_for(plan, read) == OWN
    assert station_called("a\nb\x1b[31m" + "c" * 60) == "a b\u241b[31m" + "c" * 32


def test_values_are_held_to_what_the_procedure_allows(tmp_path: Path, plan: Plan) -> None:
    """A value outside `between` stops a run, in words; a setting that is not known is a warning."""
    read = shop(tmp_path, "format: 1\nprocedures:\n  small:\n    exposure: 200\n    vacum_floor: 3\n")
    found = problems_for(plan, read)
    assert [(one.code, one.severity, one.place.line) for one in found] == [
        ("S24", "error", 4),
        ("S30", "warning", 5),
    ]
    assert "`vacuum_floor`" in found[1].help
    with pytest.raises(ShopTrouble, match="`exposure` is 200 units, and the procedure allows 5 to 80 units"):
        settings_for(plan, read)
    (tmp_path / "shop.yaml").unlink()
    sound = read_shop(tmp_path / "shop.yaml")
    with pytest.raises(ShopTrouble, match="allows 5 to 80 units"):
        settings_for(plan, sound, {"exposure": 81})
    with pytest.raises(ShopTrouble, match="`exposures` is no setting of this procedure"):
        settings_for(plan, sound, {"exposures": 20})


def test_no_vacuum_is_asked_for_that_the_air_does_not_give(tmp_path: Path, plan: Plan) -> None:
    """At 1500 m a gauge ends at 24.97 inHg (V08): a floor over that stops a run, one under it does not."""
    floor = "format: 1\naltitude: 1500 m\nprocedures:\n  small: {vacuum_floor: %s}\n"
    assert problems_for(plan, shop(tmp_path, floor % "24.9")) == ()
    high = shop(tmp_path, floor % "25")
    assert [(one.code, one.place.line, one.place.column) for one in problems_for(plan, high)] == [
        ("S33", 4, 25)
    ]
    with pytest.raises(
        ShopTrouble, match=r"25 inHg, and at 1500 m no vacuum gauge shows more than 24\.97 inHg"
    ):
        settings_for(plan, high)
    own = shop(tmp_path, "format: 1\naltitude: 4000 m\n")
    assert [(one.code, one.place.line) for one in problems_for(plan, own)] == [("S33", 2)]
    assert problems_for(plan, shop(tmp_path, "format: 1\naltitude: 3000 m\n")) == ()


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("", "format: 1\nprocedures:\n  a:\n    exposure: 26.5\n"),
        ("# ours\nformat: 1\n", "# ours\nformat: 1\nprocedures:\n  a:\n    exposure: 26.5\n"),
        ("format: 1\nprocedures:\n", "format: 1\nprocedures:\n  a:\n    exposure: 26.5\n"),
        ("format: 1\nprocedures: {}\n", "format: 1\nprocedures: {a: {exposure: 26.5}}\n"),
        ("{format: 1}\n", "{procedures: {a: {exposure: 26.5}}, format: 1}\n"),
        (
            "format: 1\nprocedures:\n  a:\n    exposure: 24  # since May\n    x: 1\n# end\n",
            "format: 1\nprocedures:\n  a:\n    exposure: 26.5  # since May\n    x: 1\n# end\n",
        ),
        (
            "format: 1\nprocedures:\n  a: {exposure: 24, x: 1}  # y\n",
            "format: 1\nprocedures:\n  a: {exposure: 26.5, x: 1}  # y\n",
        ),
        (
            "format: 1\nprocedures:\n  b:\n    x: 1  # one\n\n# tail\nunits: us\n",
            "format: 1\nprocedures:\n  b:\n    x: 1  # one\n  a:\n    exposure: 26.5\n\n# tail\nunits: us\n",
        ),
        (
            "format: 1\nprocedures:\n  a: null  # none yet\n",
            "format: 1\nprocedures:\n  a:  # none yet\n    exposure: 26.5\n",
        ),
        (
            "format: 1\nprocedures:\n  a: {\n    x: 1,  # one\n  }\n",
            "format: 1\nprocedures:\n  a: {exposure: 26.5,\n    x: 1,  # one\n  }\n",
        ),
        (
            "format: 1\nprocedures:\n  a:\n    exposure:\n",
            "format: 1\nprocedures:\n  a:\n    exposure: 26.5\n",
        ),
    ],
)
def test_a_setting_is_changed_in_place(before: str, after: str) -> None:
    """Only the value changes, or a line is put in; remarks, order and blank lines stay."""
    assert with_setting(before, "a", "exposure", 26.5) == after


_IDS = st.sampled_from(["a", "b", "true", "null", "two-burns"])
_NAMES = st.sampled_from(["exposure", "x", "on", "no"])
_NUMBERS = st.floats(-1000, 1000).map(lambda value: round(value, 4))
_SETTINGS = st.dictionaries(_IDS, st.dictionaries(_NAMES, _NUMBERS, max_size=3), max_size=3)


@given(_SETTINGS, st.lists(st.tuples(_IDS, _NAMES, _NUMBERS), min_size=1, max_size=6))
def test_changes_add_up(start: dict[str, dict[str, float]], changes: list[tuple[str, str, float]]) -> None:
    """After any changes one by one the file says the last value of each setting; all its remarks stay."""
    text = _written(start)
    expected: dict[str, Mapping[str, float]] = {key: dict(own) for key, own in start.items()}
    for procedure, setting, value in changes:
        text = with_setting(text, procedure, setting, value)
        expected[procedure] = {**expected.get(procedure, {}), setting: value}
    tree = read_tree(text.encode(), "shop.yaml")
    assert tree.problems == ()
    assert isinstance(tree.value, dict)
    assert tree.value["procedures"] == expected
    assert text.count("# kept") == len(start) + 1


def _written(start: dict[str, dict[str, float]]) -> str:
    """A shop file with a remark at every procedure."""
    if not start:
        return "format: 1\nprocedures:  # kept\n"
    rows = ["format: 1", "procedures:  # kept"]
    for procedure, own in start.items():
        rows.append(f'  "{procedure}": {"" if own else "{}"}  # kept')
        rows += [f"    {name}: {value:.4f}" for name, value in own.items()]
    return "\n".join(rows) + "\n"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("format: 1\nprocedures: 3\n", "cannot be changed here"),
        ("format: 1\nprocedures:\n  a:\n    exposure: [1,\n      2]\n", "cannot be changed here"),
        ("format: [\n", "The shop file:1:9"),
        ("- a\n", "holds no keys"),
    ],
)
def test_what_cannot_be_changed_is_left_alone(text: str, said: str) -> None:
    """A file that cannot be understood is not written over: its keeper is told."""
    with pytest.raises(ShopTrouble, match=said):
        with_setting(text, "a", "exposure", 26)


def test_no_key_is_made_of_anything_else() -> None:
    """Only ids and names become keys."""
    for procedure, setting in (("a: b", "x"), ("a", "x\ny"), ("", "x"), ("A", "x")):
        with pytest.raises(ShopTrouble, match="can be called so"):
            with_setting("", procedure, setting, 1)


def test_the_keeper_writes_the_file_whole(tmp_path: Path) -> None:
    """A change makes folder and file; the next keeps remarks and permissions, and leaves nothing else."""
    path = tmp_path / "config" / "shop.yaml"
    keeper = ShopKeeper(path)
    keeper.change("small", "exposure", 26)
    path.write_text("# ours\n" + path.read_text(encoding="utf-8"), encoding="utf-8")
    path.chmod(0o640)
    keeper.change("small", "exposure", 27.5)
    assert path.read_text(encoding="utf-8").startswith("# ours\nformat: 1\n")
    assert read_shop(path).settings == {"small": {"exposure": 27.5}}
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert [entry.name for entry in path.parent.iterdir()] == ["shop.yaml"]


def test_the_keeper_follows_a_link(tmp_path: Path) -> None:
    """Where the shop file is a link, the file it leads to is changed and the link stays."""
    (tmp_path / "real.yaml").write_text("format: 1\n", encoding="utf-8")
    (tmp_path / "shop.yaml").symlink_to(tmp_path / "real.yaml")
    ShopKeeper(tmp_path / "shop.yaml").change("small", "exposure", 26)
    assert (tmp_path / "shop.yaml").is_symlink()
    assert read_shop(tmp_path / "real.yaml").settings == {"small": {"exposure": 26}}


def test_a_failed_change_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the disk fails the old file is whole, no other file is left, and a sentence says it."""
    (tmp_path / "config").mkdir()
    path = tmp_path / "config" / "shop.yaml"
    path.write_text("format: 1\n", encoding="utf-8")

    def fail(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(ShopTrouble, match=r"was not kept.*No space left on device.*space on the disk"):
        ShopKeeper(path).change("small", "exposure", 26)
    assert path.read_text(encoding="utf-8") == "format: 1\n"
    assert [entry.name for entry in path.parent.iterdir()] == ["shop.yaml"]


def test_a_file_that_is_no_text_is_not_written_over(tmp_path: Path) -> None:
    """A shop file in another encoding, or a folder in its place, is told and stays as it is."""
    path = tmp_path / "shop.yaml"
    path.write_bytes(b"# caf\xe9\nformat: 1\n")
    with pytest.raises(ShopTrouble, match="not written in UTF-8"):
        ShopKeeper(path).change("small", "exposure", 26)
    assert path.read_bytes() == b"# caf\xe9\nformat: 1\n"
    path.unlink()
    path.mkdir()
    with pytest.raises(ShopTrouble, match="is a folder"):
        ShopKeeper(path).change("small", "exposure", 26)
