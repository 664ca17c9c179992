"""`sinkside calc`: the sums of the trade, each with its working, where it comes from and how far it holds.

Here what was written is read and the answer is printed; the sums are in `calc_sums` and `calc_sink`.
Those and the bench load NumPy, so they are imported inside the commands: `sinkside --help` stays quick.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from trainer import places

if TYPE_CHECKING:
    from trainer.bench.settings import BenchSettings
    from trainer.calc_sums import Part

_PLAIN_NUMBER = re.compile(r"[+-]?\d{1,12}(?:\.\d{1,12})?")
Wrapped = Callable[..., None]


class Amount(click.ParamType[float]):
    """An option that is a quantity, given on in one unit. `bare`: the number alone will do."""

    name = "quantity"

    def __init__(self, unit: str, *, bare: bool = False) -> None:
        self.unit = unit
        self.bare = bare

    def get_metavar(self, param: click.Parameter, ctx: click.Context) -> str:
        """How help shows it: the unit it is given on in; any other of its kind will do as well."""
        del param, ctx
        return self.unit.upper() if self.bare and self.unit == "step" else f"'N {self.unit}'"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """The number in the option's unit, or a usage error that says what to write."""
        from trainer.procedure.problems import Mistake
        from trainer.procedure.quantity import parse

        text = str(value).strip()
        if self.bare and _PLAIN_NUMBER.fullmatch(text):
            return float(text)
        if _PLAIN_NUMBER.fullmatch(text):
            self.fail(
                f'{text} is a number without a unit. Write it in quotes: "{text} {self.unit}".', param, ctx
            )
        try:
            return parse(text).to(self.unit)
        except Mistake as wrong:
            self.fail(str(wrong), param, ctx)


class Sum(click.Command):
    """A command whose refusals are sentences on stderr, with exit code 1."""

    def invoke(self, ctx: click.Context) -> object:
        """Run it; neither a number out of range nor a wrong file of settings becomes a traceback."""
        from trainer.bench.limits import OutOfRange
        from trainer.procedure.problems import ProcedureProblems

        try:
            return super().invoke(ctx)
        except (OutOfRange, ProcedureProblems) as refused:
            click.echo(f"sinkside: {refused}", err=True)
            raise SystemExit(1) from refused


JSON = click.option("--json", "as_json", is_flag=True, help="For a program to read.")
BENCH = click.option(
    "--bench",
    "own",
    type=click.Path(dir_okay=False, path_type=Path),
    help="The shop's own numbers (else bench.yaml beside the shop file): see `sinkside guide bench`.",
)


def quantity(option: str, unit: str, about: str, *, bare: bool = False) -> Callable[[Wrapped], Wrapped]:
    """An option that is a quantity."""
    return click.option(option, type=Amount(unit, bare=bare), help=about)


@click.group(short_help="Sums of the trade, with their working and source.")
def calc() -> None:
    """Sums of the trade, each with its working, its source and how far it holds.

    Amounts are written with their unit, in quotes: "1500 m", "40 in", "75 mL", "24 degC".
    """


