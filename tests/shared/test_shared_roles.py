"""Two databases on one server: a reviewer's and a keeper's name in one is nobody in the other."""

from __future__ import annotations

import psycopg
import pytest
from postgres_kit import Postgres
from shared_kit import TODAY, Login, login, made, server

from trainer.record.shared import stations
from trainer.record.shared.connecting import connect, connected
from trainer.record.shared.setup import add_keeper, older_keeper, setup
from trainer.record.shared.troubles import NotLetIn, SharedTrouble

__all__ = ["server"]
pytestmark = pytest.mark.long


def seen(by: Login) -> set[str]:
    """The schools that a credential sees."""
    with connected(by.address) as connection:
        return {place.school for place in stations.places(connection)}


def test_a_reviewer_of_one_database_is_untouched_by_the_other(server: Postgres) -> None:
    """Both were given `room` and `office` when they were made: each with a password of its own."""
    first, second = made(server), made(server)
    assert first.reviewer.address.user != second.reviewer.address.user
    assert seen(first.reviewer) == seen(second.reviewer) == {"North"}
    assert seen(first.keeper) == {"North", "South"}
    strange = login(server, second.database, first.keeper.address.user, first.keeper.address.password or "")
    with pytest.raises(NotLetIn):
        connect(strange.address)
    with connected(second.keeper.address) as keeper:
        role, password = stations.add_reviewer(keeper, "room", ["South"])
        assert role == second.reviewer.address.user
    assert seen(first.reviewer) == {"North"}
    assert seen(login(server, second.database, role, password)) == {"South"}
    with pytest.raises(NotLetIn):
        connect(second.reviewer.address)
    elsewhere = login(
        server, second.database, first.reviewer.address.user, first.reviewer.address.password or ""
    )
    assert seen(elsewhere) == set()
    with connected(second.keeper.address) as keeper:
        stations.remove_reviewer(keeper, "room")
        with pytest.raises(SharedTrouble, match="no reviewer room"):
            stations.remove_reviewer(keeper, "room")
    assert seen(first.reviewer) == {"North"}


def test_roles_of_an_earlier_sinkside_go_on(server: Postgres) -> None:
    """Named without the database: it reads until it is given a new credential, and is then nobody here.

    Its password is not touched, since it may be another database's reviewer.
    """
    shared = made(server)
    with shared.admin.open() as admin:
        admin.execute("CREATE ROLE sinkside_reviewer_old LOGIN PASSWORD 'old-word' IN ROLE sinkside_reviewer")
        admin.execute(
            "INSERT INTO sinkside.reviewers VALUES ('sinkside_reviewer_old', 'North', now(), 'old')"
        )
        admin.execute("CREATE ROLE sinkside_keeper_old LOGIN PASSWORD 'old-word' IN ROLE sinkside_keeper")
        # Then all keepers of the server were let in; whoever sets up again keeps those that there are.
        admin.execute(f"GRANT CONNECT ON DATABASE {shared.database} TO sinkside_keeper")
        setup(admin, "here", TODAY)
        admin.execute("CREATE ROLE sinkside_keeper_new LOGIN PASSWORD 'old-word' IN ROLE sinkside_keeper")
    with pytest.raises(NotLetIn):
        connect(login(server, shared.database, "sinkside_keeper_new", "old-word").address)
    old = login(server, shared.database, "sinkside_reviewer_old", "old-word")
    assert seen(old) == {"North"}
    with connected(shared.keeper.address) as keeper:
        role, password = stations.add_reviewer(keeper, "old", ["South"])
    assert seen(login(server, shared.database, role, password)) == {"South"}
    assert seen(old) == set()
    with connected(shared.admin.address) as admin:
        assert older_keeper(admin, "old") == "sinkside_keeper_old"
        role, _ = add_keeper(admin, "old")
        assert role != "sinkside_keeper_old"
        assert older_keeper(admin, "office") == ""
    assert seen(login(server, shared.database, "sinkside_keeper_old", "old-word")) == {"North", "South"}


def test_a_database_that_was_set_up_before_is_brought_up(
    server: Postgres, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With reviewers and conflicts of then: they keep their names and stay open."""
    from trainer.record.shared import migrations

    database = "school_of_before"
    with psycopg.connect(server.address(), autocommit=True) as first:
        first.execute(f"CREATE DATABASE {database}")
    admin = login(server, database, "postgres", server.password)
    before = migrations.MIGRATIONS
    monkeypatch.setattr(migrations, "MIGRATIONS", before[: before.index("settling")])
    with connected(admin.address, check=False) as connection:
        migrations_needed = (migrations.SQL / "roles.sql").read_text("utf-8")
        connection.execute(migrations_needed)
        migrations.migrate(connection, "here")
        connection.execute(
            "INSERT INTO sinkside.reviewers (role, school) VALUES ('sinkside_reviewer_a_b', 'North')"
        )
        site = "01a218e8-7049-713e-8204-e728079369ce"
        connection.execute("INSERT INTO sinkside.sites VALUES (%s, 'North', 'sink 1', 'x')", (site,))
        connection.execute(
            "INSERT INTO sinkside.conflicts (site, kind, id) VALUES (%s, 'list', 'x')", (site,)
        )
    monkeypatch.setattr(migrations, "MIGRATIONS", before)
    with connected(admin.address, check=False) as connection:
        assert setup(connection, "here", TODAY).schema == len(before)
        assert connection.execute("SELECT named FROM sinkside.reviewers").fetchall() == [("a_b",)]
        assert [one.conflicts for one in stations.states(connection)] == [1]
