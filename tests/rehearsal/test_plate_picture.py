"""The plate of a kept rehearsal, saved as a picture."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from bench_kit import AtBench, plan_of
from click.testing import CliRunner
from PIL import Image

from trainer.bench.made import made
from trainer.bench.raster import Grid
from trainer.cli import main
from trainer.record.journal import StationJournal
from trainer.rehearsal.plate_picture import png_of
from trainer.run.clock import SystemClock
from trainer.run.events import RunOpened
from trainer.run.ports import Trouble


def test_the_picture_is_the_plate_as_it_stands(tmp_path: Path) -> None:
    """The saved file has the plate's size at its resolution, and is dark just where coating is."""
    at = AtBench.begin(seed=1)
    at.right_until("instructor-looks")
    rehearsal = at.rehearsal
    events = at.journal.events(rehearsal.run.state.run)
    with Image.open(BytesIO(png_of(events, 40))) as picture:
        grid = Grid.at_dpi(rehearsal.job.width, rehearsal.job.height, 40.0)
        assert picture.size == (grid.cols, grid.rows)
        assert picture.info["dpi"] == pytest.approx((40.0, 40.0), rel=1e-3)
        light = np.asarray(picture.convert("L"), dtype=float)
    kept = made(rehearsal.work_exact(), grid, rehearsal.settings).kept
    assert np.corrcoef(light.ravel(), kept.ravel())[0, 1] < -0.95
    record = tmp_path / "record.db"
    with StationJournal(record, SystemClock()) as journal:
        plan = plan_of("negative-plate-two-burns")
        journal.keep_procedure(plan.content_hash, plan.source, plan.procedure.id, plan.procedure.revision)
        journal.append(events)
    argv = ["record", "--record", str(record), "plate", events[0].run, "--dpi", "40", "--out"]
    out = tmp_path / "plate.png"
    said = CliRunner().invoke(main, [*argv, str(out)])
    assert said.exit_code == 0, said.output
    assert out.read_bytes() == png_of(events, 40)
    again = CliRunner().invoke(main, [*argv, str(out)])
    assert again.exit_code != 0
    assert "is there already" in again.output


def test_a_run_without_a_bench_has_no_plate() -> None:
    """A wet run is told so in a sentence."""
    at = AtBench.begin(seed=1)
    first = at.journal.events(at.rehearsal.run.state.run)[0]
    assert isinstance(first.body, RunOpened)
    wet = replace(first, body=replace(first.body, rehearsal=False))
    with pytest.raises(Trouble, match="no rehearsal"):
        png_of([wet], 40)
