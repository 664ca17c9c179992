"""Who is weak at one skill: what is planted is found and hardly anything else; sums held to exact ones."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta

import numpy as np
import polars as pl
import pytest
from class_kit import drawn
from hypothesis import given
from hypothesis import strategies as st
from insight_kit import START, frames
from scipy import stats

from trainer.insight.joined import joined
from trainer.insight.peers import expected
from trainer.insight.results import Finding
from trainer.insight.skills import skills
from trainer.insight.standing import stands_out
from trainer.insight.tails import binomial, levels, moments, so_few, spread_of
from trainer.insight.weak import standings
from trainer.insight.weak import stands_out as weak_ones


def exact(chances: list[float], hits: int) -> float:
    """Mid-p of at most so many hits, by adding up one attempt after the other: the distribution itself."""
    spread = np.array([1.0])
    for chance in chances:
        spread = np.convolve(spread, [1 - chance, chance])
    return float(spread[:hits].sum() + spread[hits] / 2)


@given(
    st.lists(st.floats(0.5, 0.95), min_size=20, max_size=60).flatmap(
        lambda chances: st.tuples(st.just(chances), st.integers(0, int(sum(chances))))
    )
)
def test_the_binomial_stands_for_unequal_chances(drawn_: tuple[list[float], int]) -> None:
    """Against the exact sum of 20 and more chances of 0.5 to 0.95, no more hits than expected: within 0.03.

    Where a part of the steps nearly always fails and a part never does it is further off, to the safe side.
    """
    chances, hits = drawn_
    p = np.array(chances)
    tries, odds = binomial(np.array([p.sum()]), np.array([(p * (1 - p)).sum()]))
    found = so_few(np.array([float(hits)]), tries, odds, 0.0)[0]
    assert found == pytest.approx(exact(chances, hits), abs=0.03)


def test_very_unequal_chances_name_nobody_too_soon() -> None:
    """Half of the steps hard and half easy: so few hits seem likelier than they are, never less likely."""
    p = np.array([0.95] * 10 + [0.05] * 10)
    tries, odds = binomial(np.array([p.sum()]), np.array([(p * (1 - p)).sum()]))
    for hits in range(9):
        assert so_few(np.array([float(hits)]), tries, odds, 0.0)[0] >= exact(list(p), hits)


@pytest.mark.parametrize(("hits", "n", "chance"), [(3, 20, 0.5), (0, 8, 0.3), (12, 12, 0.9), (40, 90, 0.6)])
def test_equal_chances_are_a_binomial(hits: int, n: int, chance: float) -> None:
    """Mid-p of scipy 1.17's binomial distribution."""
    tries, odds = binomial(np.array([n * chance]), np.array([n * chance * (1 - chance)]))
    found = so_few(np.array([float(hits)]), tries, odds, 0.0)[0]
    known = stats.binom.cdf(hits, n, chance) - stats.binom.pmf(hits, n, chance) / 2
    assert found == pytest.approx(known, abs=1e-9)


def test_people_who_differ_are_averaged_over() -> None:
    """With a spread, as numbers drawn of people whose log odds differ so much say (a million of them)."""
    dice = np.random.default_rng(5)
    odds = 1.0 + dice.normal(0, 0.6, 1_000_000)
    hits = dice.binomial(40, 1 / (1 + np.exp(-odds)))
    known = (hits < 22).mean() + (hits == 22).mean() / 2
    found = so_few(np.array([22.0]), np.array([40.0]), np.array([1.0]), 0.6)[0]
    assert found == pytest.approx(known, abs=0.002)


def test_the_spread_of_people_is_found_again() -> None:
    """A few who stand out do not make everybody look different: 0.5 stays about 0.5 with a tenth far off."""
    dice = np.random.default_rng(6)
    shift = dice.normal(0, 0.5, 400)
    variance = np.full(400, 20.0)
    gap = shift * variance + dice.normal(0, np.sqrt(variance))
    assert spread_of(gap, variance) == pytest.approx(0.5, abs=0.1)
    gap[:40] -= 60
    assert spread_of(gap, variance) == pytest.approx(0.5, abs=0.15)
    assert spread_of(dice.normal(0, 1, 400), np.full(400, 3.0)) == 0


def test_a_trainee_s_level_is_that_of_the_other_skills() -> None:
    """Log odds of all other rows together, drawn a little towards the others; the row itself has no say."""
    tries, odds = np.full(4, 1000.0), np.array([1.0, 0.5, 0.0, 1.0])
    hits, _ = moments(tries, odds + np.array([-0.8, -0.8, -0.8, 2.0]))
    found = levels(hits, tries, odds, np.array([0, 0, 0, 1]))
    assert found[:3] == pytest.approx([-0.8] * 3, abs=0.01)
    assert found[3] == pytest.approx(0, abs=0.05), "nothing else is known of the second trainee"
    hits[0] -= 300
    changed = levels(hits, tries, odds, np.array([0, 0, 0, 1]))
    assert changed[0] == pytest.approx(found[0], abs=0.15)


