"""Waits while clocks misbehave: they say the truth or say that nobody knows, and the run goes on."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager, nullcontext
from datetime import datetime
from pathlib import Path
from typing import ClassVar
from unittest.mock import patch

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from time_worlds import SPRING, TICK, WAITS, Attack, Wait, World

from trainer.run import clock, waits
from trainer.run import fold as fold_room
from trainer.run.events import Stamp
from trainer.run.refusals import Refused, TooSoon
from trainer.run.session import Run
from trainer.run.state import WaitState

HOUR = 3600.0
YEAR = 365 * 24 * HOUR
SUMMER = 119 * 24 * HOUR

ATTACKS: dict[str, Sequence[Attack]] = {
    "nothing at all": [Attack("watched", 20)],
    "wall clock two hours back": [Attack("watched", 10), Attack("wall", -2 * HOUR), Attack("watched", 10)],
    "wall clock a year on": [Attack("watched", 10), Attack("wall", YEAR), Attack("watched", 10)],
    "wall clock set while the program is down": [Attack("wall", -2 * HOUR), Attack("restart", 20)],
    "wall clock a year on, then killed": [Attack("wall", YEAR), Attack("restart", 20)],
    "wall clock set and set right again": [
        Attack("wall", -2 * HOUR),
        Attack("wall", 2 * HOUR),
        Attack("restart", 20),
    ],
    "wall clock a little off": [Attack("wall", 1.5), Attack("restart", 20)],
    "lid closed": [Attack("watched", 5), Attack("suspend", 40), Attack("watched", 5)],
    "lid closed over night": [Attack("suspend", 14 * HOUR)],
    "lid closed while the program is down": [Attack("restart", 2), Attack("suspend", 30)],
    "killed": [Attack("watched", 5), Attack("restart", 50)],
    "killed three times": [Attack("restart", 5), Attack("restart", 5), Attack("restart", 5)],
    "killed over night": [Attack("restart", 14 * HOUR)],
    "reboot": [Attack("watched", 5), Attack("reboot", 40)],
    "reboot, then killed": [Attack("reboot", 40), Attack("restart", 5)],
    "two reboots": [Attack("reboot", 40), Attack("reboot", 40)],
    "reboot and the wall clock set": [Attack("reboot", 40), Attack("wall", -2 * HOUR), Attack("watched", 2)],
    "stopped process": [Attack("watched", 2), Attack("stopped", 45), Attack("watched", 2)],
    "stopped process for longer than the wait": [Attack("stopped", 600)],
    "machine held while the program is down": [Attack("watched", 3), Attack("freeze", 5000)],
}
"""What happens in the middle of a wait. Zones and daylight saving are further down."""


def suffer(
    world: World, step: str, attacks: Sequence[Attack], run_class: type[Run] = Run, *, on: bool = True
) -> None:
    """Begin the wait, let it all happen, and go on."""
    with world.real():
        wait = Wait(world, step, run_class)
        wait.check()
        for attack in attacks:
            wait.suffer(attack)
        if on:
            wait.go_on()


@pytest.mark.parametrize("step", WAITS)
@pytest.mark.parametrize("attack", ATTACKS)
@pytest.mark.parametrize("counts_sleep", [True, False], ids=["boot-time", "no-boot-time"])
@pytest.mark.sweep(quick=20)
def test_waits_say_the_truth_or_that_nobody_knows(
    tmp_path: Path, step: str, attack: str, *, counts_sleep: bool
) -> None:
    """In each attack each wait shows its true time or `unknown` with a reason, and the run is then done."""
    suffer(World(tmp_path / "boot", counts_sleep=counts_sleep), step, ATTACKS[attack])


_ONE = st.one_of(
    st.builds(Attack, st.sampled_from(["watched", "stopped"]), st.sampled_from([0.25, 3.0, 29.75, 61.0])),
    st.builds(Attack, st.just("wall"), st.sampled_from([-2 * HOUR, YEAR, HOUR, -HOUR, 1.5, -1.5])),
    st.builds(Attack, st.just("suspend"), st.sampled_from([3.0, 95.0, 9 * HOUR])),
    st.builds(Attack, st.sampled_from(["restart", "reboot"]), st.sampled_from([0.0, 7.0, 86.0, 9 * HOUR])),
    # Never a sum of the jumps above: a clock set back by just as long as the machine was held tells nobody.
    st.builds(Attack, st.just("freeze"), st.just(5000.0)),
)
HISTORIES = st.lists(_ONE, min_size=1, max_size=7)


@pytest.fixture(scope="module")
def boot_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One boot id file for all the worlds of a search."""
    return tmp_path_factory.mktemp("worlds") / "boot"


