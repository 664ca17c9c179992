"""The guide's pages on the bench and the sums: every constant as it is, every example as it answers."""

from __future__ import annotations

import re
import shlex
from collections.abc import Mapping
from pathlib import Path

import pytest
from click.testing import CliRunner

from trainer import places
from trainer.bench.settings import BenchSettings, constants
from trainer.cli import main
from trainer.rehearsal.bench_settings import read_bench


def page(name: str) -> str:
    """The text of a page."""
    return (places.guide_dir() / f"{name}.md").read_text(encoding="utf-8")


def test_every_constant_stands_on_the_page_as_it_is(shipped: Mapping[str, object]) -> None:
    """Each constant is on the bench's page with its value, range, meaning and source, and no other is."""
    listed = [" ".join(entry.split()) for entry in re.findall(r"^- (`.*(?:\n  .*)*)", page("bench"), re.M)]
    wanted = []
    for one in constants(shipped):
        if one.options:
            others = ", ".join(option for option in one.options if option != one.value)
            head = f"`{one.name}`: {one.value} (or {others})."
        else:
            least, most = one.between
            head = f"`{one.name}`: {one.value:g} {one.unit} ({least:g} to {most:g})."
        source = "Teaching." if one.source == "teaching model, calibrate" else f"From: {one.source}."
        wanted.append(f"{head} {one.about} {source}")
    assert listed == wanted


def test_the_example_of_a_shop_s_own_numbers_is_taken(tmp_path: Path, bench: BenchSettings) -> None:
    """The file on the bench's page is read without a problem and changes what it names."""
    example = re.search(r"```yaml\n(.*?)```", page("bench"), re.DOTALL)
    assert example is not None
    file = tmp_path / "bench.yaml"
    file.write_text(example[1], encoding="utf-8")
    own = read_bench(file)
    assert (own.lamp.warm_up, own.lamp.distance, own.coating.mid_dose) == (90, 800, 2.6)
    assert own.frame == bench.frame


EXAMPLES = re.findall(r"^\$ sinkside (calc .*)\n(?:(.+)\n)", page("calc"), re.M)


@pytest.mark.parametrize(("command", "answer"), EXAMPLES)
def test_every_example_of_the_sums_answers_as_printed(command: str, answer: str) -> None:
    """Each command on the page gives the answer that stands under it."""
    result = CliRunner().invoke(main, shlex.split(command))
    assert result.stdout.splitlines()[0] == answer


def test_every_sum_has_an_example() -> None:
    """Each command of `sinkside calc` has an example on its page."""
    commands = main.commands["calc"].commands  # type: ignore[attr-defined]
    assert set(commands) == {command.split()[1] for command, _ in EXAMPLES}