def test_what_is_expected_goes_by_step_guidance_and_practice() -> None:
    """The others' rate at the very step, kind, guidance and band; sign-offs and faults are left out."""
    steps = {"easy": True, "hard": False}
    others = [f"T-0{number}" for number in range(2, 8)]
    attempts = [
        {"run": trainee, "trainee": trainee, "step": step, "hit": hit}
        for trainee in others
        for step, hit in steps.items()
        for _ in range(10)
    ]
    own = [{"run": "T-01", "trainee": "T-01", "step": "hard", "hit": False} for _ in range(10)]
    own += [{"run": "T-01", "trainee": "T-01", "mark": mark, "hit": False} for mark in ("fault", "sign_off")]
    found = expected(
        joined(
            frames(
                runs=[{"run": name, "trainee": name} for name in ("T-01", *others)],
                attempts=[*attempts, *own],
            )
        )
    )
    row = found.filter(pl.col("trainee") == "T-01").row(0, named=True)
    assert (row["n"], row["k"]) == (10, 0)
    assert row["expected"] < 1, "who misses where everybody misses is not weak"


def test_what_is_wrong_by_itself_is_held_against_nobody() -> None:
    """Attempts at a step that is left out are neither counted nor expected, of nobody."""
    attempts = [
        {"run": trainee, "trainee": trainee, "step": step, "hit": step == "good"}
        for trainee in ("T-01", "T-02")
        for step in ("good", "wrong")
        for _ in range(10)
    ]
    j = joined(frames(runs=[{"run": one, "trainee": one} for one in ("T-01", "T-02")], attempts=attempts))
    assert expected(j)["k"].to_list() == [10, 10]
    assert expected(j)["n"].to_list() == [20, 20]
    assert expected(j, [("plate", "wrong")])["n"].to_list() == [10, 10]
    assert expected(j, [("other", "wrong")])["n"].to_list() == [20, 20]


def test_one_who_tries_again_and_again_hides_nobody_and_makes_nobody_strong() -> None:
    """A weak one with five times as many misses at a step pulls the others' rate down: no harm is done.

    All are of the same ability; one misses a step again and again, which is asked again until it is hit.
    """
    dice = np.random.default_rng(4)
    trainees = [f"T-{number:02}" for number in range(1, 15)]
    attempts: list[dict[str, object]] = []
    for trainee in trainees:
        for skill in ("contact", "film", "handling"):
            weak = trainee == "T-05" and skill == "contact"
            rate, n = (0.25, 250) if weak else (0.8, 50)
            attempts += [
                {"run": trainee, "trainee": trainee, "skill": skill, "step": skill, "hit": bool(hit)}
                for hit in dice.random(n) < rate
            ]
    made = frames(runs=[{"run": one, "trainee": one} for one in trainees], attempts=attempts)
    found = {(one.trainee, one.skill): one for one in standings(expected(joined(made)))}
    assert found["T-05", "contact"].chance < 1e-6
    assert all(one.chance > 0.01 for key, one in found.items() if key != ("T-05", "contact"))
    others = [one.k - one.by_self for key, one in found.items() if key[1] == "contact" and key[0] != "T-05"]
    assert abs(float(np.median(others))) < 3, "of 50 each"


def named(seed: int, **how: float) -> tuple[set[tuple[str, ...]], frozenset[tuple[str, str]]]:
    """Who is named in a drawn class, and who is weak there."""
    class_ = drawn(seed, **how)  # type: ignore[arg-type]
    return {one.keys for one in findings(class_.frames)}, class_.weak


def findings(made: object) -> tuple[Finding, ...]:
    """What is said about skills, alone."""
    j = joined(made)  # type: ignore[arg-type]
    found = standings(expected(j))
    return stands_out([weak_ones(found, skills(j), {"contact": "Gets it flat"}, provisional=True)])


def test_the_weak_are_named_and_nobody_else() -> None:
    """Five classes with three weak trainees each: at least 13 of the 15 are named, and nobody who is not."""
    found = [named(seed) for seed in range(5)]
    assert sum(len(said & weak) for said, weak in found) >= 13
    assert [said - weak for said, weak in found] == [set()] * 5


