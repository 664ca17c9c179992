"""Draws of an invented class: each from the seed and a name of its own, so that none shifts another."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from math import exp, log
from random import Random
from typing import TypeVar

T = TypeVar("T")


def dice(*name: object) -> Random:
    """The draws that go by this name, the same each time."""
    return Random(" ".join(str(part) for part in name))  # noqa: S311 - an invented class, no secret


def boot_id(drawn: Random) -> str:
    """An id of a boot, as a kernel gives one (UUID version 4)."""
    return str(uuid.UUID(int=drawn.getrandbits(128), version=4))


def logistic(logit: float) -> float:
    """Log odds as a chance."""
    return 1 / (1 + exp(-logit))


def spread(drawn: Random, median: float, sigma: float) -> float:
    """A time about `median`, s: log-normal, with `sigma` of its logarithm."""
    return median * exp(drawn.gauss(0, sigma))


def one_of(drawn: Random, among: Sequence[T], weights: Sequence[float] | None = None) -> T:
    """One of several."""
    return drawn.choices(among, weights)[0]


def practised(runs: float, gain: float) -> float:
    """What so many runs add to the log odds of a hit."""
    return gain * log(1 + runs)
