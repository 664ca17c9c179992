"""An installed copy works away from the clone."""

from __future__ import annotations

import socket
import subprocess
import sys
import zipfile
from pathlib import Path
from urllib.request import urlopen

import pytest

CLONE = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="session")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built as `pip install .` builds it."""
    into = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "-w", str(into), str(CLONE)], check=True
    )
    (built,) = into.glob("*.whl")
    return built


@pytest.mark.wheel
def test_the_wheel_carries_everything_that_ships(wheel: Path) -> None:
    """Every procedure, picture, asset, guide page, style sheet and catalogue of the clone is in the wheel."""
    packed = set(zipfile.ZipFile(wheel).namelist())
    shipped = {
        f"trainer/shipped/{path.relative_to(CLONE)}"
        for folder in ("procedures", "assets")
        for path in (CLONE / folder).rglob("*")
        if path.is_file() and not path.name.startswith(".")
    }
    own = {
        str(path.relative_to(CLONE))
        for path in (CLONE / "trainer").rglob("*")
        if path.suffix in {".py", ".md", ".tcss", ".po", ".mo", ".css", ".js", ".sql"}
    }
    assert shipped
    assert shipped | own <= packed


@pytest.mark.wheel
def test_an_installed_copy_finds_what_ships(wheel: Path, tmp_path: Path) -> None:
    """From any folder, a freshly installed copy checks a procedure, opens the guide, speaks Spanish."""
    environment = tmp_path / "venv"
    subprocess.run([sys.executable, "-m", "venv", str(environment)], check=True)
    subprocess.run([str(environment / "bin/pip"), "install", "-q", str(wheel)], check=True)
    command = str(environment / "bin/sinkside")
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()

    def say(*arguments: str) -> str:
        return subprocess.run(
            [command, *arguments], cwd=elsewhere, capture_output=True, text=True, check=True, input=""
        ).stdout

    assert "sinkside" in say("--version")
    assert "No problems" in say("check", "negative-plate-two-burns")
    assert "trainee" in say("guide")
    doctor = subprocess.run(
        [command, "record", "doctor"], cwd=elsewhere, capture_output=True, text=True, check=False
    )
    assert doctor.returncode == 0, doctor.stdout
    assert "libraries, all in the versions that are wanted" in doctor.stdout
    assert "_SINKSIDE_COMPLETE=bash_complete" in say("completion", "bash")
    assert (environment / "bin/python").exists()
    assert_serves(command, elsewhere)
    assert "Código del aprendiz" in say("--record", "r.db", "run", "--plain", "--language", "es")


def assert_serves(command: str, folder: Path) -> None:
    """The installed copy shows its page to a browser, and ends when it is told to."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    argv = [command, "--record", "r.db", "serve", "--port", str(port)]
    with subprocess.Popen(argv, cwd=folder, stdout=subprocess.PIPE, text=True) as server:
        try:
            assert server.stdout is not None
            assert f"Open http://127.0.0.1:{port}/" in server.stdout.readline()
            with urlopen(f"http://127.0.0.1:{port}/front/textual.js", timeout=20) as answer:
                assert len(answer.read()) > 100_000
        finally:
            server.terminate()
    assert server.returncode == 0
