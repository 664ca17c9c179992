"""The schema in an editor's own machinery: a language server for YAML, general and open source, from npm.

It is the server that the modeline in each shipped procedure speaks to. Long, and only where node and npm are.
"""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from editor import Editor

from trainer import places

pytestmark = pytest.mark.long
SHIPPED = sorted(places.procedures_dir().glob("*.yaml"))
PLATE = places.procedures_dir() / "negative-plate-two-burns.yaml"
SOURCE = PLATE.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """The command that starts the server; skips, and says why, where it cannot be had."""
    node, npm = shutil.which("node"), shutil.which("npm")
    if node is None or npm is None:
        pytest.skip("not there: Node.js and npm, so the schema is not tried in an editor")
    folder = tmp_path_factory.mktemp("server")
    (folder / "package.json").write_text('{"private": true}', encoding="utf-8")
    install = [npm, "install", "--ignore-scripts", "--no-audit", "--no-fund", "yaml-language-server@1"]
    done = subprocess.run(install, cwd=folder, capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.skip(f"npm cannot fetch the server here: {done.stderr.strip().splitlines()[-1:]}")
    return [
        node,
        str(folder / "node_modules" / "yaml-language-server" / "bin" / "yaml-language-server"),
        "--stdio",
    ]


@pytest.fixture(scope="module")
def editor(server: list[str]) -> Iterator[Editor]:
    """An editor in which the shipped two-burn procedure is open."""
    with Editor.on(server, PLATE, SOURCE) as editor:
        yield editor


def line_of(text: str, words: str) -> int:
    """The line, counted from 0, on which words stand first."""
    return text[: text.index(words)].count("\n")


@pytest.mark.parametrize("file", SHIPPED, ids=lambda file: file.stem)
def test_shipped_procedures_have_nothing_wrong(server: list[str], file: Path) -> None:
    """As it is nothing is told of a procedure; with one key misspelt, something is: the schema is at work."""
    source = file.read_text(encoding="utf-8")
    with Editor.on(server, file, source) as editor:
        assert editor.told == []
        editor.put(source.replace("\nstages:", "\nstagse:", 1))
        assert editor.told != []


@pytest.mark.parametrize(
    ("right", "wrong", "said"),
    [
        ("signal: warning", "signal: warnung", '"danger", "warning", "caution"'),
        ("        key_points:", "        keypoints:", "keypoints is not allowed"),
        ("revision: ", "revision: -", "minimum of 1"),
        ("      - id: fetch", "      - id: Fetch It", "does not match the pattern"),
        ("between: [5, 80]", "between: [5]", "Expected 2 or more"),
    ],
)
def test_a_mistake_is_marked_on_its_line(editor: Editor, right: str, wrong: str, said: str) -> None:
    """A value that is not one of those, a key that is none, a number, an id, a list: each on its own line."""
    editor.put(SOURCE.replace(right, wrong, 1))
    (told,) = editor.told
    assert told["range"]["start"]["line"] == line_of(SOURCE, right)
    assert said in told["message"]
    editor.put(SOURCE)
    assert editor.told == []


def test_keys_of_a_step_are_offered_with_what_they_mean(editor: Editor) -> None:
    """Where a key of a step is to be written, `do`, `hazard` and the others are offered, each described."""
    text = SOURCE.rstrip("\n") + "\n      - id: one-more\n        \n"
    editor.put(text)
    offered = editor.offered(text.count("\n") - 1, 8)
    described = {key: item["documentation"] for key, item in offered.items()}
    assert described["do"] == "The act, as you would say it to the trainee."
    assert described["hazard"] == "A safety prompt."
    assert {"key_points", "why", "skill", "wait", "reading", "judge", "quiz", "go", "then"} <= set(described)
    assert all(described.values())
    editor.put(SOURCE)


def test_a_key_says_what_it_means(editor: Editor) -> None:
    """With the pointer on a key, its description is shown."""
    line = line_of(SOURCE, "key_points:")
    assert "makes or breaks" in editor.hover(line, SOURCE.splitlines()[line].index("key_points") + 2)
