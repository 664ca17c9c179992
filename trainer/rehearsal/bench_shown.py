"""The bench made into what a front end shows."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from trainer.bench.apparatus import Apparatus
from trainer.bench.apparatus_work import stage
from trainer.procedure.vocabulary import CONTROLS
from trainer.rehearsal import busy, hands
from trainer.rehearsal.bench_controls import control_view, gauges
from trainer.rehearsal.bench_signs import signs
from trainer.rehearsal.bench_view import BenchView
from trainer.rehearsal.shop_card import on_the_card
from trainer.run.session import Run
from trainer.run.view import RunView

if TYPE_CHECKING:
    from trainer.rehearsal.standing import Standing


def shown(  # noqa: PLR0913 - what is shown beside the bench itself, each by its name
    run: Run, view: RunView, now: Apparatus, bench: Standing, *, named: str, notice: str, speed: float
) -> BenchView:
    """The bench at a moment. `named`: a control that a refusal named."""
    kit = bench.kit
    mine = step_controls(run, named)
    views = {name: control_view(name, now, kit, touched=name in bench.touched) for name in (*mine, *CONTROLS)}
    lies: Literal["film", "plate"] = "plate" if now.plate.out or not kit.image else "film"
    label = kit.job.film(kit.image).label if kit.image else ""
    controls = tuple(views[name] for name in mine)
    return BenchView(
        controls=controls,
        others=tuple(views[name] for name in CONTROLS if name not in mine),
        gauges=gauges(now, kit, _asked(run)),
        signs=(*(on_the_card(run) if step_controls(run) else ()), *signs(now, kit, label)),
        notice=notice,
        seconds=now.seconds,
        speed=speed,
        busy=busy.what(view, now, kit),
        stage=stage(now),
        shown=lies,
        starts=hands.starts(view, mine),
        idle=hands.idle(view, controls),
    )


def _asked(run: Run) -> str:
    """The unit of the reading that the step asks for; empty where it asks for none."""
    step = run.plan.steps.get(run.state.step)
    return step.reading.unit if step is not None and step.reading is not None else ""


def step_controls(run: Run, named: str = "") -> tuple[str, ...]:
    """The controls of the step at hand, in the file's order, and one that a refusal named.

    None while a trainee at solo still picks the step: its controls would tell.
    """
    state = run.state
    if state.closed or state.phase in ("picking", "explained", "arrived"):
        own: tuple[str, ...] = ()
    else:
        own = tuple(run.plan.steps[state.step].bench)
    return own if not named or named in own else (*own, named)