@calc.command(cls=Sum, short_help="Units from a wedge, a lamp's distance or its age.")
@click.option("--units", type=Amount("units", bare=True), required=True, help="What the plate gets now.")
@quantity("--read", "step", "The last solid step of its wedge.", bare=True)
@quantity("--target", "step", "The step wanted.", bare=True)
@quantity("--distance", "mm", "From lamp to frame, before.")
@quantity("--new-distance", "mm", "From lamp to frame, now.")
@click.option(
    "--sensor",
    type=click.Choice(["frame", "lamp"]),
    help="Where the integrator's sensor sits, for a distance (a timer: lamp); else as bench.yaml says.",
)
@quantity("--lamp-age", "h", "Hours on the lamp: integrator against timer.")
@click.option("--lamp", type=click.Choice(["cold", "hot"]), help="How it begins: integrator against timer.")
@BENCH
@JSON
def exposure(
    units: float,
    read: float | None,
    target: float | None,
    distance: float | None,
    new_distance: float | None,
    sensor: str | None,
    lamp_age: float | None,
    lamp: str | None,
    own: Path | None,
    *,
    as_json: bool,
) -> None:
    """New units from the step read and the step wanted, or for another lamp distance."""
    from trainer import calc_sums

    parts: list[Part] = []
    if step := _together("--read and --target", read, target):
        parts.append(calc_sums.from_wedge(units, *step))
        units = float(parts[-1].values["units"])
    if apart := _together("--distance and --new-distance", distance, new_distance):
        sits = sensor or _settings(own).lamp.sensor
        parts.append(calc_sums.from_distance(units, apart[0], apart[1], sits))
        units = float(parts[-1].values["units"])
    elif sensor is not None:
        raise click.UsageError("--sensor belongs to --distance and --new-distance.")
    if lamp_age is not None or lamp is not None:
        parts.append(calc_sums.against_timer(units, lamp_age or 0.0, lamp or "hot", _settings(own).lamp))
    _show(parts, "--read and --target, --distance and --new-distance, --lamp-age or --lamp", as_json=as_json)


@calc.command(cls=Sum, short_help="Gauge by altitude, other units, pump-down time.")
@quantity("--altitude", "m", "How high the shop stands; else as the shop file says, else 0 m.")
@quantity("--gauge", "kPa", "A gauge reading, in any unit of vacuum.")
@quantity("--volume", "L", "Air in the frame, for the time to that reading.")
@quantity("--pump", "L", "What the pump takes in a minute.")
@quantity("--leak", "L", "What leaks in in a minute; none where left out.")
@quantity("--floor", "kPa", "The lowest pressure of the pump, absolute; 0 where left out.")
@BENCH
@JSON
def vacuum(
    altitude: float | None,
    gauge: float | None,
    volume: float | None,
    pump: float | None,
    leak: float | None,
    floor: float | None,
    own: Path | None,
    *,
    as_json: bool,
) -> None:
    """The most a gauge shows at an altitude; a reading in other units; the time the pump takes to it."""
    from trainer import calc_sums

    altitude = _shops_altitude() if altitude is None else altitude
    parts = [calc_sums.highest_gauge(altitude)]
    if gauge is not None:
        parts.append(calc_sums.of_gauge(gauge, altitude))
    if frame := _together("--volume and --pump", volume, pump):
        if gauge is None:
            raise click.UsageError("A time is asked for and no --gauge to come to.")
        made = calc_sums.frame_of(*frame, floor=floor or 0.0, like=_settings(own).frame)
        parts.append(calc_sums.pump_down(gauge, altitude, made, leak or 0.0))
    elif leak is not None or floor is not None:
        raise click.UsageError("--leak and --floor belong to --volume and --pump.")
    _show(parts, "--altitude", as_json=as_json)


@calc.command(cls=Sum, short_help="A tint read by density; dots that grow.")
@quantity("--tint", "D", "Density of the tint.", bare=True)
@quantity("--solid", "D", "Density of the solid.", bare=True)
@click.option(
    "--paper", type=Amount("D", bare=True), default="0", help="Density of the paper; 0 where left out."
)
@click.option("--n", type=click.FLOAT, default=1.0, show_default=True, help="Yule-Nielsen; 1: Murray-Davies.")
@quantity("--dot", "%", "The tone on the film.", bare=True)
@quantity("--ruling", "lpcm", 'The screen ruling: "150 lpi", "60 lpcm".')
@quantity("--edge", "um", "By how much every edge grows.")
@quantity("--gap", "um", "Or: the gap between film and plate,")
@click.option("--tangent", type=click.FLOAT, help="and the tangent of the angle of the light.")
@JSON
def tone(
    tint: float | None,
    solid: float | None,
    paper: float,
    n: float,
    dot: float | None,
    ruling: float | None,
    edge: float | None,
    gap: float | None,
    tangent: float | None,
    *,
    as_json: bool,
) -> None:
    """The tone that a tint's density shows; what a tone becomes when its dots grow."""
    from trainer import calc_sums

    parts: list[Part] = []
    if read := _together("--tint and --solid", tint, solid):
        parts.append(calc_sums.from_densities(*read, paper=paper, n=n))
    if creep := _together("--gap and --tangent", gap, tangent):
        if edge is not None:
            raise click.UsageError("Give --edge, or --gap and --tangent.")
        parts.append(calc_sums.under_an_edge(*creep))
        edge = float(parts[-1].values["edge_um"])
    if screen := _together("--dot and --ruling", dot, ruling):
        if edge is None:
            raise click.UsageError("By how much do the dots grow? Give --edge, or --gap and --tangent.")
        parts.append(calc_sums.from_growth(*screen, edge=edge))
    _show(parts, "--tint and --solid, --gap and --tangent, or --dot and --ruling", as_json=as_json)


