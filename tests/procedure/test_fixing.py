"""`check --fix` mends slips with one answer, and touches nothing else: not a remark, not a line's end.

No source: the slips are our own table; the words for true and false are those of YAML 1.1.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
import yaml
from broken_formulas import FORMULAS
from broken_shapes import KEYS, PARTS, TYPES, WARNINGS, WORDS, Change
from broken_yaml import YAML, marked
from click.testing import CliRunner, Result

from trainer import places
from trainer.cli import main
from trainer.procedure import fixing
from trainer.procedure.codes import all_codes
from trainer.procedure.fixes import FIXED, fix_for
from trainer.procedure.fixing import mended
from trainer.procedure.load import load_bytes
from trainer.procedure.reader import read_tree

HERE = Path(__file__).resolve().parent
SMALL = (HERE / "small.yaml").read_text(encoding="utf-8")
FILE = HERE / "small.yaml"
CHANGES = (*KEYS, *TYPES, *WORDS, *PARTS, *WARNINGS, *FORMULAS)

MENDED = {
    "key-upper-case": "why: Any gap",
    "key-with-a-hyphen": "key_points: [Slip",
    "number-for-a-text": 'why: "42"',
    "truth-for-a-text": 'why: "true"',
    "number-in-quotes": "value: 24,",
    "decimal-revision": "revision: 2\n",
    "revision-in-quotes": "revision: 2\n",
    "yes-for-true": "always: true",
    "no-for-false": "always: false",
    "capital-true": "always: true",
    "text-for-a-list": "key_points: [Coated side up]",
    "signal-upper-case": "signal: danger",
    "wait-glued": "for: 90 s",
    "wait-words": "for: 90 s",
    "unit-by-another-word": "amount: 5, unit: mL",
    "clock-as-a-text": 'do: "1:30"',
    "tilde-as-a-text": 'do: "~"',
    "word-for-a-sign": "ok: readings.vacuum > 20 && true",
    "one-equals-sign": "answers.side == 'bare'",
}
"""By name of the broken file: what stands in it once it is mended. The others are left to their authors."""


def source_of(change: Change) -> bytes:
    """small.yaml with a change."""
    return marked(SMALL.replace(change.old, change.new))[0]


def said(*argv: str) -> Result:
    """Call `sinkside check`."""
    return CliRunner().invoke(main, ["check", *argv])


@pytest.mark.parametrize("change", [row for row in CHANGES if row.name in MENDED], ids=lambda row: row.name)
def test_a_slip_with_one_answer_is_mended(change: Change) -> None:
    """One line of the file changes, the slip's code is gone, and there is nothing more to mend."""
    before = source_of(change)
    made = mended(before, FILE)
    text = made.source.decode()
    assert MENDED[change.name] in text
    assert [fix.code for fix in made.fixes] == [change.code]
    assert change.code not in {problem.code for problem in load_bytes(made.source, "small.yaml").problems}
    pairs = zip(before.decode().split("\n"), text.split("\n"), strict=True)
    assert len([pair for pair in pairs if len(set(pair)) > 1]) == 1
    assert mended(made.source, FILE).fixes == ()


def test_every_other_broken_file_is_left() -> None:
    """What is meant by a shape, a formula or broken YAML is for its author to say: nothing is touched."""
    sources = {row.name: source_of(row) for row in CHANGES if row.name not in MENDED}
    sources |= {row.name: marked(row.text)[0] for row in YAML if row.code != "Y02"}
    assert [name for name, source in sources.items() if mended(source, FILE).source != source] == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("amount: 5, unit: mL", "amount: 5, unit: gallons"),  # of two sizes
        ("amount: 5, unit: mL", "amount: 5, unit: ounces"),  # of weight or of volume
        ("amount: 5, unit: mL", "amount: 5, unit: l"),
        ("key_points: [Slip sheet off only now, Coated side up]", "key_points: Slip sheet off; coated up"),
        ("go:\n          - {when: \"answers.side == 'bare'\", to: turn-over}", "go: turn-over"),
    ],
)
def test_what_has_two_answers_is_left(old: str, new: str) -> None:
    """A unit that is two, points in one line, a way without its condition: only the author knows."""
    assert old in SMALL
    source = SMALL.replace(old, new).encode()
    assert load_bytes(source, "small.yaml").plan is None
    assert mended(source, FILE).source == source


def test_all_slips_of_a_file_are_mended_at_once() -> None:
    """Slips on many lines, and two on one line, are mended together; the file is then clean."""
    text = SMALL.replace("value: 24, unit", 'Value: "24", unit').replace("revision: 2", 'revision: "2"')
    text = text.replace("aside: true\n        do: Turn", "Aside: yes\n        do: Turn")
    text = text.replace("signal: danger", "signal: Danger")
    made = mended(text.encode(), FILE)
    assert made.source.decode() == SMALL
    assert sorted(fix.code for fix in made.fixes) == ["S01", "S01", "S04", "S05", "S06", "S09"]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_remarks_and_ends_of_lines_stay(end: str, mark: str) -> None:
    """With any ends of lines and a mark of the encoding at the start, only the slip's characters change."""
    text = SMALL.replace("# A small", "#   A small").replace("\n", end)
    broken = text.replace("revision: 2", 'revision: "2"  # counted by hand')
    made = mended((mark + broken).encode(), FILE)
    assert made.source.decode() == mark + text.replace("revision: 2", "revision: 2  # counted by hand")


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("a:\n\tb: 1\n", "a:\n  b: 1\n"),
        ("a:\n\tb:\n\t\tc: 1\n\td: 2  # kept\n", "a:\n  b:\n    c: 1\n  d: 2  # kept\n"),
        ("a:\r\n\tb: 1\r\n", "a:\r\n  b: 1\r\n"),
        ("a:\n    b: 1\n\tc: 2\n", "a:\n    b: 1\n    c: 2\n"),  # only four spaces line up
        ("a: |\n  x\n  \ty\n", None),  # a tab of the text itself
        ("a: x\n", None),
    ],
)
def test_tabs_before_a_line_become_spaces(text: str, wanted: str | None) -> None:
    """As wide as makes the file readable; a tab inside a text is nobody's slip."""
    made = mended(text.encode(), FILE)
    assert made.source.decode() == (text if wanted is None else wanted)
    if wanted is not None:
        assert read_tree(made.source, "x").value == yaml.safe_load(wanted)
        assert {fix.code for fix in made.fixes} == {"Y02"}


