"""The sums behind `sinkside calc`: `trainer.bench`'s functions, with working, source and reach in words.

Those of the sink, developer and gum, are in `calc_sink`.

Plain numbers in the units that each function names; the bench refuses what is out of range (OutOfRange).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from trainer.bench import contact, geometry, lamp, register, tone, vacuum, wedge
from trainer.bench.limits import OutOfRange, held
from trainer.procedure import atmosphere
from trainer.procedure.units import convert, plain, shown

_WEDGE = "21-step tablet, 0.15 density a step (US Navy NAVEDTRA 14209; Saxby, densitometry)"
TEACHING = "a teaching model: put your shop's own numbers into a file and name it with --bench"
"""Said of a number that no handbook gives."""
_GAUGES = ("inHg", "kPa", "mbar", "psi")


@dataclass(frozen=True, slots=True)
class Part:
    """One sum: its result in words, its numbers by name, its working, its source and how far it holds."""

    said: str
    values: Mapping[str, float | str]
    working: tuple[str, ...]
    source: str
    holds: str


def from_wedge(units: float, read: float, target: float) -> Part:
    """Units that bring the wedge from the step read to the step wanted."""
    new = wedge.corrected(units, read, target)
    factor = wedge.exposure_factor(target - read)
    return Part(
        f"Expose {shown(new, 'units')} to bring the wedge from step {plain(read)} to step {plain(target)}.",
        {"units": new, "factor": factor, "steps": target - read},
        (f"{plain(units)} units x 10^(0.15 x ({plain(target)} - {plain(read)})) = {shown(new, 'units')}",),
        _WEDGE,
        "the same plate, developer and lamp distance, and an integrator that counts dose. "
        "Steps 1 to 21; read the new wedge before you trust it.",
    )


def from_distance(units: float, old: float, new: float, sensor: str) -> Part:
    """Units for another lamp distance (mm), by where the integrator's sensor sits: `frame` or `lamp`."""
    factor = 1 / geometry.inverse_square(new, old)
    unchanged = geometry.at_plate(units, new, old, sensor)
    moved = wedge.steps_between(1, geometry.at_plate(1, new, old, sensor))
    farther = f"({shown(new, 'mm')} / {shown(old, 'mm')})^2 = {plain(factor)}"
    if sensor == "frame":
        wanted = units
        told = (
            f"Leave {shown(units, 'units')} at {shown(new, 'mm')}: a sensor at the frame counts as the plate "
            f"does, and takes {plain(factor)} times as long as at {shown(old, 'mm')}."
        )
        working: tuple[str, ...] = (farther,)
    else:
        wanted = units * factor
        told = (
            f"Expose {shown(wanted, 'units')} at {shown(new, 'mm')}, for what was {shown(units, 'units')} "
            f"at {shown(old, 'mm')}."
        )
        left = (
            f"Left as it was, the plate gets what {shown(unchanged, 'units')} gave, "
            f"and the wedge moves {plain(moved)} steps."
        )
        working = (
            farther,
            f"{plain(units)} units x {plain(factor)} = {shown(wanted, 'units')}",
            left,
        )
    return Part(
        told,
        {"units": wanted, "distance_factor": factor, "steps_if_unchanged": moved},
        working,
        "distance law E = I cos(theta) / d^2 (IES; IEC Electropedia)",
        "the middle of the frame and a lamp small against its distance. A sensor at the lamp, as a plain "
        "timer, does not see that the lamp was moved; one at the frame does.",
    )


def against_timer(units: float, hours: float, begins: str, settings: lamp.Lamp) -> Part:
    """How long an integrator takes with this lamp, and what a plain timer would have given instead."""
    theta = 1.0 if begins == "hot" else 0.0
    counted = lamp.by_integrator(units, theta, hours, settings)
    timer = lamp.timer_setting(units, settings)
    timed = lamp.by_timer(timer, theta, hours, settings)
    ageing = lamp.ageing(hours, settings)
    steps = wedge.steps_between(units, max(timed.units, 1e-6))
    return Part(
        f"The integrator takes {plain(counted.seconds)} s for {shown(units, 'units')}; a timer set for a hot "
        f"new lamp gives {shown(timed.units, 'units')}.",
        {
            "integrator_seconds": counted.seconds,
            "timer_seconds": timer,
            "timer_units": timed.units,
            "timer_steps": steps,
            "lamp_output": ageing,
        },
        (
            f"{shown(hours, 'h')} on the lamp: {plain(ageing * 100)} % of its light, and it begins {begins}.",
            f"Timer: {plain(timer)} s, {shown(timed.units, 'units')}, the wedge {plain(steps)} steps off.",
            f"Integrator: {plain(counted.seconds)} s, {shown(units, 'units')}, the wedge where it was.",
        ),
        "H = E t; up to 30 % lost over a lamp's life (Basic Lighting for Electricians Level 2)",
        f"a lamp with {plain(settings.cold_fraction * 100)} % of its light when cold, and a time constant of "
        f"{plain(settings.warm_up)} s to warm up. That is {TEACHING}.",
    )


