"""What is shipped to set a station up: services, completion, and the pages that say how."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from trainer import places
from trainer.cli import main

STATION = places.assets_dir() / "station"
UNITS = sorted(path.name for path in STATION.glob("*.service"))
PAGES = ("serving", "installing")


def understood(words: list[str]) -> str:
    """The first word of a command line that is no command and no option of ours; empty where all are."""
    command: click.Command = main
    known: set[str] = set()
    taking = 0
    for word in words:
        known |= {name for param in command.params for name in param.opts}
        options = {name: param for param in command.params for name in param.opts}
        if word.startswith("-"):
            if word not in known and word not in ("--help", "--version", "-h"):
                return word
            param = options.get(word)
            taking = int(isinstance(param, click.Option) and not param.is_flag)
        elif taking:
            taking = 0
        elif isinstance(command, click.Group):
            if word not in command.commands:
                return word
            command = command.commands[word]
        elif not any(isinstance(param, click.Argument) for param in command.params):
            return word
    return ""


@pytest.mark.parametrize("unit", UNITS)
def test_a_service_starts_what_there_is(unit: str) -> None:
    """The command line of each unit is one that the program takes."""
    text = (STATION / unit).read_text("utf-8")
    (start,) = re.findall(r"^ExecStart=(.*)$", text, re.MULTILINE)
    words = [word for word in shlex.split(start) if word != "$SERVE_OPTIONS"]
    assert words[0].endswith("/sinkside")
    assert understood(words[1:]) == ""
    assert "UMask=0077" in text
    assert "NoNewPrivileges=yes" in text


def test_the_console_never_stays_dark() -> None:
    """It starts again however often it was left; an end that the system asked for is no failure.

    128 and the signal's number, as shells count (POSIX, 2.8.2): SIGHUP 1, SIGTERM 15.
    """
    text = (STATION / "sinkside-console@.service").read_text("utf-8")
    assert "StartLimitIntervalSec=0" in text.partition("[Service]")[0]
    assert "Restart=always" in text
    assert "SuccessExitStatus=129 143" in text


def test_the_users_service_has_a_folder_for_its_token() -> None:
    """systemd makes it, where the account has no such folder yet; the file is looked for in it."""
    text = (STATION / "sinkside-user.service").read_text("utf-8")
    assert "ConfigurationDirectory=sinkside\n" in text
    assert "--token-file %h/.config/sinkside/token" in text


@pytest.mark.parametrize("unit", [name for name in UNITS if "user" not in name])
def test_systemd_understands_every_line(unit: str, tmp_path: Path) -> None:
    """`systemd-analyze verify` finds nothing to say; the program is stood in for by one that is there."""
    if shutil.which("systemd-analyze") is None:
        pytest.skip("there is no systemd-analyze here")
    text = (STATION / unit).read_text("utf-8").replace("/usr/local/bin/sinkside", "/bin/true")
    (tmp_path / unit).write_text(text, encoding="utf-8")
    done = subprocess.run(
        ["systemd-analyze", "verify", "--man=no", str(tmp_path / unit)],
        capture_output=True,
        text=True,
        check=False,
    )
    own = [line for line in done.stderr.splitlines() if "sinkside" in line]
    assert own == []


def test_the_service_is_closed_in() -> None:
    """systemd's own measure of how much a service could reach: 0 nothing, 10 everything; at most 2 here."""
    if shutil.which("systemd-analyze") is None:
        pytest.skip("there is no systemd-analyze here")
    argv = ["systemd-analyze", "security", "--offline=yes", "--no-pager", str(STATION / "sinkside.service")]
    done = subprocess.run(argv, capture_output=True, text=True, check=False)
    found = re.search(r"exposure level for \S+: ([\d.]+)", done.stdout)
    if found is None:
        pytest.skip(f"this systemd does not measure files: {done.stderr.strip()}")
    assert float(found[1]) <= 2.0


@pytest.mark.parametrize("page", PAGES)
def test_every_command_of_the_pages_is_there(page: str) -> None:
    """Each `sinkside ...` in a block, a table or a sentence is a command that the program takes."""
    text = (places.guide_dir() / f"{page}.md").read_text("utf-8")
    lines = [line for block in re.findall(r"```sh\n(.*?)```", text, re.DOTALL) for line in block.splitlines()]
    lines += re.findall(r"`(sinkside [^`]+)`", text)
    seen = 0
    for line in lines:
        found = re.match(r"(?:sudo -u sinkside env \S+ )?sinkside ((?:(?! [#>]).)+)", line)
        if found:
            seen += 1
            assert understood(shlex.split(found[1])) == "", line
    assert seen >= 3


def test_every_option_of_serve_is_on_its_page() -> None:
    """The page about serving leaves no option out."""
    text = (places.guide_dir() / "serving.md").read_text("utf-8")
    options = [param.opts[0] for param in main.commands["serve"].params]
    assert [name for name in options if name not in text and name != "--record"] == []


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_completes(shell: str) -> None:
    """The script asks the program in the words that the library answers, and gets our commands."""
    script = CliRunner().invoke(main, ["completion", shell])
    assert script.exit_code == 0
    assert f"_SINKSIDE_COMPLETE={shell}_complete" in script.stdout
    words = {"COMP_WORDS": "sinkside record do", "COMP_CWORD": "do" if shell == "fish" else "2"}
    code = "from trainer.cli import main; main(prog_name='sinkside')"
    asked = subprocess.run(
        [sys.executable, "-c", code],
        env=os.environ | words | {"_SINKSIDE_COMPLETE": f"{shell}_complete"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert "doctor" in asked.stdout, asked.stderr
    assert "verify" not in asked.stdout


def test_bash_takes_the_script_and_offers_our_commands() -> None:
    """A real bash with the script: what it would offer after `sinkside record do` and the Tab key."""
    bash = shutil.which("bash")
    if bash is None:
        pytest.skip("there is no bash here")
    script = CliRunner().invoke(main, ["completion", "bash"]).stdout
    program = f"{sys.executable} -c \"from trainer.cli import main; main(prog_name='sinkside')\""
    lines = (
        f'sinkside() {{ {program} "$@"; }}; export -f sinkside',
        script.replace(
            "env COMP_WORDS", "COMP_WORDS"
        ),  # `env` starts no function, and this stands for a program
        "COMP_WORDS=(sinkside record do); COMP_CWORD=2",
        '_sinkside_completion sinkside; printf "%s\\n" "${COMPREPLY[@]}"',
    )
    done = subprocess.run([bash, "-c", "\n".join(lines)], capture_output=True, text=True, check=False)
    assert done.stdout.split() == ["doctor"], done.stderr
