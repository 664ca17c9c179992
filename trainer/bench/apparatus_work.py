"""What has been done to the plate so far, for `plate.made` and the sheet."""

from __future__ import annotations

from trainer.bench import coating
from trainer.bench.apparatus import Apparatus, Kit, Plate
from trainer.bench.apparatus_time import burn_of, treatment_of
from trainer.bench.conditions import scratches
from trainer.bench.plate import Finishing, Stage, Work
from trainer.bench.register import EXACT

_MOST_LIGHT = 600_000.0
"""More lx s than this make no difference to a coating that is fogged through."""


def work(now: Apparatus, kit: Kit) -> Work:
    """The plate as it stands now, what is under way taken in."""
    plate = now.plate
    lit, treated = burn_of(now, kit), treatment_of(plate, now, kit)
    return Work(
        job=kit.job,
        burns=plate.burns if lit is None else (*plate.burns, lit),
        fog=coating.fog(1.0, min(plate.fog, _MOST_LIGHT), kit.settings.coating) if plate.fog else 0.0,
        scratches=scratches(kit.job, kit.conditions, plate.number) if plate.out else (),
        punch=plate.punch or EXACT,
        treatments=plate.treatments if treated is None else (*plate.treatments, treated),
        finishing=finishing(plate),
        corner=kit.conditions.missed_corner,
    )


def stage(now: Apparatus) -> Stage:
    """How far the plate has come: as `work(...).stage`, and quicker."""
    plate = now.plate
    if plate.gum != "none":
        return "gummed"
    if plate.treatments or (plate.pool is not None and plate.pool.seconds > 0):
        return "developed"
    return "exposed" if plate.burns or now.light is not None or plate.fog else "raw"


def finishing(plate: Plate) -> Finishing | None:
    """Rinse and gum as far as they have come; None before the first of them."""
    if plate.rinsed == "none" and plate.gum == "none" and not plate.squeegeed:
        return None
    return Finishing(
        rinse=plate.rinsed,
        water=plate.water,
        wait_wet=plate.wet,
        wait_dry=plate.dry,
        gum=plate.gum,
        buffed=plate.buffed,
    )


def milestone(plate: Plate) -> tuple[object, ...]:
    """What the plate has been through: it changes with each burn, each going-over, each gumming."""
    return (plate.number, len(plate.burns), plate.rubs, plate.gum, plate.buffed)


def handled(plate: Plate) -> tuple[object, ...]:
    """The same, and everything else that a hand did to it."""
    return (*milestone(plate), len(plate.treatments), plate.rinsed, plate.squeegeed)
