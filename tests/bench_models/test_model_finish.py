"""Rinse, oxidation and gum: the published relation of degrees Baume, and what must hold of the rest."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from trainer.bench import finish as model
from trainer.bench.limits import OutOfRange
from trainer.bench.settings import BenchSettings


@pytest.mark.parametrize(("baume", "gravity"), [(14, 1.1069), (12, 1.0902), (10, 1.0741), (0, 1)])
def test_specific_gravity_of_gum(baume: float, gravity: float) -> None:
    """Gum of 14, 12 and 10 degrees Baume has the worked specific gravities, water has 1; and back."""
    # Sources: trade-facts D11 (SG = 145 / (145 - Be)), D13 (tolerance 1e-4); 14 degrees is D12.
    assert model.specific_gravity(baume) == pytest.approx(gravity, abs=1e-4)
    assert model.baume(gravity) == pytest.approx(baume, abs=0.01)


@given(volume=st.floats(1, 1e4), degrees=st.floats(1, 60), share=st.floats(0.01, 1))
def test_gum_thinned_weighs_what_its_parts_weigh(volume: float, degrees: float, share: float) -> None:
    """Gum and the water stirred in weigh as much together as what they become."""
    # Arithmetic: the mass is kept. Source of the strengths: trade-facts D11.
    wanted = max(0.1, degrees * share)
    water = model.water_for(volume, degrees, wanted)
    parts = volume * model.specific_gravity(degrees) + water
    assert parts == pytest.approx((volume + water) * model.specific_gravity(wanted), rel=1e-9)


def test_water_makes_no_gum_stronger() -> None:
    """Stronger than it is, gum is refused; as strong as it is, it wants no water."""
    assert model.water_for(1000, 14, 14) == 0
    with pytest.raises(OutOfRange, match="water only makes it weaker"):
        model.water_for(1000, 10, 14)


@given(first=st.floats(0, 300), second=st.floats(0, 300))
def test_rinsing_is_exact_for_a_step_of_any_length(bench: BenchSettings, first: float, second: float) -> None:
    """Rinsing in two steps leaves what one step leaves, and never more for rinsing longer."""
    finish = bench.finish
    in_two = model.residue(first, finish) * model.residue(second, finish)
    assert in_two == pytest.approx(model.residue(first + second, finish), rel=1e-6, abs=1e-12)
    assert model.residue(first + second, finish) <= model.residue(first, finish)


def test_developer_goes_on_while_it_is_rinsed_off(bench: BenchSettings) -> None:
    """What developer still does under the water is the integral of what is left of it."""
    # Oracle: scipy.integrate.solve_ivp over the residue.
    finish = bench.finish

    def working(time: float, _done: list[float]) -> list[float]:
        return [model.residue(time, finish)]

    solved = solve_ivp(working, (0, 12), [0.0], rtol=1e-10, atol=1e-12)
    assert model.developer_left(12, finish) == pytest.approx(float(solved.y[0][-1]), rel=1e-8)


def test_bare_metal_oxidises_by_its_law(bench: BenchSettings) -> None:
    """Bare metal approaches a whole oxidation at the pace of the settings, sooner wet than dry."""
    # Teaching model; that gum slows oxidation is trade-facts D09. Oracle: scipy.integrate.solve_ivp.
    finish = bench.finish
    for wet, pace in ((True, finish.oxidation_wet), (False, finish.oxidation_dry)):
        solved = solve_ivp(lambda _t, y, pace=pace: [(1 - y[0]) / pace], (0, 3600), [0.0], rtol=1e-9)
        assert model.oxidised(3600, 0.0, finish, wet=wet) == pytest.approx(float(solved.y[0][-1]), rel=1e-6)
    assert model.oxidised(3600, 0.0, finish, wet=True) > model.oxidised(3600, 0.0, finish, wet=False)


@given(seconds=st.floats(0, 1e6), thickness=st.floats(0, 50), more=st.floats(0, 50), wet=st.booleans())
def test_more_gum_never_protects_less(
    bench: BenchSettings, seconds: float, thickness: float, more: float, *, wet: bool
) -> None:
    """More gum never lets more metal oxidise, and never blinds less of the image."""
    # Sources of the signs: trade-facts D09 (protects), D10 and D21 (thick gum blinds).
    finish = bench.finish
    thin, thick = (model.protection(t, finish) for t in (thickness, thickness + more))
    assert model.oxidised(seconds, thick, finish, wet=wet) <= model.oxidised(seconds, thin, finish, wet=wet)
    assert model.blinding(thickness + more, finish) >= model.blinding(thickness, finish)


def test_thin_buffed_gum_is_the_right_one(bench: BenchSettings) -> None:
    """Gum put on thin and buffed protects and blinds nothing; thick and unbuffed it blinds the image."""
    # Source: trade-facts D21 (common practice, in part by D10).
    finish = bench.finish
    right = model.gum_film("thin", finish, buffed=True)
    assert model.protection(right, finish) > 0.95
    assert model.blinding(right, finish) == 0
    assert model.blinding(model.gum_film("thick", finish, buffed=False), finish) == 1
    assert 0 < model.blinding(model.gum_film("thick", finish, buffed=True), finish) < 1
    assert 0 < model.blinding(model.gum_film("thin", finish, buffed=False), finish) < 1
    assert model.gum_film("none", finish, buffed=True) == 0


def test_arrays_of_gum_keep_their_type(bench: BenchSettings) -> None:
    """A raster of gum in float32 gives rasters of float32."""
    gum = np.array([0, 1, 20], dtype=np.float32)
    protected = model.protection(gum, bench.finish)
    oxidised = model.oxidised(600, protected, bench.finish, wet=True)
    assert {protected.dtype, oxidised.dtype, model.blinding(gum, bench.finish).dtype} == {
        np.dtype(np.float32)
    }
