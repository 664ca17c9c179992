"""An installed copy works away from the clone."""

from __future__ import annotations

import subprocess
import sys
import zipfile
from pathlib import Path

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
        if path.suffix in {".py", ".md", ".tcss", ".po", ".mo"}
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
    assert "Código del aprendiz" in say("--record", "r.db", "run", "--plain", "--language", "es")
