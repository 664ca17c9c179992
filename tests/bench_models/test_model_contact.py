"""Contact: gap, dust and the light that creeps under an edge, against geometry and plate theory."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.bench import contact as model
from trainer.bench.settings import BenchSettings

PRESSINGS = st.floats(0, 100)


@given(pressing=PRESSINGS, more=st.floats(0, 10))
def test_higher_vacuum_never_makes_a_larger_gap(bench: BenchSettings, pressing: float, more: float) -> None:
    """More pressing never leaves a larger gap, and never a smaller one than the surfaces allow."""
    gap = model.gap(pressing, bench.contact)
    assert bench.contact.closed_gap <= model.gap(pressing + more, bench.contact) <= gap
    assert gap <= bench.contact.open_gap


def test_gap_at_rest_and_at_the_closing_pressure(bench: BenchSettings) -> None:
    """Unpressed, the gap is the open one; at the closing pressure about a third of it is left."""
    # Teaching model: as assets/bench.yaml says of `open_gap` and `closing_pressure`.
    settings = bench.contact
    assert model.gap(0.0, settings) == settings.open_gap
    left = model.gap(settings.closing_pressure, settings) - settings.closed_gap
    assert left / (settings.open_gap - settings.closed_gap) == pytest.approx(0.368, abs=0.001)


def test_undercut_of_a_tenth_of_a_millimetre() -> None:
    """A gap of 0.10 mm with light whose tangent is 0.5 lets light 50 um under an edge."""
    # Source: trade-facts V23 (geometry, from memory; tolerance 0.1 um).
    assert model.undercut(100.0, 0.5) == pytest.approx(50, abs=0.1)


@pytest.mark.parametrize(("thickness", "creep"), [(100, 28.3), (180, 51.0)])
def test_light_through_the_film_base(bench: BenchSettings, thickness: float, creep: float) -> None:
    """Through a base of 0.10 or 0.18 mm and index 1.64 the light goes 28.3 or 51.0 um sideways."""
    # Source: trade-facts V24 (Snell's law; index from memory; tolerance 0.2 um), bases R07.
    assert model.through_base(thickness, 0.5, bench.film.index) == pytest.approx(creep, abs=0.2)


@given(tangent=st.floats(0, 5), index=st.floats(1, 2.5))
def test_refraction_obeys_snell(tangent: float, index: float) -> None:
    """The sines of the angles outside and inside the base are in the ratio of the index."""
    # Source: Snell's law, textbook optics.
    inside = model.through_base(1, tangent, index)
    sines = [t / (1 + t * t) ** 0.5 for t in (tangent, inside)]
    assert sines[0] == pytest.approx(index * sines[1], abs=1e-9)


def test_half_the_penumbra_is_what_the_lamp_s_width_adds(bench: BenchSettings) -> None:
    """Right under the lamp every edge grows by half the soft edge that the lamp's width makes: of 10 um."""
    # Source: trade-facts V25 (0.10 mm, 100 mm, 1000 mm: 10 um; geometry, from memory). The outermost ray of
    # a lamp of width w at distance d has the tangent w / 2d.
    lamp = replace(bench.lamp, width=100, distance=1000)
    assert 2 * model.undercut(100.0, 0.0, model.spread(lamp)) == pytest.approx(10, abs=0.1)


@given(height=st.floats(1, 500), pressing=st.floats(1, 100))
def test_film_over_a_speck_is_a_clamped_plate(bench: BenchSettings, height: float, pressing: float) -> None:
    """The film stands off as far as a clamped round plate under the pressing bends to the speck's height."""
    # Plate theory, from memory: w = q a^4 / (64 D). Not beyond the settings' farthest reach.
    settings = bench.contact
    reach = model.dust_reach(height, pressing, settings)
    bends = pressing * 1e-3 * reach**4 / (64 * settings.film_stiffness) * 1000
    assert bends == pytest.approx(height, rel=1e-9) or reach == settings.dust_most


@given(height=st.floats(1, 500), pressing=PRESSINGS, more=st.floats(0, 10))
def test_harder_pressing_never_widens_the_ring_around_dust(
    bench: BenchSettings, height: float, pressing: float, more: float
) -> None:
    """The gap at a speck is its height, at its reach nothing, and the reach never grows with the pressing."""
    settings = bench.contact
    reach = model.dust_reach(height, pressing, settings)
    assert model.dust_reach(height, pressing + more, settings) <= reach
    gaps = model.dust_gap(np.array([0.0, reach / 2, reach, reach + 1]), height, pressing, settings)
    assert gaps == pytest.approx([height, height * 0.5625, 0, 0], abs=1e-6)


def test_no_speck_makes_no_gap(bench: BenchSettings) -> None:
    """A speck without height lifts nothing."""
    assert model.dust_gap(0.0, 0, 80, bench.contact) == 0
