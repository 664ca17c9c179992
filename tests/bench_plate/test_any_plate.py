"""Whatever is done to a plate, it can be made, measured and drawn."""

from __future__ import annotations

import math

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from plates import job, shipped, wanted

from trainer.bench import picture
from trainer.bench.artwork import Spot, Stroke
from trainer.bench.made import made
from trainer.bench.measures import sheet
from trainer.bench.plate import Burn, Finishing, Speck, Treatment, Work
from trainer.bench.register import Fit

ACROSS, DOWN = st.floats(0.0, 250.0), st.floats(0.0, 400.0)
FITS = st.builds(
    Fit, st.floats(-6.0, 6.0), st.floats(-6.0, 6.0), st.floats(-0.01, 0.01), st.floats(-0.001, 0.001)
)
BURNS = st.builds(
    Burn,
    st.sampled_from(["", "black", "blue", "marks"]),
    st.sampled_from(["", "image", "marks"]),
    st.floats(0.0, 500.0),
    st.floats(0.0, 100.0),
    st.sampled_from(["emulsion-down", "emulsion-up"]),
    st.booleans(),
    st.booleans(),
    FITS,
    st.booleans(),
    st.lists(st.builds(Spot, ACROSS, DOWN, st.floats(0.0, 20.0)), max_size=3).map(tuple),
    st.lists(st.builds(Speck, ACROSS, DOWN, st.floats(0.0, 3.0), st.floats(0.0, 400.0)), max_size=3).map(
        tuple
    ),
)
TREATMENTS = st.builds(
    Treatment,
    st.floats(0.0, 3600.0),
    st.floats(0.0, 500.0),
    st.floats(5.0, 40.0),
    st.floats(0.0, 500.0),
    st.sampled_from(["one-place", "all-over"]),
    st.sampled_from(["none", "part", "all-over"]),
    st.sampled_from(["loaded", "clean"]),
    st.floats(0.0, 1.0),
)
FINISHINGS = st.builds(
    Finishing,
    st.sampled_from(["none", "face", "both-sides"]),
    st.floats(0.0, 600.0),
    st.floats(0.0, 86_400.0),
    st.floats(0.0, 86_400.0),
    st.sampled_from(["none", "thin", "thick"]),
    st.booleans(),
)
SCRATCHES = st.builds(
    Stroke, st.tuples(st.tuples(ACROSS, DOWN), st.tuples(ACROSS, DOWN)), st.floats(0.0, 3.0)
)
WORKS = st.builds(
    Work,
    st.just(job("tide-table-card")),
    st.lists(BURNS, max_size=3).map(tuple),
    st.one_of(st.just(0.0), st.floats(0.0, 50.0)),
    st.lists(SCRATCHES, max_size=2).map(tuple),
    FITS,
    st.lists(TREATMENTS, max_size=3).map(tuple),
    st.one_of(st.none(), FINISHINGS),
    st.integers(0, 3),
)


@settings(max_examples=12, deadline=None)
@given(WORKS)
def test_any_plate_can_be_made_measured_and_drawn(work: Work) -> None:
    """Shares stay from 0 to 1, measures are finite numbers, and every way of drawing gives whole rows."""
    plate = made(work, picture.whole(work.job, 40, 20), shipped())
    for share in (plate.struck, plate.kept, plate.oxidised, plate.blind):
        assert share.dtype == np.float32
        assert float(share.min()) >= 0.0
        assert float(share.max()) <= 1.0 + 1e-5
    for line in sheet(work, shipped(), wanted()).lines:
        assert line.value is None or math.isfinite(line.value), line
    for how in ("full", "256", "16", "none"):
        assert {sum(len(run.text) for run in row) for row in picture.rows(plate, how)} == {plate.grid.cols}
