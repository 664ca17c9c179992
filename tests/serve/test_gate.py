"""Who is let in: names, origins, tokens, keys, and how slowly somebody can guess."""

from __future__ import annotations

import hmac
import itertools

import pytest

from trainer.serving.gate import Gate, Hosts, is_loopback, new_token

TOKEN = "0123456789abcdefghijkl"  # noqa: S105 - it opens nothing
OPEN = Hosts(8000, frozenset({"localhost", "127.0.0.1", "::1", "sink-2", "192.0.2.7"}), numbers=True)
PUBLIC = Hosts(8000, public="https://sink.school.example")


class Time:
    """A clock that stands still until it is told."""

    def __init__(self) -> None:
        self.at = 1000.0

    def __call__(self) -> float:
        """Seconds."""
        return self.at


@pytest.fixture
def clock() -> Time:
    """A clock."""
    return Time()


@pytest.fixture
def door(clock: Time) -> Gate:
    """A gate with a token."""
    return Gate(OPEN, TOKEN, clock)


@pytest.mark.parametrize(
    ("hosts", "host", "fits"),
    [
        (Hosts(8000), "localhost:8000", True),
        (Hosts(8000), "127.0.0.1:8000", True),
        (Hosts(8000), "[::1]:8000", True),
        (Hosts(8000), "LOCALHOST:8000", True),
        (Hosts(80), "localhost", True),
        (Hosts(8000), "localhost", False),
        (Hosts(8000), "localhost:8001", False),
        (Hosts(8000), "192.0.2.7:8000", False),
        (Hosts(8000), "rebound.example:8000", False),
        (Hosts(8000), "127.0.0.1.rebound.example:8000", False),
        (Hosts(8000), "localhost.rebound.example:8000", False),
        (Hosts(8000), "localhost:8000@rebound.example:8000", False),
        (Hosts(8000), "user@localhost:8000", False),
        (Hosts(8000), "localhost:8000/x", False),
        (Hosts(8000), "localhost:8000?x", False),
        (Hosts(8000), "localhost:80 00", False),
        (Hosts(8000), "[::1", False),
        (Hosts(8000), "", False),
        (OPEN, "192.0.2.7:8000", True),
        (OPEN, "192.0.2.8:8000", True),
        (OPEN, "[2001:db8::7]:8000", True),
        (OPEN, "sink-2:8000", True),
        (OPEN, "rebound.example:8000", False),
        (OPEN, "0x7f.1:8000", False),
        (PUBLIC, "sink.school.example", True),
        (PUBLIC, "sink.school.example:443", True),
        (PUBLIC, "sink.school.example:8000", False),
        (PUBLIC, "localhost:8000", False),
    ],
)
def test_only_our_own_names_are_answered(hosts: Hosts, host: str, *, fits: bool) -> None:
    """A name that another site made to lead here is none of ours; an address in numbers leads nowhere else.

    RFC 9110, section 7.2 (Host); the attack as common practice describes it, no source.
    """
    assert hosts.fits(host) is fits


@pytest.mark.parametrize(
    ("hosts", "origin", "host", "same"),
    [
        (OPEN, "http://192.0.2.7:8000", "192.0.2.7:8000", True),
        (OPEN, "http://sink-2:8000", "192.0.2.7:8000", False),
        (OPEN, "https://192.0.2.7:8000", "192.0.2.7:8000", False),
        (OPEN, "http://192.0.2.7", "192.0.2.7:8000", False),
        (OPEN, "http://other.example", "192.0.2.7:8000", False),
        (OPEN, "http://rebound.example:8000", "rebound.example:8000", False),
        (OPEN, "null", "192.0.2.7:8000", False),
        (OPEN, "", "192.0.2.7:8000", False),
        (OPEN, None, "192.0.2.7:8000", False),
        (PUBLIC, "https://sink.school.example", "sink.school.example", True),
        (PUBLIC, "http://sink.school.example", "sink.school.example", False),
    ],
)
def test_only_pages_of_ours_may_open_a_screen(
    hosts: Hosts, origin: str | None, host: str, *, same: bool
) -> None:
    """The origin a browser names (RFC 6454) is ours, whole: scheme, host and port."""
    assert hosts.same_site(origin, host) is same


