"""From a gentle test to rated current in the hottest air."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.copper.heating_log import AskedUse
from coldpin.copper.rated import at_rated, left_out, scaled_rise
from coldpin.copper.temperature_rise import rise_in_use
from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity, normal
from coldpin.records.heating import HeatedPart
from coldpin.simulator.cable import VirtualCable, VirtualTerminal
from coldpin.simulator.cable_mesh import cut_cable
from coldpin.simulator.heating import LoggedSensor, heating_end
from coldpin.standards import load_book

BOOK = load_book()
ALPHA = 0.00393


def asked(rise: Quantity, **changed: object) -> Quantity:
    """Return the temperature at 20 A in 40 °C from a rise at 16 A in 22 °C, with what is changed."""
    given_ = {
        "current": normal(16.0, 0.05, "A", id="meter"),
        "rated_current": 20.0,
        "ambient": normal(22.0, 0.3, "°C", id="room"),
        "max_ambient": 40.0,
        "coefficient": ALPHA,
        "book": BOOK,
    } | changed
    return at_rated(rise, **given_)  # type: ignore[arg-type]  # the words are those of the function


@pytest.mark.hand("a linear equation for the rise, p = 0: 42.36 K")
def test_one_extrapolation_by_hand() -> None:
    """With p = 0 the rise is ΔT (I₂/I₁)² (1 + α (θ₂ − 20))/(1 + α (θ₁ − 20)): 24 K make 42.4 K."""
    # x = a (1 + 0.00393 (20 + x)) with a = 24 * 1.5625 / (1 + 0.00393 * 26)
    a = 24.0 * 1.5625 / 1.10218
    wanted = a * 1.0786 / (1.0 - a * ALPHA)
    found = scaled_rise(
        rise=24.0,
        current=16.0,
        rated_current=20.0,
        ambient=22.0,
        max_ambient=40.0,
        metal_above=0.0,
        exponent=0.0,
        coefficient=ALPHA,
    )

    assert found == pytest.approx(wanted, rel=1e-9)
    assert found == pytest.approx(42.36, abs=0.005)


def test_the_same_current_in_the_same_air_changes_nothing() -> None:
    """A test at rated conditions is its own answer, with no more uncertainty than it had."""
    rise = normal(24.0, 0.5, "K", id="rise")
    found = asked(rise, rated_current=16.0, max_ambient=22.0, current=normal(16.0, 0.0, "A", id="meter"))

    assert found.value == pytest.approx(46.0)
    assert found.u == pytest.approx(0.5, rel=0.05)


def test_the_exponent_speaks_in_the_budget() -> None:
    """The further the extrapolation, the more of the uncertainty is how the film follows the rise."""
    rise = normal(24.0, 0.2, "K", id="rise")
    near, far = asked(rise, rated_current=17.0), asked(rise, rated_current=26.0)
    shares = [
        next(abs(part.contribution) for part in found.components if part.id == "film.rise-exponent")
        for found in (near, far)
    ]

    assert shares[0] < 0.5 < 2.0 < shares[1]


def test_what_cannot_be_asked() -> None:
    """No current, or one under which nothing would settle, is refused with what to do."""
    rise = normal(24.0, 0.5, "K", id="rise")
    with pytest.raises(OutsideRange, match="the current of the test is 0 A: it must be above zero"):
        asked(rise, current=normal(0.0, 0.1, "A", id="meter"))
    with pytest.raises(OutsideRange, match=r"gives no end temperature at 200 A: .*; test nearer to that current"):
        asked(rise, rated_current=200.0)


def test_an_unstated_meter_leaves_it_open() -> None:
    """Without the accuracy of the current no uncertainty is claimed."""
    found = asked(normal(24.0, 0.5, "K", id="rise"), current=Quantity(16.0, None, "A", why="accuracy not stated"))

    assert found.u is None
    assert "accuracy not stated" in found.why


@given(
    rise=st.floats(1.0, 40.0),
    more=st.floats(1.0, 1.5),
    exponent=st.floats(0.0, 0.25),
    hotter=st.floats(0.0, 40.0),
    above=st.floats(0.0, 15.0),
)
def test_more_current_and_hotter_air_never_cool(
    rise: float, more: float, exponent: float, hotter: float, above: float
) -> None:
    """The rise grows with the current and with the air, and falls with the exponent that thins it."""
    place = {"rise": rise, "current": 16.0, "ambient": 20.0, "metal_above": above, "coefficient": ALPHA}

    def at(current: float, air: float, power: float) -> float:
        return float(scaled_rise(**place, rated_current=current, max_ambient=air, exponent=power))

    assert at(16.0 * more, 20.0, exponent) >= rise * (1.0 - 1e-9)
    assert at(16.0 * more, 20.0 + hotter, exponent) >= at(16.0 * more, 20.0, exponent) * (1.0 - 1e-9)
    assert at(16.0 * more, 20.0, 0.25) <= at(16.0 * more, 20.0, exponent) * (1.0 + 1e-9)


@pytest.mark.independent("finite volumes of the simulator: cords and a hot plug, in still air of 21 °C to 50 °C")
@pytest.mark.parametrize("air", [40.0, 50.0])
def test_what_radiation_leaves_out_errs_to_the_warm_side_by_no_more_than_is_told(air: float) -> None:
    """At one current in hotter air the finite volumes end cooler than told, by less than the share that is said."""
    hot = VirtualTerminal(joints=(0.010, 0.0003))
    sensors = (LoggedSensor(name="sheath", at="sheath", place=2.5), LoggedSensor(name="plug", at="plug"))
    for cable in (VirtualCable(plug=hot), VirtualCable(around=0.4)):
        mesh = cut_cable(cable)
        cool, warm = (heating_end(mesh, current=16.0, ambient=one, sensors=sensors).ends for one in (21.0, air))
        for part in ("sheath", "plug"):
            told = scaled_rise(
                rise=cool[part] - 21.0,
                current=16.0,
                rated_current=16.0,
                ambient=21.0,
                max_ambient=air,
                metal_above=0.0,
                exponent=0.25,
                coefficient=ALPHA,
            )
            share = left_out(ambient=21.0, max_ambient=air)
            assert told * (1.0 - share) < warm[part] - air < told


def test_hotter_air_is_said_to_radiate_more() -> None:
    """From 21 °C to 40 °C a tenth of the rise may be missing, which is said; from 35 °C nothing worth saying."""
    use = AskedUse(rated_current=Quantity(16.0, 0.0, "A"), max_ambient=Quantity(40.0, 0.0, "°C"))

    def said(air: float) -> tuple[str, ...]:
        _, told = rise_in_use(
            use, Quantity(20.0, 0.1, "K"), Quantity(16.0, 0.01, "A"), Quantity(air, 0.1, "°C"), load_book()
        )
        return told

    (remark,) = said(21.0)
    assert "may be up to 11% smaller than told" in remark
    assert said(35.0) == ()


def test_the_conductor_is_its_own_metal() -> None:
    """A surface has warmer metal below it, which widens the result; the conductor has none."""
    use = AskedUse(rated_current=Quantity(32.0, 0.0, "A"), max_ambient=Quantity(40.0, 0.0, "°C"))
    sheath, conductor = (
        rise_in_use(
            use,
            Quantity(20.0, 0.1, "K"),
            Quantity(16.0, 0.01, "A"),
            Quantity(20.0, 0.1, "°C"),
            load_book(),
            part=part,
        )[0]
        for part in (HeatedPart.SHEATH, HeatedPart.CONDUCTOR)
    )
    assert sheath is not None
    assert conductor is not None

    assert any(one.label.startswith("metal warmer") for one in sheath.components)
    assert not any(one.label.startswith("metal warmer") and one.contribution for one in conductor.components)
    assert (conductor.u or 0.0) < (sheath.u or 0.0)
