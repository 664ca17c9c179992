"""Our Mermaid, read by Mermaid's own parser. It comes from npm: long, and only where node and npm are."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from map_kit import charts_of_files, hostile_charts, joined

from trainer.procedure.charts.chart import Chart
from trainer.procedure.charts.mermaid import as_mermaid

__test__ = shutil.which("npm") is not None and shutil.which("node") is not None
pytestmark = pytest.mark.long(seconds=8)
PARSER = Path(__file__).with_name("mermaid_parse.mjs")


@pytest.fixture(scope="module")
def parser(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the parser, Mermaid 11 and a page for it to think it is in."""
    folder = tmp_path_factory.mktemp("mermaid")
    (folder / "package.json").write_text('{"private": true}', encoding="utf-8")
    install = ["npm", "install", "--ignore-scripts", "--no-audit", "--no-fund", "mermaid@11", "jsdom@29"]
    subprocess.run(install, cwd=folder, check=True, capture_output=True)
    return Path(shutil.copy(PARSER, folder))


def decoded(label: str) -> str:
    """A label as the parser holds it, as it is shown: numbers in its own signs, breaks as tags."""
    broken = re.sub(r"<br\s*/?>", "", label)
    return joined(re.sub(r"ﬂ°°(\d+)¶ß", lambda found: chr(int(found[1])), broken))


def check(charts: list[Chart], parser: Path) -> None:
    """The parser finds the steps, words and ways of each chart."""
    files = [parser.parent / f"{number}.mmd" for number in range(len(charts))]
    for chart, file in zip(charts, files, strict=True):
        file.write_text(as_mermaid(chart), encoding="utf-8")
    finished = subprocess.run(
        ["node", parser, *files], capture_output=True, text=True, check=True, encoding="utf-8"
    )
    for chart, line in zip(charts, finished.stdout.splitlines(), strict=True):
        read = json.loads(line)
        assert read["type"].startswith("flowchart")
        for number, spot in enumerate(chart.spots, 1):
            assert decoded(read["nodes"][f"n{number}"]) == joined(spot.id, spot.says, spot.task)
        ways = [joined(way.when) for spot in chart.spots for way in (*spot.branches, spot.on)]
        said = [decoded(words) for start, _, words in read["edges"] if start.startswith("n")]
        assert said == ways


def test_mermaids_own_parser_reads_the_procedures(parser: Path) -> None:
    """Mermaid's parser finds every step, word and way of the procedures."""
    check(charts_of_files(), parser)


@settings(
    max_examples=1,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    phases=[Phase.generate],  # a parser of a second a time is not for shrinking
)
@given(charts=st.lists(hostile_charts(), min_size=12, max_size=12))
def test_mermaids_own_parser_reads_hostile_texts_as_text(parser: Path, charts: list[Chart]) -> None:
    """Mermaid's parser finds hostile texts in the labels where they belong, and nothing else."""
    check(charts, parser)


def test_the_parser_refuses_what_is_no_flowchart(parser: Path) -> None:
    """It is a real parser: a quote within a label is refused."""
    wrong = parser.parent / "wrong.mmd"
    wrong.write_text('flowchart TD\n  n1["a"b"]\n', encoding="utf-8")
    finished = subprocess.run(["node", parser, wrong], capture_output=True, text=True, check=False)
    assert finished.returncode != 0
    assert "Parse error" in finished.stderr