@pytest.mark.parametrize(
    ("address", "only_here"),
    [
        ("127.0.0.1", True),
        ("127.8.9.1", True),
        ("::1", True),
        ("localhost", True),
        ("0.0.0.0", False),  # noqa: S104 - it is not listened on
        ("::", False),
        ("192.0.2.7", False),
        ("sink-2", False),
        ("", False),
    ],
)
def test_what_only_this_machine_reaches(address: str, *, only_here: bool) -> None:
    """Loopback: RFC 1122, 3.2.1.3 (127/8) and RFC 4291, 2.5.3 (::1); no name is looked up."""
    assert is_loopback(address) is only_here


def test_the_right_token_lets_in_for_a_day_at_the_sink(door: Gate, clock: Time) -> None:
    """A key is given for the token, and is good for twelve hours; nothing else is a key."""
    key = door.try_token("a", TOKEN)
    assert key is not None
    assert door.knows(key)
    assert not any(door.knows(other) for other in (None, "", TOKEN, key[:-1], key.swapcase()))
    clock.at += 12 * 3600 - 1
    assert door.knows(key)
    clock.at += 2
    assert not door.knows(key)


def test_without_a_token_everybody_here_is_in(clock: Time) -> None:
    """On this machine only no token is asked for."""
    assert Gate(Hosts(8000), "", clock).knows(None)


def test_wrong_tokens_are_slowed_down(door: Gate, clock: Time) -> None:
    """After each wrong one twice as long, up to a minute; what comes too soon is not looked at at all."""
    waits = []
    for _ in range(8):
        assert door.try_token("a", "wrong") is None
        waits.append(door.wait("a"))
        assert door.try_token("a", TOKEN) is None
        clock.at += door.wait("a")
    assert waits == [1, 2, 4, 8, 16, 32, 60, 60]
    assert door.try_token("a", TOKEN) is not None


def test_another_trainee_is_not_shut_out(door: Gate, clock: Time) -> None:
    """Somebody's wrong tokens keep another address waiting for a quarter of a second, and no longer."""
    for _ in range(20):
        door.try_token("a", "wrong")
        clock.at += door.wait("a")
    door.try_token("a", "wrong")
    assert door.wait("b") == pytest.approx(0.25)
    clock.at += 0.25
    assert door.try_token("b", TOKEN) is not None


def test_many_addresses_guess_no_faster_than_four_a_second(
    door: Gate, clock: Time, monkeypatch: pytest.MonkeyPatch
) -> None:
    """10,000 tries from as many addresses within ten seconds: at most forty are looked at, none gets in.

    What is compared goes through the comparison that takes the same time for all (PEP 466, hmac).
    """
    looked: list[bytes] = []
    whole = hmac.compare_digest

    def compared(one: bytes, other: bytes) -> bool:
        looked.append(one)
        return whole(one, other)

    monkeypatch.setattr("hmac.compare_digest", compared)
    for number in range(10_000):
        assert door.try_token(f"peer-{number}", f"guess-{number}") is None
        clock.at += 0.001
    assert 0 < len(looked) <= 41
    assert len({len(one) for one in looked}) == 1


def test_what_is_remembered_has_an_end(door: Gate, clock: Time) -> None:
    """However many addresses and keys there are, no more than so many are kept."""
    for number in range(2000):
        clock.at += 1
        door.try_token(f"peer-{number}", "wrong")
        clock.at += 1
        door.try_token("c", TOKEN)
    assert len(door._peers) <= 256
    assert len(door._keys) <= 1000


def test_a_drawn_token_is_long_and_never_the_same() -> None:
    """128 random bits in 22 signs that stand in an address as they are."""
    drawn = {new_token() for _ in range(1000)}
    assert len(drawn) == 1000
    assert all(len(token) == 22 and set(token) <= set(SIGNS) for token in drawn)


SIGNS = "".join(map(chr, itertools.chain(range(48, 58), range(65, 91), range(97, 123)))) + "-_"