def test_a_class_without_weak_ones_gives_no_name() -> None:
    """Ten classes in which nothing is planted, half of them of trainees whose skills differ a lot."""
    assert [named(seed, weak=0)[0] for seed in range(5)] == [set()] * 5
    assert [named(seed, weak=0, skilled=0.5)[0] for seed in range(5)] == [set()] * 5


@pytest.mark.long
def test_false_names_are_few_in_a_hundred_classes() -> None:
    """Of all names in 100 classes, at most 5 in 100 are false; four in five of the weak are named."""
    found = [named(seed) for seed in range(100)]
    false = sum(len(said - weak) for said, weak in found)
    true = sum(len(said & weak) for said, weak in found)
    assert false <= 0.05 * (true + false)
    assert true >= 0.8 * 300


def test_a_name_stands_with_its_figures() -> None:
    """Words have counts, interval and the others; why has what was to be expected; runs are those at it."""
    class_ = drawn(0)
    said = findings(class_.frames)
    one = next(one for one in said if one.keys in class_.weak)
    trainee, skill = one.keys
    row = next(row for row in skills(joined(class_.frames)) if (row.trainee, row.skill) == (trainee, skill))
    low, high = (round(100 * end) for end in (row.rate.interval.low, row.rate.interval.high))
    assert one.words == (
        f"{trainee} gets {skill} right in {row.rate.k} of {row.rate.n} attempts "
        f"(interval {low} to {high} %), {row.recent.k} of the last 10; "
        f"the others in {row.peers.k} of {row.peers.n}."
    )
    assert one.level == "act"
    assert row.state != "steady"
    assert "were to be expected" in one.why
    assert "Provisional: fewer than 30 trainees." in one.why
    assert (one.n, one.runs) == (row.rate.n, row.runs)
    assert one.p is not None


def test_who_is_steady_of_late_was_weak() -> None:
    """One story: where the page of the class says steady, the finding says so too, and does not urge.

    The last ten attempts of one who is named are made hits, here by hand.
    """
    class_ = drawn(0)
    trainee, skill = findings(class_.frames)[0].keys
    own = (pl.col("trainee") == trainee) & (pl.col("skill") == skill)
    late = pl.col("at") >= class_.frames.attempts.filter(own)["at"].sort()[-10]
    risen = class_.frames.attempts.with_columns(pl.when(own & late).then(True).otherwise("hit").alias("hit"))  # noqa: FBT003
    made = replace(class_.frames, attempts=risen)
    one = next(one for one in findings(made) if one.keys == (trainee, skill))
    row = next(row for row in skills(joined(made)) if (row.trainee, row.skill) == (trainee, skill))
    assert (row.state, row.recent.k, one.level) == ("steady", 10, "watch")
    assert one.words.startswith(
        f"{trainee} was weak at {skill} and is steady of late: right in 10 of the last 10, "
        f"and in {row.rate.k} of {row.rate.n} attempts"
    )


def test_few_are_not_compared() -> None:
    """Three trainees have no others to be compared with; a dozen attempts are too few."""
    assert standings(expected(joined(drawn(1, trainees=3, weak=1).frames))) == []
    assert standings(expected(joined(frames()))) == []
    small = drawn(1, runs=1, steps=4)
    assert standings(expected(joined(small.frames))) == []


def test_a_skill_row_counts_what_happened() -> None:
    """All attempts, the last ten by time, the others', hints, faults; without skill or mark none."""
    at = [START + timedelta(minutes=minute) for minute in range(12)]
    own = [{"run": "r1", "at": when, "hit": number < 5} for number, when in enumerate(at)]
    own.reverse()  # the order of rows says nothing, their time does
    own += [
        {"run": "r1", "mark": "fault", "hit": False, "at": at[0]},
        {"run": "r1", "skill": None},
        {"run": "r1", "mark": "", "hit": None},
    ]
    others = [{"run": "r2", "trainee": "T-02", "hit": True} for _ in range(4)]
    visits: list[Mapping[str, object]] = [
        {"run": "r1", "hints": 2},
        {"run": "r1", "hints": 1},
        {"run": "r1", "skill": None, "hints": 5},
    ]
    made = frames(runs=[{"run": "r1"}, {"run": "r2"}], attempts=[*own, *others], visits=visits)
    first, second = skills(joined(made))
    assert (first.trainee, first.skill, first.rate.k, first.rate.n) == ("T-01", "contact", 5, 13)
    assert (first.recent.k, first.recent.n, first.state) == (3, 10, "needs help")
    assert (first.peers.k, first.peers.n, first.hints, first.faults) == (4, 4, 3, 1)
    assert first.last_at == at[-1]
    assert first.runs == ("r1",)
    assert (second.state, second.peers.n, second.hints) == ("too few", 13, 0)
