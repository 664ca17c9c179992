"""A bench by hand, and a rehearsal that shows it, for tests of what is drawn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from types import SimpleNamespace

from stand_ins import CONFIRM, ViewRun

from trainer.rehearsal.bench_view import BenchView, Choice, ControlView, Gauge
from trainer.run.refusals import Refused
from trainer.run.view import RunView

SWITCH = (Choice("off", "off"), Choice("on", "on"))
PUMP = ControlView("pump", "Pump", "The vacuum pump.", "switch", "off", "off", SWITCH)
GLASS = ControlView(
    "glass",
    "Glass",
    "The hinged glass.",
    "choice",
    "open",
    "open",
    (Choice("open", "open"), Choice("closed", "closed"), Choice("locked", "closed and locked")),
)
UNITS = ControlView(
    "units", "Integrator", "Its setting.", "number", 0.0, "0 units", unit="units", least=0.0, most=500.0
)
RUBBING = ControlView(
    "rubbing",
    "Rubbing",
    "How much is rubbed.",
    "choice",
    "none",
    "nothing",
    (Choice("none", "nothing"), Choice("part", "a part"), Choice("all-over", "all over")),
    held=True,
)
WEDGE = ControlView("wedge", "Wedge", "A wedge.", "switch", "off", "off", SWITCH)
VACUUM = Gauge("vacuum", "Vacuum", 18.4, "inHg", 0.0, 30.0, "18.4 inHg")
LAMP = Gauge("lamp", "Lamp", 0.62, "", 0.0, 1.0, "62 %")
COUNT = Gauge("count", "Count", 9.0, "units", 0.0, 24.0, "9 of 24 units")
COVERAGE = Gauge("coverage", "Rubbed", 43.0, "%", 0.0, 100.0, "43 %")
DARK = replace(LAMP, name="timer", label="Timer", lit=False)

BENCH = BenchView(
    controls=(GLASS, PUMP),
    others=(UNITS, WEDGE),
    gauges=(VACUUM, DARK),
    signs=(),
    notice="",
    seconds=83.0,
    speed=1.0,
    busy="",
    stage="raw",
    shown="plate",
)


@dataclass(frozen=True)
class Piece:
    """Cells of one style."""

    text: str
    fg: str = ""
    bg: str = ""


@dataclass(frozen=True)
class Part:
    """What is seen of a plate by hand."""

    rows: tuple[tuple[Piece, ...], ...]
    left: float
    top: float
    pixel: float
    across: float
    down: float


class HandSight:
    """Stands in for `trainer.rehearsal.sight`: the plate is dots, the loupe shows its own place."""

    def whole(self, seen: HandRehearsal, cols: int, rows: int, colours: str) -> Part:
        """Dots, as many as there is room for."""
        del colours
        pixel = max(250 / cols, 400 / (2 * rows))
        width, height = round(250 / pixel), round(200 / pixel)
        mark = seen.work().mark
        drawn = ((Piece(mark * width),),) * height
        return Part(drawn, 0.0, 0.0, pixel, 250.0, 400.0)

    def magnified(
        self,
        seen: HandRehearsal,
        at: tuple[float, float],
        *,
        pixel: float,
        cells: tuple[int, int],
        colours: str,
    ) -> Part:
        """Rings."""
        del seen, colours
        cols, rows = cells
        drawn = ((Piece("o" * cols),),) * rows
        across, down = cols * pixel, 2 * rows * pixel
        return Part(drawn, at[0] - across / 2, at[1] - down / 2, pixel, across, down)


@dataclass(frozen=True)
class HandWork:
    """What was done to a plate: nothing but a mark."""

    mark: str = "."
    stage: str = "raw"


class HandRehearsal:
    """Shows a bench by hand; every act is noted in `run.did` and may change what is shown."""

    def __init__(self, bench: BenchView = BENCH, view: RunView = CONFIRM) -> None:
        self.run = ViewRun(replace(view, rehearsal=True))
        self.shows = bench
        self.job = SimpleNamespace(width=250.0, height=400.0)
        self.settings = None
        self.made = HandWork()
        self.refuses: Refused | None = None
        self.after: Callable[[HandRehearsal], None] | None = None

    def bench(self) -> BenchView:
        """What it was told to show."""
        return self.shows

    def work(self) -> HandWork:
        """The plate."""
        return self.made

    def film(self) -> None:
        """No film is looked at."""

    def stands(self, bench: BenchView) -> None:
        """Nothing of it is looked at."""

    def _did(self, *act: object) -> None:
        if self.refuses:
            refuses, self.refuses = self.refuses, None
            raise refuses
        self.run.did.append(act)
        if self.after:
            self.after(self)

    def set(self, control: str, value: str | float) -> None:
        """Noted, and shown."""
        self._did("set", control, value)
        self.shows = replace(
            self.shows,
            controls=tuple(_moved(one, control, value) for one in self.shows.controls),
            others=tuple(_moved(one, control, value) for one in self.shows.others),
        )

    def let_go(self) -> None:
        """Noted."""
        self._did("let_go")

    def to_the_end(self) -> float:
        """Noted."""
        self._did("to_the_end")
        return 1.0

    def set_speed(self, times: float) -> None:
        """Noted, and shown."""
        self._did("set_speed", times)
        self.shows = replace(self.shows, speed=times)

    def tick(self) -> tuple[str, ...]:
        """What the run was told to ring."""
        return self.run.tick()


def _moved(one: ControlView, control: str, value: str | float) -> ControlView:
    if one.name != control:
        return one
    return replace(one, value=value, shown=f"{value}", touched=True, going=one.held and value != "none")
