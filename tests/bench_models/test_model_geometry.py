"""Distance of the lamp and fall-off to the corners, against worked values and the distance law."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.bench import geometry, wedge
from trainer.bench.limits import OutOfRange


def test_five_times_as_far_is_a_twenty_fifth_of_the_light() -> None:
    """A source five times as far gives 1/25 of the light."""
    # Source: trade-facts L04.
    assert geometry.inverse_square(1500, 300) == pytest.approx(1 / 25, rel=1e-12)


@pytest.mark.parametrize(("new", "factor"), [(44, 1.210), (48, 1.440), (50, 1.5625), (60, 2.250)])
def test_exposure_factor_for_another_distance(new: float, factor: float) -> None:
    """Exposure for 44, 48, 50 and 60 in, found at 40 in, rises by the worked factors."""
    # Source: trade-facts L05 (computed from L03, tolerance 1e-4); inches as mm, since only the ratio counts.
    assert 1 / geometry.inverse_square(new * 25.4, 40 * 25.4) == pytest.approx(factor, abs=1e-4)


def test_root_two_times_the_distance_is_two_steps() -> None:
    """The lamp at sqrt(2) times its distance gives half the light, which is 2.007 wedge steps."""
    # Source: trade-facts L06 (tolerance 0.01).
    light = geometry.inverse_square(1000 * 2**0.5, 1000)
    assert 1 / light == pytest.approx(2, abs=1e-9)
    assert wedge.steps_between(1, light) == pytest.approx(-2.007, abs=0.01)


@pytest.mark.parametrize(("kind", "light", "steps"), [("point", 0.7155, -0.969), ("diffuse", 0.6400, -1.292)])
def test_corner_of_the_frame(kind: str, light: float, steps: float) -> None:
    """A corner 500 mm off the axis of a lamp 1000 mm above loses what the cosines say, by kind of lamp."""
    # Sources: trade-facts L07 (cos^3), L08 (cos^4; law from memory), L09 (in wedge steps); conflict C2.
    corner = geometry.fall_off(500.0, 1000, kind)
    assert corner == pytest.approx(light, abs=0.0005)
    assert wedge.steps_between(1, corner) == pytest.approx(steps, abs=0.005)


@given(off=st.floats(0, 2000), distance=st.floats(300, 3000))
def test_point_lamp_obeys_the_distance_law(off: float, distance: float) -> None:
    """A point lamp's fall-off is E = I cos(theta) / d^2 with the slant distance d."""
    # Source: trade-facts L03 (IES definitions 9.1.2; IEC Electropedia).
    slant = (off**2 + distance**2) ** 0.5
    law = (distance / slant) / slant**2 * distance**2
    assert geometry.fall_off(off, distance, "point") == pytest.approx(law, rel=1e-9)


def test_arrays_keep_their_type_and_shape() -> None:
    """A raster of distances in float32 gives a raster of light in float32, each as the float gives it."""
    off = np.array([[0, 250], [500, 750]], dtype=np.float32)
    light = geometry.fall_off(off, 1000, "point")
    assert light.dtype == np.float32
    assert light.shape == off.shape
    assert light[1, 0] == pytest.approx(geometry.fall_off(500.0, 1000, "point"), rel=1e-6)


def test_sensor_at_the_frame_sees_the_lamp_moved() -> None:
    """With the sensor at the frame the plate gets what was counted; at the lamp, less by the square."""
    # Reasoning from trade-facts L03 and the note on light: a sensor corrects only what it sees itself.
    assert geometry.at_plate(24, 2000, 1000, "frame") == 24
    assert geometry.at_plate(24, 2000, 1000, "lamp") == pytest.approx(6)
    with pytest.raises(OutOfRange, match="'desk'; it must be one of frame, lamp"):
        geometry.at_plate(24, 2000, 1000, "desk")


def test_unknown_kind_of_lamp_is_refused() -> None:
    """A kind of lamp that the bench does not know is refused with the ones that it knows."""
    with pytest.raises(OutOfRange, match="'round'; it must be one of point, diffuse"):
        geometry.fall_off(1.0, 1000, "round")