def highest_gauge(metres: float) -> Part:
    """The most that a vacuum gauge can show at an altitude in m."""
    held(metres, "The altitude", -400, 6000, "m")
    air = atmosphere.air_pressure(metres)
    inches, kilopascal = (convert(air, "Pa", unit) for unit in ("inHg", "kPa"))
    return Part(
        f"At {shown(metres, 'm')} no vacuum gauge shows more than {inches:.2f} inHg ({kilopascal:.2f} kPa).",
        {"altitude_m": metres, "highest_inHg": inches, "highest_kPa": kilopascal},
        (
            f"101325 Pa x (1 - {plain(metres)} / 44329)^5.255876 = {kilopascal:.2f} kPa",
            f"{kilopascal:.3f} kPa / 3.386389 kPa = {inches:.2f} inHg",
        ),
        "US Standard Atmosphere, 1976 (NOAA, NASA, USAF)",
        "an average day, -400 m to 6000 m; weather moves it by about 1 inHg either way. "
        "A gauge shows how far the frame is below the air around it.",
    )


def of_gauge(kilopascal: float, metres: float) -> Part:
    """A gauge reading in every unit, and what is left in the frame."""
    air = atmosphere.air_pressure(metres) / 1000
    held(kilopascal, "The gauge reading", 0, 1000, "kPa")
    if kilopascal > air:
        raise OutOfRange(
            f"{_inches(kilopascal)} is more than a gauge can show at {shown(metres, 'm')}: the air there has "
            f"{convert(air, 'kPa', 'inHg'):.2f} inHg. Is the unit right?"
        )
    in_units = {unit: convert(kilopascal, "kPa", unit) for unit in _GAUGES}
    said = ", ".join(f"{plain(value)} {unit}" for unit, value in in_units.items())
    return Part(
        f"The gauge at {said}.",
        {f"gauge_{unit}": value for unit, value in in_units.items()} | {"left_kPa": air - kilopascal},
        (f"Left in the frame: {plain(air)} kPa - {plain(kilopascal)} kPa = {plain(air - kilopascal)} kPa",),
        "1 inHg = 3386.389 Pa, 1 psi = 6894.757 Pa (NIST SP 811)",
        "a gauge that reads from the air downwards. It sits at the inlet: the film may be pressed less.",
    )


def pump_down(kilopascal: float, metres: float, frame: vacuum.Frame, leaking: float) -> Part:
    """How long a frame takes to a gauge reading."""
    air = atmosphere.air_pressure(metres) / 1000
    held(kilopascal, "The gauge reading", 0, air, "kPa")
    seconds = vacuum.pump_down_time(air - kilopascal, air, frame, leaking)
    highest = vacuum.highest_gauge(air, frame, leaking)
    return Part(
        f"The pump takes {plain(seconds)} s to {_inches(kilopascal)}.",
        {
            "pump_down_seconds": seconds,
            "comes_to_inHg": convert(highest, "kPa", "inHg"),
            "comes_to_kPa": highest,
        },
        (
            f"V {plain(frame.volume)} L, S {plain(frame.pump_speed)} L/min, L {plain(leaking)} L/min",
            f"The gauge comes to {_inches(highest)} in the end.",
            "t = V / (S + L) x ln((p_air - p_end) / (p - p_end))",
        ),
        "t = (V / S) ln(p0 / p1), an engineering page on pump sizing; leak and pump limit added to it",
        "a pump that takes the same volume at every pressure, and a steady leak. The film is pressed later.",
    )


def from_densities(tint: float, solid: float, *, paper: float, n: float) -> Part:
    """The tone that a tint's density shows."""
    share = tone.area(tint, solid, paper, n)
    source = "Murray-Davies (Murray, 1936; Lindbloom, Dot Gain)"
    if n != 1:
        source = "Yule-Nielsen (range of n: Abbott, Practical Coatings; the formula from memory)"
    return Part(
        f"The tint prints as {plain(share * 100)} %.",
        {"tone_percent": share * 100},
        (
            f"tint {plain(tint)} - {plain(paper)}, solid {plain(solid)} - {plain(paper)}, n {plain(n)}",
            f"(1 - 10^(-tint / n)) / (1 - 10^(-solid / n)) = {plain(share * 100)} %",
        ),
        source,
        "densities of one colour, read through its filter. n: 1 (Murray-Davies) to 2; 1.7 if none is known.",
    )


def from_growth(percent: float, ruling: float, *, edge: float) -> Part:
    """What a tone becomes when every dot's edge moves by so many um."""
    share = held(percent, "The tone", 0, 100, "%") / 100
    after = tone.grown(share, edge, ruling)
    gain = (after - share) * 100
    dot = 2 * tone.radius(share, ruling)
    return Part(
        f"{plain(percent)} % becomes {plain(after * 100)} % ({gain:+.2f}).",
        {
            "tone_percent": after * 100,
            "gain_points": gain,
            "edge_um": edge,
            "pitch_um": tone.pitch(ruling),
            "dot_um": dot,
        },
        (
            f"Cells of {plain(tone.pitch(ruling))} um, a dot of {plain(dot)} um",
            f"Every edge moves {plain(edge)} um.",
        ),
        "geometry of round dots on a square grid, exact also where dots have joined",
        "round dots. Other dot shapes have more edge and gain more.",
    )


