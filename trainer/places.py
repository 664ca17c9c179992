"""Where things are: every path and every environment variable of the program, in one place.

Nothing here reads a file; nothing here is imported from above.
"""

from __future__ import annotations

import os
import re
from dataclasses import dataclass
from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent
_LANGUAGE = re.compile(r"[A-Za-z]{2,3}(?:-[A-Za-z0-9]{1,4})?")
_PLAIN_ID = re.compile(r"[a-z][a-z0-9-]{0,62}")

VARIABLES = {
    "SINKSIDE_HOME": "the data folder: record, key, log",
    "SINKSIDE_RECORD": "the record, a file",
    "SINKSIDE_SHOP": "the shop file",
    "SINKSIDE_LANG": "the language of the texts, for instance es",
    "SINKSIDE_STATION": "the name of the station, for instance sink 1",
    "SINKSIDE_SHARED": "the address of the shared record, postgresql://USER@HOST/DATABASE",
}
"""Every environment variable that is read, and what it names."""


@dataclass(frozen=True, slots=True)
class Found:
    """A path, and in words where it came from."""

    path: Path
    source: str


def data_home() -> Found:
    """The folder that holds the record, its key and the log."""
    if given := os.environ.get("SINKSIDE_HOME"):
        return Found(Path(given).expanduser(), "SINKSIDE_HOME")
    from platformdirs import user_data_path  # 10 ms, and only where the variable is not set

    return Found(user_data_path("sinkside", appauthor=False), "the user's data folder")


def record_named() -> str:
    """What SINKSIDE_RECORD says, not read; empty where it says nothing."""
    return os.environ.get("SINKSIDE_RECORD", "")


def record_path(given: Path | None = None) -> Found:
    """The record: `--record`, else SINKSIDE_RECORD, else `record.db` in the data folder."""
    if given is not None:
        return Found(given.expanduser(), "--record")
    if named := os.environ.get("SINKSIDE_RECORD"):
        return Found(Path(named).expanduser(), "SINKSIDE_RECORD")
    home = data_home()
    return Found(home.path / "record.db", home.source)


def shop_path() -> Found:
    """The shop file: SINKSIDE_SHOP, else `shop.yaml` in the user's config folder."""
    if named := os.environ.get("SINKSIDE_SHOP"):
        return Found(Path(named).expanduser(), "SINKSIDE_SHOP")
    if os.environ.get("SINKSIDE_HOME"):
        return Found(data_home().path / "shop.yaml", "SINKSIDE_HOME")
    from platformdirs import user_config_path  # as above

    return Found(user_config_path("sinkside", appauthor=False) / "shop.yaml", "the user's config folder")


def bench_path() -> Path:
    """The shop's own numbers for the simulated bench: `bench.yaml` beside the shop file."""
    return shop_path().path.parent / "bench.yaml"


def log_path() -> Path:
    """Where an error that nobody foresaw is written down."""
    return data_home().path / "sinkside.log"


def language(given: str | None = None) -> str:
    """The language asked for: `--language`, else SINKSIDE_LANG; `en` where neither is the code of one."""
    asked = given or os.environ.get("SINKSIDE_LANG", "en")
    return asked if is_language(asked) else "en"


def station_name() -> str:
    """The station's name as SINKSIDE_STATION gives it, not cleaned; empty where it gives none."""
    return os.environ.get("SINKSIDE_STATION", "")


def shared_address() -> str:
    """The address of the shared record as SINKSIDE_SHARED gives it, not read; empty where it gives none."""
    return os.environ.get("SINKSIDE_SHARED", "")


def is_language(code: str) -> bool:
    """Is it written as codes of languages are: `es`, `pt-BR`?"""
    return _LANGUAGE.fullmatch(code) is not None


def shipped(folder: str) -> Path:
    """`procedures` or `assets`: the clone's own where there is one, else the wheel's copy."""
    clone = _PACKAGE.parent
    if (clone / "pyproject.toml").is_file() and (clone / folder).is_dir():
        return clone / folder
    return _PACKAGE / "shipped" / folder


def procedures_dir() -> Path:
    """The folder of the shipped procedures."""
    return shipped("procedures")


def assets_dir() -> Path:
    """The folder of the shipped assets."""
    return shipped("assets")


def guide_dir() -> Path:
    """The pages of `sinkside guide`."""
    return _PACKAGE / "guide"


def words_dir() -> Path:
    """The catalogues of the app's own words, a folder for each language."""
    return _PACKAGE / "words"


def find_procedure(named: str) -> Path | None:
    """The file that an id or a path names; None where an id is not known.

    A path is anything with a separator or a suffix; it is not looked at here.
    """
    if not _PLAIN_ID.fullmatch(named):
        return Path(named).expanduser()
    shipped_file = procedures_dir() / f"{named}.yaml"
    return shipped_file if shipped_file.is_file() else None


def picture_paths(procedure_file: Path, picture: str, language: str = "") -> tuple[Path, ...]:
    """Where a picture may lie, best first: that of the language, then the one for all languages.

    Each beside the procedure, then in the assets. An id that is no plain id has no place, nor has a language
    that is no code of one: a text from a file never becomes a path.
    """
    if not _PLAIN_ID.fullmatch(picture):
        return ()
    codes = dict.fromkeys((language, language.partition("-")[0])) if is_language(language) else {}
    names = [*(f"{picture}.{code}.txt" for code in codes), f"{picture}.txt"]
    folders = (procedure_file.parent / "pictures", assets_dir() / "pictures")
    return tuple(folder / name for name in names for folder in folders)