def test_tabs_that_can_be_read_in_two_ways_are_left() -> None:
    """Where two and four spaces give different files, nobody can say which was meant."""
    text = "a:\n  b:\n\tc: 1\n"
    assert mended(text.encode(), FILE).source == text.encode()


def test_what_cannot_be_proved_is_not_written(monkeypatch: pytest.MonkeyPatch) -> None:
    """A fix that would change another value, by a fault of this program, is not made."""
    source = SMALL.replace("revision: 2", 'revision: "2"').encode()

    def faulty(*given: object) -> object:
        fix = fix_for(*given)  # type: ignore[arg-type]
        return None if fix is None else type(fix)(fix.code, fix.place, fix.path, fix.was, "3", fix.values)

    monkeypatch.setattr(fixing, "fix_for", faulty)
    assert mended(source, FILE).source == source


def test_the_command_says_what_it_did(tmp_path: Path) -> None:
    """`check --fix` writes the file, keeps its permissions, names each change, and ends as a check would."""
    file = tmp_path / "small.yaml"
    file.write_text(
        SMALL.replace("value: 24,", 'value: "24",').replace("why: Room", "wy: Room"), encoding="utf-8"
    )
    file.chmod(0o640)
    result = said("--fix", str(file))
    assert result.exit_code == 1
    assert f'{file}:10:21: mended S04: `"24"` is now `24`.' in result.stdout
    line = 1 + SMALL[: SMALL.index("why: Room")].count("\n")
    assert f"{file}:{line}:9: problem S01" in result.stdout
    assert "value: 24," in file.read_text(encoding="utf-8")
    assert "wy: Room" in file.read_text(encoding="utf-8")
    assert file.stat().st_mode & 0o777 == 0o640
    assert [one.name for one in tmp_path.iterdir() if one.name != "home"] == ["small.yaml"]
    again = said("--fix", "--json", str(file))
    assert json.loads(again.stdout)[0]["mended"] == []


def test_the_command_tells_programs_what_it_did(tmp_path: Path) -> None:
    """In JSON a change has its code, its place, what was there and what is there now."""
    file = tmp_path / "small.yaml"
    file.write_text(SMALL.replace("always: true", "always: yes"), encoding="utf-8")
    (told,) = json.loads(said("--fix", "--json", str(file)).stdout)
    assert told["mended"] == [
        {"code": "S06", "place": {"line": 88, "column": 19}, "was": "yes", "is": "true"}
    ]


def test_a_clean_file_is_not_written(tmp_path: Path) -> None:
    """A file without a slip keeps its time and its bytes."""
    file = tmp_path / "small.yaml"
    file.write_text(SMALL, encoding="utf-8")
    before = file.stat()
    said("--fix", str(file))
    assert (file.stat().st_mtime_ns, file.stat().st_ino) == (before.st_mtime_ns, before.st_ino)


def test_a_file_that_changed_meanwhile_is_left(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where another program wrote the file between reading and writing, nothing is written over it."""
    file = tmp_path / "small.yaml"
    file.write_text(SMALL.replace("always: true", "always: yes"), encoding="utf-8")
    honest = fixing.mended

    def slow(source: bytes, path: Path) -> fixing.Mended:
        made = honest(source, path)
        file.write_text("format: 1\n", encoding="utf-8")
        return made

    monkeypatch.setattr(fixing, "mended", slow)
    result = said("--fix", str(file))
    assert result.exit_code == 2
    assert "changed by another program" in result.stdout
    assert file.read_text(encoding="utf-8") == "format: 1\n"


def test_a_file_that_cannot_be_written_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the disk is full the file stays whole, and that is said with the system's reason."""
    file = tmp_path / "small.yaml"
    broken = SMALL.replace("always: true", "always: yes")
    file.write_text(broken, encoding="utf-8")

    def fail(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("trainer.procedure.files.os.fsync", fail)
    result = said("--fix", str(file))
    assert result.exit_code == 2
    assert "cannot be written: No space left on device." in result.stdout
    assert file.read_text(encoding="utf-8") == broken
    assert [one.name for one in tmp_path.iterdir() if one.name != "home"] == ["small.yaml"]


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    """A file that is reached through a link is mended where it lies."""
    file, link = tmp_path / "small.yaml", tmp_path / "there" / "small.yaml"
    file.write_text(SMALL.replace("always: true", "always: yes"), encoding="utf-8")
    link.parent.mkdir()
    link.symlink_to(file)
    said("--fix", str(link))
    assert link.is_symlink()
    assert file.read_text(encoding="utf-8") == SMALL


def test_the_guide_lists_what_is_mended() -> None:
    """The author's page of fixes names exactly the codes of which some are mended."""
    page = (places.guide_dir() / "checking.md").read_text(encoding="utf-8")
    part = page.split("## Mending", 1)[1].split("\n## ", 1)[0]
    assert set(re.findall(r"\b[A-Z]\d\d\b", part)) == set(FIXED) <= all_codes().keys()