@settings(deadline=None, suppress_health_check=list(HealthCheck))
@given(attacks=HISTORIES, step=st.sampled_from(WAITS), counts_sleep=st.booleans())
def test_any_mix_of_attacks(boot_file: Path, attacks: list[Attack], step: str, counts_sleep: bool) -> None:
    """Whatever happens one after another in a wait, the same holds."""
    suffer(World(boot_file, counts_sleep=counts_sleep), step, attacks)


@pytest.mark.long(seconds=20)
@settings(max_examples=10 * settings().max_examples, deadline=None, suppress_health_check=list(HealthCheck))
@given(attacks=HISTORIES, step=st.sampled_from(WAITS), counts_sleep=st.booleans())
def test_many_mixes_of_attacks(boot_file: Path, attacks: list[Attack], step: str, counts_sleep: bool) -> None:
    """The same search for longer."""
    suffer(World(boot_file, counts_sleep=counts_sleep), step, attacks)


# Daylight saving

AUTUMN = clock.to_ms("2026-10-25T00:59:30.000Z")
LORD_HOWE = clock.to_ms("2026-04-04T14:59:30.000Z")
CHANGES = {
    # IANA time zone database: the rules EU, US and LH; Casablanca goes back for Ramadan.
    ("Europe/Berlin", "forward"): SPRING,
    ("Europe/Berlin", "back"): AUTUMN,
    ("America/New_York", "forward"): clock.to_ms("2026-03-08T06:59:30.000Z"),
    ("America/New_York", "back"): clock.to_ms("2026-11-01T05:59:30.000Z"),
    ("Australia/Lord_Howe", "back by half an hour"): LORD_HOWE,
}


@contextmanager
def zone(name: str) -> Iterator[None]:
    """Inside, local time is that of a zone."""
    try:
        with patch.dict("os.environ", {"TZ": name}):
            time.tzset()
            yield
    finally:
        time.tzset()


@pytest.mark.parametrize("change", CHANGES, ids=" ".join)
def test_daylight_saving_changes_nothing(tmp_path: Path, change: tuple[str, str]) -> None:
    """Over each change of local time a wait knows its time, watched and found half-way."""
    attacks = [Attack("watched", 20), Attack("restart", 20), Attack("watched", 3)]
    with zone(change[0]):
        world = World(tmp_path / "boot", begins_ms=CHANGES[change] - 15_000)
        suffer(world, "let-it-draw", attacks, on=False)
        assert not world.doubtful


def test_the_zones_do_change(tmp_path: Path) -> None:
    """The control: over each of these moments local time does jump, so the machine knows the zones."""
    del tmp_path
    for (name, _), at in CHANGES.items():
        with zone(name):
            before, after = (datetime.fromtimestamp(ms / 1000).astimezone() for ms in (at, at + 60_000))
            assert before.utcoffset() != after.utcoffset(), name


# Sabotaged builds


class StandsStillInSuspend(clock.SystemClock):
    """Counts by the clock that a suspend stops."""

    def _ticks_ms(self) -> int:
        kernel = vars(clock)["time"]
        return int(kernel.monotonic_ns()) // 1_000_000


class LocalTime(clock.SystemClock):
    """Writes local time and calls it UTC."""

    def now(self) -> Stamp:
        """The present moment, an hour off in summer."""
        real = super().now()
        local = datetime.fromtimestamp(clock.to_ms(real.at) / 1000).astimezone()
        return Stamp(local.strftime("%Y-%m-%dT%H:%M:%S.") + real.at[-4:], real.boot, real.ticks_ms)


class EndsByItself(Run):
    """Ends a wait whose time has come."""

    def tick(self) -> tuple[str, ...]:
        """Ring, and go on."""
        rings = super().tick()
        if "due" in rings:
            self.next()
        return rings


class CountsTicks(Run):
    """Counts a wait by its ticks, as a counter that is counted down would."""

    ticks: ClassVar[Counter[Stamp]] = Counter()

    def tick(self) -> tuple[str, ...]:
        """One more."""
        if self.state.wait is not None:
            self.ticks[self.state.wait.begun] += 1
        return super().tick()