def under_an_edge(gap: float, tangent: float) -> Part:
    """How far light creeps under an edge, from a gap in um and the tangent of the angle of the light."""
    edge = contact.undercut(gap, tangent)
    return Part(
        f"Light creeps {plain(edge)} um under every edge.",
        {"edge_um": edge},
        (f"{plain(gap)} um x {plain(tangent)} = {plain(edge)} um",),
        "geometry: gap x tan(angle)",
        "an air gap, with light that comes at that angle from all sides.",
    )


def frame_of(volume: float, speed: float, *, floor: float, like: vacuum.Frame) -> vacuum.Frame:
    """A frame like another, but of this volume (L), pump (L/min) and lowest pressure (kPa)."""
    return replace(like, volume=volume, pump_speed=speed, pump_floor=floor)


@dataclass(frozen=True, slots=True)
class Rooms:
    """Temperature (degC) and humidity (%RH) when the film was made and when the plate is exposed."""

    degrees_before: float
    degrees_now: float
    humidity_before: float
    humidity_now: float


def expansion(length: float, rooms: Rooms, settings: register.Register, hours: float | None = None) -> Part:
    """Growth of film and plate over a length in mm, and what is left between them.

    hours: how long the film has been in the room; long enough where left out.
    """
    for humidity in (rooms.humidity_before, rooms.humidity_now):
        held(humidity, "The humidity", 0, 100, "%RH")
    degrees = rooms.degrees_now - rooms.degrees_before
    change = rooms.humidity_now - rooms.humidity_before
    humidity = change if hours is None else register.followed(change, hours, settings)
    followed = () if hours is None else (_so_far(change, humidity, hours, settings),)
    warm = f"{settings.film_thermal:.3g} x {plain(degrees)}"
    damp = f"{settings.film_humidity:.3g} x {plain(humidity)}"
    film = register.growth(length, degrees, humidity, settings.film_thermal, settings.film_humidity)
    plate = register.growth(length, degrees, 0, settings.plate_thermal, 0)
    return Part(
        f"Over {shown(length, 'mm')} the film grows {plain(film)} mm and the plate {plain(plate)} mm: "
        f"{plain(film - plate)} mm between them.",
        {"film_mm": film, "plate_mm": plate, "between_mm": film - plate},
        (
            f"Film: {plain(length)} x ({warm} + {damp}) = {plain(film)} mm",
            f"Plate: {plain(length)} x {settings.plate_thermal:.3g} x {plain(degrees)} = {plain(plate)} mm",
            *followed,
        ),
        "film: a graphic-arts film data sheet, TI2375 (2006); plate: aluminium alloy 1100, tables of metals",
        "film and plate that have stood long enough to follow the room: minutes to hours for the film's "
        "layers, hours to days for its base."
        if hours is None
        else f"film and plate that have the warmth of the room. How fast film follows damp is {TEACHING}.",
    )


def _so_far(change: float, humidity: float, hours: float, settings: register.Register) -> str:
    return (
        f"In {shown(hours, 'h')} the film has followed {plain(humidity)} of {plain(change)} %RH: "
        f"{plain(change)} x (1 - e^(-{plain(hours)} / {plain(settings.film_settles)}))"
    )


def bent(length: float, thickness: float, diameter: float) -> Part:
    """How much longer an image gets where its plate is bent round a cylinder; all in mm."""
    held(length, "The length", 0, 5000, "mm")
    share = register.bending_stretch(thickness, diameter / 2)
    half = f"{plain(thickness)} / 2"
    return Part(
        f"Round a cylinder of {shown(diameter, 'mm')} an image of {shown(length, 'mm')} gets "
        f"{plain(length * share)} mm longer.",
        {"bent_mm": length * share, "bent_percent": share * 100},
        (
            f"({half}) / ({plain(diameter)} / 2 + {half}) = {plain(share * 100)} %",
            f"{plain(length)} mm x {plain(share * 100)} % = {plain(length * share)} mm",
        ),
        "that it lengthens: Cylinder Packing for Changing Image Length, a teaching film of the trade; how "
        "much: geometry of bending, from memory",
        "the direction round the cylinder, on a plate that lies tight; across it nothing changes. The middle "
        "of the metal keeps its length. Plates of one thickness lengthen alike, so colours still fit.",
    )


def slot(length: float, spacing: float, clearance: float) -> Part:
    """What the slot's clearance allows at a distance from the round pin."""
    error = register.slot_error(clearance, spacing, length)
    return Part(
        f"{shown(length, 'mm')} from the round pin the slot allows {plain(error)} mm.",
        {"slot_mm": error},
        (f"{plain(length)} x {plain(clearance)} / {plain(spacing)} = {plain(error)} mm",),
        "geometry: a small turn about the round pin",
        "a film seated on both pins.",
    )


def _inches(kilopascal: float) -> str:
    return f"{convert(kilopascal, 'kPa', 'inHg'):.4g} inHg"