@calc.command(cls=Sum, short_help="Growth of film and plate; the slot's play; a bent plate.")
@click.option("--length", type=Amount("mm"), required=True, help="Of the image, or from the round pin.")
@quantity("--film-temperature", "degC", "Where the film was made.")
@quantity("--temperature", "degC", "Where the plate is exposed.")
@quantity("--film-humidity", "%RH", "Where the film was made.")
@quantity("--humidity", "%RH", "Where the plate is exposed.")
@quantity("--hours", "h", "How long the film has been there; long enough where left out.")
@quantity("--pin-spacing", "mm", "From the round pin to the slot pin.")
@quantity("--clearance", "mm", "Play of the slot across its pin.")
@quantity("--thickness", "mm", "Of the plate that is bent")
@quantity("--cylinder", "mm", "round a plate cylinder of this diameter.")
@BENCH
@JSON
def register(
    length: float,
    film_temperature: float | None,
    temperature: float | None,
    film_humidity: float | None,
    humidity: float | None,
    hours: float | None,
    pin_spacing: float | None,
    clearance: float | None,
    thickness: float | None,
    cylinder: float | None,
    own: Path | None,
    *,
    as_json: bool,
) -> None:
    """How film grows against plate with temperature and humidity; what the clearance of the slot allows.

    And how much longer an image gets once its plate is bent round the cylinder.
    """
    from trainer import calc_sums

    parts: list[Part] = []
    warmth = _together("--film-temperature and --temperature", film_temperature, temperature)
    damp = _together("--film-humidity and --humidity", film_humidity, humidity)
    if hours is not None and not damp:
        raise click.UsageError("--hours belongs to --film-humidity and --humidity.")
    if warmth or damp:
        rooms = calc_sums.Rooms(*(warmth or (20.0, 20.0)), *(damp or (50.0, 50.0)))
        parts.append(calc_sums.expansion(length, rooms, _settings(own).register, hours))
    if pins := _together("--pin-spacing and --clearance", pin_spacing, clearance):
        parts.append(calc_sums.slot(length, *pins))
    if bend := _together("--thickness and --cylinder", thickness, cylinder):
        parts.append(calc_sums.bent(length, *bend))
    choices = "temperatures, humidities, --pin-spacing and --clearance, or --thickness and --cylinder"
    _show(parts, choices, as_json=as_json)


