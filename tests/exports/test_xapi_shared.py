"""Statements made from the shared record with an office's key: the same ones, held to the same model."""

from __future__ import annotations

import json
import shutil
import stat
from pathlib import Path
from typing import Any

import pytest
from export_kit import RUN, record, said, stated
from postgres_kit import Postgres
from record_kit import Station, short_run
from shared_kit import Login, Shared, carry, made, server
from test_xapi import (
    test_a_home_page_of_ones_own,
    test_an_excused_run_is_voided_statement_by_statement,
    test_every_statement_conforms_and_names_nobody,
    test_ids_are_those_of_the_events,
    test_one_person_alone,
    test_the_shape_of_a_measurement,
    test_the_shape_of_a_safety_prompt,
    test_the_shape_of_a_step_a_word_and_an_end,
    test_the_shape_of_an_answer,
    test_the_verbs_of_a_run,
)

from trainer.record.exports.naming import HOME_PAGE
from trainer.record.shared.address import write_credential
from trainer.record.shared.troubles import SharedTrouble

__all__ = [
    "server",
    "test_a_home_page_of_ones_own",
    "test_an_excused_run_is_voided_statement_by_statement",
    "test_every_statement_conforms_and_names_nobody",
    "test_ids_are_those_of_the_events",
    "test_one_person_alone",
    "test_the_shape_of_a_measurement",
    "test_the_shape_of_a_safety_prompt",
    "test_the_shape_of_a_step_a_word_and_an_end",
    "test_the_shape_of_an_answer",
    "test_the_verbs_of_a_run",
]
"""What is asked of a station's export is asked of this one: by the same tests, of another record."""
pytestmark = pytest.mark.long


@pytest.fixture(scope="module")
def own(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A station's record with every kind of event."""
    return record(tmp_path_factory.mktemp("station"))


@pytest.fixture(scope="module")
def shared(server: Postgres, own: Path, tmp_path_factory: pytest.TempPathFactory) -> Shared:
    """That record in the shared one, at North; another T-01 at South."""
    with_it = made(server)
    carry(own, with_it.one)
    station = Station(tmp_path_factory.mktemp("south"))
    with station.open() as journal:
        short_run(station, journal, "019cadc6-a250-71c3-bf9b-974e4ff040cc", "T-01")
    carry(station.path, with_it.far)
    return with_it


def credential(shared: Shared, login: Login, path: Path) -> Path:
    """The file that somebody reads the shared record with."""
    address = f"postgresql://{login.address.user}@127.0.0.1:{shared.server.port}/{shared.database}"
    write_credential(path, address, login.address.password or "", "a test's")
    return path


@pytest.fixture(scope="module")
def kept(shared: Shared, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A reviewer's credential, of North: it takes the place of a station's record in the tests above."""
    return credential(shared, shared.reviewer, tmp_path_factory.mktemp("office") / "room.conf")


def without_names(statements: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Statements without what tells whose they are."""
    left = json.loads(json.dumps(statements))
    for one in left:
        one.pop("actor")
        one["context"].pop("instructor", None)
        if one["verb"]["id"].endswith("voided"):
            one.pop("id")
        one["context"].get("extensions", {}).pop(f"{HOME_PAGE}/extensions/school", None)
    return sorted(left, key=lambda one: json.dumps(one, sort_keys=True))


def accounts(statements: list[dict[str, Any]], run: str = "") -> set[str]:
    """The accounts that statements are of."""
    return {
        one["actor"]["account"]["name"]
        for one in statements
        if not run or one["context"]["registration"] == run
    }


def test_they_are_those_of_the_station_but_for_who_is_who(kept: Path, own: Path) -> None:
    """The same acts with the same ids; accounts and school apart, nothing differs."""
    here, there = stated(kept), stated(own)
    assert without_names(here) == without_names(there)
    assert accounts(here).isdisjoint(accounts(there))
    assert len(accounts(here)) == len(accounts(there))
    schools = {
        one["context"]["extensions"][f"{HOME_PAGE}/extensions/school"]
        for one in here
        if "extensions" in one["context"]
    }
    assert schools == {"North"}


def test_the_key_is_made_once_beside_the_credential(shared: Shared, tmp_path: Path) -> None:
    """0600, told when it is made; with it the names stay, with another they are others."""
    room = credential(shared, shared.reviewer, tmp_path / "room.conf")
    first, told = said(room, "--as", "xapi")
    key = tmp_path / "room.conf.key"
    assert stat.S_IMODE(key.stat().st_mode) == 0o600
    assert f"Made the key {key}" in told
    again, quiet = said(room, "--as", "xapi")
    assert again == first
    assert "Made the key" not in quiet
    (tmp_path / "other").mkdir()
    other = credential(shared, shared.reviewer, tmp_path / "other" / "room.conf")
    assert accounts(stated(other)).isdisjoint(accounts(json.loads(first)))
    shutil.copyfile(key, tmp_path / "other" / "room.conf.key")
    assert said(other, "--as", "xapi")[0] == first


def test_a_key_that_others_read_is_refused(shared: Shared, tmp_path: Path) -> None:
    """So is one that is no key; nothing is written."""
    room = credential(shared, shared.reviewer, tmp_path / "room.conf")
    key = tmp_path / "room.conf.key"
    key.write_text("ab" * 32, "ascii")
    key.chmod(0o644)
    assert "Others on this machine can read" in said(room, "--as", "xapi", code=1)[1]
    key.write_text("no key", "ascii")
    key.chmod(0o600)
    assert said(room, "--as", "xapi", code=1)[0] == b""


def test_one_code_in_two_schools_is_two_people(shared: Shared, kept: Path, tmp_path: Path) -> None:
    """Whoever reads both has an account for each, and the same ones when one school is read alone."""
    office = credential(shared, shared.keeper, tmp_path / "office.conf")
    both = stated(office)
    south = stated(office, "--school", "South", "--trainee", "T-01")
    north = stated(office, "--school", "North", "--trainee", "T-01")
    assert len(accounts(south)) == len(accounts(north)) == 1
    assert accounts(south) != accounts(north)
    assert accounts(south) | accounts(north) <= accounts(both)
    assert accounts(north) <= accounts(both, RUN)
    assert "whose T-01 is meant" in said(office, "--as", "xapi", "--trainee", "T-01", code=1)[1]
    shutil.copyfile(tmp_path / "office.conf.key", tmp_path / "as.key")
    (tmp_path / "room").mkdir()
    room = credential(shared, shared.reviewer, tmp_path / "room" / "room.conf")
    (tmp_path / "as.key").rename(tmp_path / "room" / "room.conf.key")
    (tmp_path / "room" / "room.conf.key").chmod(0o600)
    assert accounts(stated(room)) <= accounts(both)
    del kept


def test_without_a_credential_s_file_the_key_is_in_the_data_folder(
    shared: Shared, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An address alone has no place beside it."""
    from trainer.record.shared.office_key import office_key, office_key_path

    monkeypatch.setenv("SINKSIDE_HOME", str(tmp_path / "home"))
    address = shared.reviewer.address
    path = office_key_path(address)
    assert path.parent == tmp_path / "home"
    first, made_now = office_key(address)
    assert (office_key(address), made_now) == ((first, False), True)
    path.unlink()
    (tmp_path / "home").rename(tmp_path / "away")
    (tmp_path / "home").write_text("no folder", "ascii")
    with pytest.raises(SharedTrouble, match="cannot be made"):
        office_key(address)