def by_wall(wait: WaitState, now: Stamp) -> float | None:
    """Elapsed time by the wall clock."""
    return (clock.to_ms(now.at) - clock.to_ms(wait.begun.at)) / 1000


def by_wall_above_nought(wait: WaitState, now: Stamp) -> float | None:
    """The same, never below 0."""
    return max(0.0, (clock.to_ms(now.at) - clock.to_ms(wait.begun.at)) / 1000)


def whatever_the_boot(wait: WaitState, now: Stamp) -> float | None:
    """Elapsed time by a count, never mind of which boot."""
    return max(0, now.ticks_ms - wait.begun.ticks_ms) / 1000


def never_known(wait: WaitState, now: Stamp) -> float | None:
    """The easy way out."""
    return None if now else float(len(wait.warned))


def believes_any_gap(since: Stamp, now: Stamp) -> float | None:
    """Elapsed time over a restart, whatever the wall clock says."""
    return (now.ticks_ms - since.ticks_ms) / 1000 if since.boot == now.boot else None


def by_ticks(wait: WaitState, now: Stamp) -> float | None:
    """As many quarters of a second as ticks were seen."""
    del now
    return CountsTicks.ticks[wait.begun] * TICK


def elapsed_is(broken: Callable[[WaitState, Stamp], float | None]) -> AbstractContextManager[object]:
    """Inside, waits count their time so."""
    return patch.object(waits, "elapsed", broken)


def reported(
    world: World, broken: AbstractContextManager[object], run_class: type[Run] = Run, words: str = ""
) -> set[str]:
    """What the table of attacks says about a build; not more, once it has said `words`."""
    found: set[str] = set()
    with broken:
        for step in WAITS:
            for attacks in ATTACKS.values():
                fresh = World(world._boot_file, counts_sleep=world.counts_sleep)
                fresh.clock_class = world.clock_class
                try:
                    suffer(fresh, step, attacks, run_class)
                except (AssertionError, Refused, TooSoon) as told:
                    found.add(str(told).splitlines()[0])
                    if words and words in str(told):
                        return found
    return found


@pytest.mark.parametrize(
    ("broken", "run_class", "words"),
    [
        (elapsed_is(by_wall), Run, "less than nothing"),
        (elapsed_is(by_wall_above_nought), Run, "is shown as"),
        (elapsed_is(whatever_the_boot), Run, "is shown as"),
        (elapsed_is(never_known), Run, "without a reason"),
        (patch.object(fold_room, "gap", believes_any_gap), Run, "is shown as"),
        (nullcontext(), EndsByItself, "ended by itself"),
        (elapsed_is(by_ticks), CountsTicks, "is shown as"),
    ],
    ids=[
        "wall clock",
        "wall clock above nought",
        "any boot",
        "never known",
        "any gap",
        "by itself",
        "ticks",
    ],
)
def test_sabotaged_build_is_reported(
    tmp_path: Path, broken: AbstractContextManager[object], run_class: type[Run], words: str
) -> None:
    """Each broken way of keeping time is reported by the table of attacks, in the words that fit it."""
    found = reported(World(tmp_path / "boot"), broken, run_class, words)
    assert any(words in told for told in found), found


def test_sabotaged_clocks_are_reported(tmp_path: Path) -> None:
    """A clock that stands still in a suspend, and one that writes local time, are reported."""
    world = World(tmp_path / "boot")
    world.clock_class = StandsStillInSuspend
    assert any("is shown as" in told for told in reported(world, nullcontext(), words="is shown as"))
    world = World(tmp_path / "boot", begins_ms=AUTUMN - 15_000)
    world.clock_class = LocalTime
    attacks = [Attack("watched", 20), Attack("restart", 60)]
    with zone("Europe/Berlin"), pytest.raises(AssertionError, match="without a reason"):
        suffer(world, "let-it-draw", attacks, on=False)


@pytest.mark.long  # the quick table of attacks says the same, one by one
def test_a_sound_build_is_not_reported(tmp_path: Path) -> None:
    """The very table that reports the broken builds has nothing to say about the real one."""
    assert reported(World(tmp_path / "boot"), nullcontext()) == set()