@calc.command(cls=Sum, short_help="Developer for a plate's size; time by temperature.")
@quantity("--volume", "mL", "What is poured.")
@quantity("--width", "mm", "Width of the plate.")
@quantity("--height", "mm", "Height of the plate.")
@quantity("--time", "s", "A development time that is right")
@quantity("--at", "degC", "at this temperature.")
@quantity("--temperature", "degC", "The temperature now.")
@quantity("--second-time", "s", "Another time that was right")
@quantity("--second-at", "degC", "at this temperature: they show the Q10.")
@click.option("--q10", type=click.FLOAT, help="Speed for 10 degC more; the bench's where left out.")
@BENCH
@JSON
def developer(
    volume: float | None,
    width: float | None,
    height: float | None,
    time: float | None,
    at: float | None,
    temperature: float | None,
    second_time: float | None,
    second_at: float | None,
    q10: float | None,
    own: Path | None,
    *,
    as_json: bool,
) -> None:
    """Developer for the size of a plate; a development time at another temperature; a developer's Q10."""
    from trainer import calc_sink

    parts: list[Part] = []
    if plate := _together("--volume, --width and --height", volume, width, height):
        parts.append(calc_sink.per_plate(*plate, settings=_settings(own).developer))
    if second := _together("--second-time and --second-at", second_time, second_at):
        if time is None or at is None:
            raise click.UsageError("--second-time and --second-at are held against --time and --at.")
        if q10 is not None:
            raise click.UsageError("Give --q10, or the two times that show it.")
        parts.append(calc_sink.own_q10(time, at, *second))
        q10 = float(parts[-1].values["q10"])
    if (temperature is not None or not second) and (
        warmth := _together("--time, --at and --temperature", time, at, temperature)
    ):
        speed = _settings(own).developer.q10 if q10 is None else q10
        parts.append(calc_sink.at_temperature(*warmth, q10=speed))
    choices = "--volume, --width and --height, or --time, --at and --temperature (or a second time)"
    _show(parts, choices, as_json=as_json)


@calc.command(cls=Sum, short_help="Strength of gum by hydrometer; water to thin it.")
@click.option("--baume", type=click.FLOAT, help="What the hydrometer reads, degrees Baume")
@click.option("--gravity", type=click.FLOAT, help="or its specific gravity.")
@quantity("--volume", "mL", "How much there is.")
@click.option("--wanted", type=click.FLOAT, help="The strength wanted, degrees Baume.")
@JSON
def gum(
    baume: float | None, gravity: float | None, volume: float | None, wanted: float | None, *, as_json: bool
) -> None:
    """Strength of gum in degrees Baume and as specific gravity; the water that thins it."""
    from trainer import calc_sink

    if (baume is None) == (gravity is None):
        raise click.UsageError("Give what the hydrometer reads: --baume or --gravity.")
    parts = [calc_sink.strength(baume) if baume is not None else calc_sink.from_gravity(gravity or 0.0)]
    if thinner := _together("--volume and --wanted", volume, wanted):
        degrees = float(parts[0].values["baume"])
        parts.insert(0, calc_sink.thinned(thinner[0], degrees, thinner[1]))  # what was asked for comes first
    _show(parts, "--baume or --gravity", as_json=as_json)


def _together(names: str, *given: float | None) -> tuple[float, ...] | None:
    """All of several options that belong together, or None where none is given. Raises UsageError."""
    there = tuple(one for one in given if one is not None)
    if there and len(there) < len(given):
        raise click.UsageError(f"{names} belong together.")
    return there or None


def _settings(own: Path | None) -> BenchSettings:
    """The bench's settings: the shipped ones, with a shop's own over them."""
    from trainer.rehearsal.bench_settings import read_bench

    return read_bench(own)


def _shops_altitude() -> float:
    """The altitude in m that the shop file says, 0 where it says none."""
    from trainer.procedure.shop import read_shop

    return read_shop(places.shop_path().path).altitude or 0.0


def _show(parts: Sequence[Part], choices: str, *, as_json: bool) -> None:
    """Print the sums, for people or as one JSON object. Raises UsageError where none was asked for."""
    if not parts:
        raise click.UsageError(f"Nothing to work out. Give {choices}.")
    if as_json:
        values: dict[str, object] = {name: value for part in parts for name, value in part.values.items()}
        values["working"] = [line for part in parts for line in part.working]
        values["source"] = [part.source for part in parts]
        values["validity"] = [part.holds for part in parts]
        click.echo(json.dumps(values, ensure_ascii=False))
        return
    for number, part in enumerate(parts):
        lines = (part.said, *(f"  {line}" for line in part.working))
        click.echo("\n".join(lines) if number == 0 else "\n" + "\n".join(lines))
        click.echo(f"  Source: {part.source}.")
        click.echo(f"  Holds for {part.holds}")
