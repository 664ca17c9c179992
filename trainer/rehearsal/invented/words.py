"""What people say in an invented class: why a plate was spoiled, a run stopped; an instructor's notes."""

from __future__ import annotations

from collections.abc import Mapping
from random import Random
from typing import Final

_SPOILED: Final[Mapping[str, tuple[str, ...]]] = {
    "punching": ("bent at the corner", "punched off centre", "scratched on the bench", "left in the light"),
    "vacuum": ("scratched by the film", "film slipped under the glass", "dust under the film"),
    "loading": ("fogged", "punched off centre", "scratched by the film"),
    "exposure": ("image soft at one side", "mask left off", "film moved", "wrong film burned"),
    "development": ("rubbed too long", "scratched while rubbing", "tint will not clear", "one corner missed"),
    "washing": ("fine lines washed away", "brushed too hard"),
    "rinse": ("scratched by the squeegee", "developer left on the back"),
    "drying": ("dried too hot", "bent while warm"),
    "height": ("mounted crooked", "relief too shallow"),
    "gumming": ("gum dried thick", "oxidised in places", "fingerprint in the image"),
    "finishing": ("gum dried thick", "deletion fluid ran"),
    "reading": ("strip tinted", "wedge not readable"),
}
_SPOILED_ANYWHERE: Final = ("dropped", "scratched")
TIME_IS_UP: Final = "time is up"
_STOPPED: Final = (TIME_IS_UP, "called away", "fire alarm", "no more plates today", "instructor said so")
ENOUGH: Final = "enough for today"
_NOT_YET: Final[Mapping[str, tuple[str, ...]]] = {
    "gum": ("Gum streak at the tail edge.", "Thick gum over the image."),
    "other": (
        "Look again at the marks.",
        "Pinhole left in the image.",
        "Tint in one corner.",
        "Go over it again.",
    ),
}
_REMARKS: Final = (
    "Pump is loud today.",
    "New bottle of developer.",
    "Gauge glass is dirty.",
    "Pads are running out.",
)
_EXCUSED: Final = ("fire drill in the middle of it", "shown to visitors", "frame was being repaired")


def spoiled(stage: str, drawn: Random) -> str:
    """Why a plate was given up."""
    return drawn.choice(_SPOILED.get(stage, _SPOILED_ANYWHERE))


def stopped(drawn: Random) -> str:
    """Why a run was stopped."""
    return drawn.choice(_STOPPED)


def not_yet(drawn: Random) -> str:
    """An instructor's note to `not yet`."""
    return drawn.choice(_NOT_YET[drawn.choice(("gum", "other", "other"))])


def remark(drawn: Random) -> str:
    """A remark by a trainee."""
    return drawn.choice(_REMARKS)


def excused(drawn: Random) -> str:
    """Why a run does not count."""
    return drawn.choice(_EXCUSED)
