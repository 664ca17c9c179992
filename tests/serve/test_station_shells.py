"""Completion in real shells: the script loaded as the page says, words typed, and the Tab key pressed."""

from __future__ import annotations

import os
import shutil
import sys
from pathlib import Path

import pexpect
import pytest
from click.shell_completion import ShellComplete

from trainer.cli import main

SECONDS = 60


@pytest.mark.parametrize(
    ("words", "begun", "offered"),
    [
        (["run"], "negative-plate-t", [("plain", "negative-plate-two-burns")]),
        (["run"], "./mine", [("file", "./mine")]),
        (["paper"], "exposure-t", [("plain", "exposure-test")]),
        (["map"], "exposure-t", [("plain", "exposure-test")]),
        (["guide"], "install", [("plain", "installing")]),
        (["guide"], "nothing", []),
        (["check"], "pro", [("file", "pro")]),
        (["preview"], "pro", [("file", "pro")]),
        (["run", "--guidance"], "cu", [("plain", "cued")]),
        (["record", "person"], "mis", [("plain", "mistyped")]),
    ],
)
def test_what_is_offered(words: list[str], begun: str, offered: list[tuple[str, str]]) -> None:
    """Procedures by their id, pages of the guide, and files wherever one may be named."""
    found = ShellComplete(main, {}, "sinkside", "_SINKSIDE_COMPLETE").get_completions(words, begun)
    assert [(one.type, one.value) for one in found] == offered


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A person's folder, with the program on the path and each shell told as the page says."""
    program = tmp_path / "bin" / "sinkside"
    program.parent.mkdir()
    code = "from trainer.cli import main; main(prog_name='sinkside')"
    program.write_text(f'#!/bin/sh\nexec "{sys.executable}" -c "{code}" "$@"\n', encoding="utf-8")
    program.chmod(0o755)
    (tmp_path / "my, file.yaml").touch()
    (tmp_path / ".bashrc").write_text('eval "$(sinkside completion bash)"\n', encoding="utf-8")
    (tmp_path / ".zshrc").write_text(
        'autoload -U compinit; compinit -u\neval "$(sinkside completion zsh)"\n', encoding="utf-8"
    )
    fish = tmp_path / ".config" / "fish" / "config.fish"
    fish.parent.mkdir(parents=True)
    fish.write_text(
        "mkdir -p ~/.config/fish/completions\n"
        "sinkside completion fish > ~/.config/fish/completions/sinkside.fish\n",
        encoding="utf-8",
    )
    return tmp_path


@pytest.mark.long  # a shell in a terminal of its own: two seconds each
@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_tab_key_completes(shell: str, home: Path) -> None:
    """Commands, options, values, procedures, pages and files with commas in their names."""
    program = shutil.which(shell)
    if program is None:
        pytest.skip(f"there is no {shell} here")
    surroundings = os.environ | {
        "HOME": str(home),
        "PATH": f"{home / 'bin'}{os.pathsep}{os.environ['PATH']}",
        "TERM": "xterm",
        "XDG_CONFIG_HOME": str(home / ".config"),
    }
    typed = pexpect.spawn(
        program,
        ["-i"],
        cwd=str(home),
        env=surroundings,
        encoding="utf-8",
        timeout=SECONDS,
        dimensions=(40, 200),
    )
    try:
        for begun, rest in (
            ("sinkside record do", "ctor"),
            ("sinkside serve --lis", "ten"),
            ("sinkside run --guidance cu", "ed"),
            ("sinkside run negative-plate-t", "wo-burns"),
            ("sinkside guide instal", "ling"),
            ("sinkside check my", "file.yaml"),
        ):
            typed.send(f"{begun}\t")
            typed.expect_exact(rest)
            typed.send("\x15")  # the line is taken away again
    finally:
        typed.close(force=True)
