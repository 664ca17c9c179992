"""Time goes by at the bench: exact for a step of any length, so that one long step is many short ones."""

from __future__ import annotations

from dataclasses import replace
from typing import cast

from trainer.bench import lamp, vacuum
from trainer.bench.apparatus import Apparatus, Kit, Light, Plate, Pool, Setting
from trainer.bench.artwork import Spot
from trainer.bench.conditions import dabs, film_fit, specks
from trainer.bench.limits import held
from trainer.bench.plate import Burn, Pad, Rubbing, Side, Spread, Treatment, opaquing
from trainer.bench.register import EXACT
from trainer.bench.vacuum import Drawn, Suction

LONGEST = 86_400.0
_NEAR = 1e-9


def passed(before: Apparatus, seconds: float, kit: Kit) -> Apparatus:
    """The bench so many seconds later, with no hand laid on it. Raises OutOfRange."""
    held(seconds, "The time", 0.0, LONGEST, "s")
    if before.light is not None and seconds >= before.light.lasts - before.light.seconds:
        lasted = max(0.0, before.light.lasts - before.light.seconds)
        out = light_out(_passed(before, lasted, kit), kit)
        return _passed(out, max(0.0, seconds - lasted), kit)
    return _passed(before, seconds, kit)


def suction(now: Apparatus, kit: Kit) -> Suction:
    """What acts on the air in the frame. The pump draws only on glass that is locked down."""
    pump = now.on("pump") and now.on("power") and now.word("glass") == "locked"
    return Suction(kit.conditions.air, pump, vacuum.leak(now.word("gasket"), kit.settings.frame))


def lit(now: Apparatus, kit: Kit) -> float:
    """What the lamp gives now against a hot new one, 0 to 1."""
    return lamp.output(now.theta, kit.conditions.lamp_hours, kit.settings.lamp) if now.light else 0.0


def counted(now: Apparatus, kit: Kit) -> float:
    """Units that the integrator shows: of the light that is on, or of the last."""
    light = now.light
    if light is None:
        return now.count
    if light.counter == "integrator" and light.seconds >= light.lasts - _NEAR:
        return light.set_to
    return lamp.counted(light.seconds, light.theta, kit.conditions.lamp_hours, kit.settings.lamp)


def light_out(now: Apparatus, kit: Kit) -> Apparatus:
    """The light goes out: what it has done is on the plate, and the count has to be set again."""
    if now.light is None:
        return now
    done = stretch_ended(now, kit)
    counter = "units" if now.light.counter == "integrator" else "timer"
    controls: dict[str, Setting] = {**done.controls, "lamp": "off", counter: 0.0}
    return replace(done, controls=controls, light=None, count=counted(now, kit))


def stretch_ended(now: Apparatus, kit: Kit) -> Apparatus:
    """The stretch of light until now, made into a burn; another may follow it."""
    light = now.light
    if light is None:
        return now
    units = counted(now, kit)
    burn = burn_of(now, kit)
    burns = now.plate.burns if burn is None else (*now.plate.burns, burn)
    begun = replace(light, from_units=units, from_pressing=now.drawn.contact)
    return replace(now, plate=replace(now.plate, burns=burns), light=begun)


def burn_of(now: Apparatus, kit: Kit) -> Burn | None:
    """What the present stretch of light has done so far; None where it reached no plate."""
    light, plate = now.light, now.plate
    units = counted(now, kit) - (light.from_units if light else 0.0)
    if light is None or units <= 0 or not plate.out or now.on("cover"):
        return None
    film, mask = _film(now, kit), _mask(now, kit)
    lies = film_fit(
        kit.conditions,
        kit.settings.register,
        plate.number * 100 + plate.laid,
        on_pins=now.word("pins") == "seated" and now.word("film_pins") == "seated",
    )
    return Burn(
        film=film,
        mask=mask,
        units=units,
        pressing=min(light.from_pressing, now.drawn.contact),
        side=cast("Side", now.word("film_side")),
        wrong_reading=kit.conditions.film_wrong,
        wedge=now.on("wedge"),
        fit=lies if film else EXACT,
        plate_down=now.word("plate_side") == "coated-down",
        opaque=painted(now, film, kit),
        dust=() if now.on("glass_wiped") else specks(kit.job, kit.conditions, film),
    )


def painted(now: Apparatus, film: str, kit: Kit) -> tuple[Spot, ...]:
    """The paint on a film: on its pinholes and scratches, and by a careless hand on its image too."""
    how_much = now.word("opaquing")
    if not film or how_much == "none":
        return ()
    if how_much == "some":
        return opaquing(kit.job.film(film), "some")
    slips = dabs(kit.job, kit.conditions, film) if how_much == "over-image" and film == kit.image else ()
    return opaquing(kit.job.film(film), "all") + slips


def treatment_of(plate: Plate, now: Apparatus, kit: Kit) -> Treatment | None:
    """The going-over that is under way; None where no developer lies on the plate, or no time has gone."""
    pool = plate.pool
    if pool is None or pool.seconds <= 0:
        return None
    rubbing = now.word("rubbing")
    return Treatment(
        seconds=pool.seconds,
        volume=pool.volume,
        temperature=pool.temperature,
        used=pool.used,
        spread=cast("Spread", now.word("spread")),
        rubbing=cast("Rubbing", rubbing),
        pad=cast("Pad", now.word("pad")),
        reached=coverage(pool.rubbed_before + pool.seconds, rubbing, kit) if rubbing != "none" else 0.0,
    )


def coverage(seconds: float, rubbing: str, kit: Kit) -> float:
    """The share of the plate that was gone over with the pad after so many seconds of rubbing."""
    developer = kit.settings.developer
    most = developer.rubbed_part if rubbing == "part" else 1.0
    return min(most, seconds / developer.going_over)


def going_over_ended(now: Apparatus, kit: Kit) -> Apparatus:
    """What is under way on the plate is made into a treatment; another may follow it."""
    plate = now.plate
    done = treatment_of(plate, now, kit)
    if done is None or plate.pool is None:
        return now
    rubs = now.word("rubbing") != "none"
    pool = replace(
        plate.pool,
        seconds=0.0,
        rubbed_before=plate.pool.rubbed_before + (plate.pool.seconds if rubs else 0.0),
    )
    treated = replace(
        plate, treatments=(*plate.treatments, done), pool=pool, rubs=plate.rubs + (1 if rubs else 0)
    )
    return replace(now, plate=treated)


def _passed(before: Apparatus, seconds: float, kit: Kit) -> Apparatus:
    """Time without an event in it."""
    if seconds <= 0:
        return before
    light, theta = before.light, before.theta
    if light is not None:
        light = replace(light, seconds=light.seconds + seconds)
        theta = lamp.heated(light.theta, light.seconds, kit.settings.lamp, lit=True)
    else:
        theta = lamp.heated(theta, seconds, kit.settings.lamp, lit=False)
    return replace(
        before,
        drawn=_drawn(before, seconds, kit),
        theta=theta,
        light=light,
        plate=_lain(before, seconds, kit),
        seconds=before.seconds + seconds,
    )


def _drawn(before: Apparatus, seconds: float, kit: Kit) -> Drawn:
    if before.word("glass") == "open":
        return vacuum.open_frame(kit.conditions.air)
    return vacuum.draw(before.drawn, seconds, suction(before, kit), kit.settings.frame)


def _lain(before: Apparatus, seconds: float, kit: Kit) -> Plate:
    """The plate after it lay for a time: fogged, wet with developer, under water, bare."""
    plate = before.plate
    if not plate.out:
        return plate
    fog = plate.fog + room_light(before, kit) * seconds
    pool = plate.pool
    rubbed, water, wet, dry = plate.rubbed, plate.water, plate.wet, plate.dry
    if pool is not None:
        pool = Pool(
            pool.volume,
            pool.temperature,
            pool.used,
            pool.lies + seconds,
            pool.seconds + seconds,
            pool.rubbed_before,
        )
        rubbed += seconds if before.word("rubbing") != "none" else 0.0
    if before.word("rinse") != "none":
        water += seconds
    elif is_bare(plate):
        wet += 0.0 if plate.squeegeed else seconds
        dry += seconds if plate.squeegeed else 0.0
    return replace(plate, fog=fog, pool=pool, rubbed=rubbed, water=water, wet=wet, dry=dry)


def is_bare(plate: Plate) -> bool:
    """Does bare metal lie there, rinsed and not gummed?"""
    return (plate.rinsed != "none" or plate.squeegeed) and plate.pool is None and plate.gum == "none"


def room_light(now: Apparatus, kit: Kit) -> float:
    """Light on the bare coating, lx. A mask, a cover, or being developed already keeps it off."""
    plate = now.plate
    open_to_it = plate.out and not now.on("cover") and now.word("mask") == "none"
    if not open_to_it or plate.treatments or plate.pool is not None or plate.rinsed != "none":
        return 0.0
    return kit.conditions.shaded_light if now.on("shade") else kit.conditions.room_light


def begin_light(now: Apparatus, kit: Kit) -> Light | None:
    """The light that comes on as things are set; None where nothing is set, so that it goes out at once."""
    hours, glow = kit.conditions.lamp_hours, kit.settings.lamp
    if now.word("counter") == "timer":
        lasts, set_to = now.number("timer"), now.number("timer")
        return Light(now.theta, lasts, "timer", set_to, from_pressing=now.drawn.contact) if lasts else None
    units = now.number("units")
    if not units:
        return None
    lasts = lamp.seconds_for(units, now.theta, hours, glow)
    return Light(now.theta, lasts, "integrator", units, from_pressing=now.drawn.contact)


def _film(now: Apparatus, kit: Kit) -> str:
    return {"image": kit.image, "marks": kit.marks, "wrong": kit.wrong}.get(now.word("film"), "")


def _mask(now: Apparatus, kit: Kit) -> str:
    """Id of the mask: that of the film it is called after; where no film is used, the job's only one."""
    if now.word("mask") == "none":
        return ""
    named = {"image": kit.image, "marks": kit.marks}.get(now.word("mask"), "")
    return kit.job.film(named).mask if named else next(iter(kit.job.masks), "")
