"""Duty cycle and current: every edge of the published tables from both sides, and what uncertainty makes of an edge."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from coldpin.errors import OutsideRange
from coldpin.pilot import duty_for_current, offered_current, zone_of
from coldpin.quantity import Component, Quantity, Shape, assemble
from coldpin.records.pilot import Meaning
from coldpin.standards import Edition, duty_segments, duty_zones, load_book

BOOK = load_book()
SEGMENTS = duty_segments(BOOK)
ZONES = {edition: duty_zones(BOOK, edition) for edition in Edition}
SURE = 0.0
BEYOND = 1e-9
CURRENT, DIGITAL, FORBIDDEN, NONE = Meaning.CURRENT, Meaning.DIGITAL, Meaning.FORBIDDEN, Meaning.NONE

IEC_EDGES = [
    (0.0, NONE, 0.0),
    (0.0 + BEYOND, FORBIDDEN, 0.0),
    (3.0 - BEYOND, FORBIDDEN, 0.0),
    (3.0, DIGITAL, 0.0),
    (7.0, DIGITAL, 0.0),
    (7.0 + BEYOND, FORBIDDEN, 0.0),
    (8.0 - BEYOND, FORBIDDEN, 0.0),
    (8.0, CURRENT, 6.0),
    (10.0 - BEYOND, CURRENT, 6.0),
    (10.0, CURRENT, 6.0),
    (85.0, CURRENT, 51.0),
    (85.0 + BEYOND, CURRENT, 52.5),
    (96.0, CURRENT, 80.0),
    (96.0 + BEYOND, CURRENT, 80.0),
    (97.0, CURRENT, 80.0),
    (97.0 + BEYOND, FORBIDDEN, 0.0),
    (100.0 - BEYOND, FORBIDDEN, 0.0),
    (100.0, NONE, 0.0),
]
SAE_EDGES = [
    (0.0, NONE, 0.0),
    (0.0 + BEYOND, FORBIDDEN, 0.0),
    (3.0 - BEYOND, FORBIDDEN, 0.0),
    (3.0, DIGITAL, 0.0),
    (7.0, DIGITAL, 0.0),
    (7.0 + BEYOND, FORBIDDEN, 0.0),
    (8.0, FORBIDDEN, 0.0),
    (8.0 + BEYOND, FORBIDDEN, 0.0),
    (9.5 - BEYOND, FORBIDDEN, 0.0),
    (9.5, CURRENT, 6.0),
    (10.0 - BEYOND, CURRENT, 6.0),
    (10.0, CURRENT, 6.0),
    (85.0, CURRENT, 51.0),
    (85.0 + BEYOND, CURRENT, 52.5),
    (96.0, CURRENT, 80.0),
    (96.0 + BEYOND, CURRENT, 80.0),
    (96.5, CURRENT, 80.0),
    (96.5 + BEYOND, FORBIDDEN, 0.0),
    (100.0 - BEYOND, FORBIDDEN, 0.0),
    (100.0, NONE, 0.0),
]
OFFERS = [
    (6.0, 10.0),
    (8.0, 13.333),
    (10.0, 16.667),
    (12.0, 20.0),
    (13.0, 21.667),
    (16.0, 26.667),
    (20.0, 33.333),
    (24.0, 40.0),
    (25.0, 41.667),
    (32.0, 53.333),
    (40.0, 66.667),
    (48.0, 80.0),
    (51.0, 85.0),
    (60.0, 88.0),
    (63.0, 89.2),
    (70.0, 92.0),
    (80.0, 96.0),
]


@pytest.mark.published(
    "IEC 61851-1:2010 Table A.6 = IEC 61851-1:2017 Table A.8, restated in public texts; 7 % to 8 % memory"
)
@pytest.mark.parametrize("edition", [Edition.IEC_2, Edition.IEC_3])
@pytest.mark.parametrize(("duty", "meaning", "current"), IEC_EDGES)
def test_every_edge_of_the_iec_zones(edition: Edition, duty: float, meaning: Meaning, current: float) -> None:
    """On each side of each edge a vehicle reads what the table prints; an edge belongs to one side only."""
    offer = offered_current(Quantity(duty, SURE, "%"), ZONES[edition])

    assert offer.meaning is meaning
    assert offer.current.value == pytest.approx(current, abs=3.0 * BEYOND)
    assert offer.current.unit == "A"


@pytest.mark.published("SAE J1772 OCT2017 page 17, restated in public code; digital zone from a public summary")
@pytest.mark.parametrize(("duty", "meaning", "current"), SAE_EDGES)
def test_every_edge_of_the_sae_zones(duty: float, meaning: Meaning, current: float) -> None:
    """The same for SAE, whose 6 A zone begins at 9.5 % and whose 80 A zone ends at 96.5 %."""
    offer = offered_current(Quantity(duty, SURE, "%"), ZONES[Edition.SAE])

    assert offer.meaning is meaning
    assert offer.current.value == pytest.approx(current, abs=3.0 * BEYOND)


@pytest.mark.published(
    "duty = I / 0.6 and I / 2.5 + 64, IEC 61851-1:2010 Table A.5 = IEC 61851-1:2017 Table A.7, SAE J1772"
)
@pytest.mark.parametrize(("current", "duty"), OFFERS)
def test_offers_and_what_is_heard_of_them(current: float, duty: float) -> None:
    """A supply unit's duty cycle for a current is the printed one, and a vehicle hears that current."""
    set_duty = duty_for_current(current, SEGMENTS)

    assert set_duty == pytest.approx(duty, abs=0.0005)
    for zones in ZONES.values():
        heard = offered_current(Quantity(set_duty, SURE, "%"), zones)
        assert heard.meaning is CURRENT
        assert heard.current.value == pytest.approx(current, abs=1e-9)


@pytest.mark.published("scope readings of an 11 kW wall unit and serial traces of a portable connector, public notes")
@pytest.mark.parametrize(
    ("duty", "current"), [(26.4, 15.84), (27.2, 16.32), (13.1, 7.86)], ids=["wall B", "wall C", "mobile"]
)
def test_published_captures_are_read_as_printed(duty: float, current: float) -> None:
    """Duty cycles of published captures give the currents printed beside them."""
    offer = offered_current(Quantity(duty, 0.05, "%"), ZONES[Edition.IEC_3])

    assert offer.current.value == pytest.approx(current, abs=0.005)
    assert offer.meaning is CURRENT


@pytest.mark.published("serial trace of a portable connector at 4.8 %: digital communication requested")
def test_a_published_digital_capture() -> None:
    """4.8 % asks for digital communication and offers nothing by itself."""
    offer = offered_current(Quantity(4.8, 0.05, "%"), ZONES[Edition.IEC_3])

    assert (offer.meaning, offer.current.value, offer.current.u) == (DIGITAL, 0.0, 0.0)


@pytest.mark.practice
@pytest.mark.parametrize(("duty", "current"), [(16.0, 9.6), (25.0, 15.0), (50.0, 30.0)])
def test_the_old_mapping_reads_short(duty: float, current: float) -> None:
    """16, 25 and 50 % once stood for 10, 16 and 32 A; by today's table a vehicle hears less."""
    assert offered_current(Quantity(duty, SURE, "%"), ZONES[Edition.IEC_3]).current.value == pytest.approx(current)


@pytest.mark.published("currents between 51 A and 52.5 A cannot be signalled; nothing below 6 A can be offered")
@pytest.mark.parametrize("current", [5.9, 51.1, 52.0, 52.5, 80.1, math.nan])
def test_a_current_no_duty_cycle_stands_for(current: float) -> None:
    """The error names the current, the table and what to do."""
    with pytest.raises(
        OutsideRange, match=r"no duty cycle stands for .* A; .*IEC 61851-1.* offer the next lower current"
    ):
        duty_for_current(current, SEGMENTS)


@pytest.mark.parametrize("duty", [-0.1, 100.1, math.nan])
def test_a_duty_cycle_that_is_none(duty: float) -> None:
    """Outside 0 % to 100 % there is no zone, and the message says what the zones cover."""
    with pytest.raises(OutsideRange, match=r"duty cycle is .* %; the zones of the vehicle's table cover 0 % to 100 %"):
        zone_of(duty, ZONES[Edition.IEC_3])


@pytest.mark.published("1 pp is 0.6 A up to 85 % and 2.5 A above")
@pytest.mark.parametrize(("duty", "per_point"), [(40.0, 0.6), (90.0, 2.5), (9.0, 0.0)])
def test_inside_a_zone_the_uncertainty_is_scaled(duty: float, per_point: float) -> None:
    """u, interval, degrees of freedom and shared components pass through the line of the zone."""
    read = assemble(
        duty,
        "%",
        [
            Component(id="scatter", label="scatter", contribution=0.06, dof=9.0),
            Component(id="scope", label="scope", contribution=-0.08, shape=Shape.RECTANGULAR),
        ],
    )
    current = offered_current(read, ZONES[Edition.IEC_3]).current

    assert current.u == pytest.approx(per_point * 0.1)
    assert current.expanded == pytest.approx(per_point * (read.expanded or 0.0))
    if per_point:
        assert current.dof == pytest.approx(read.dof)
        assert {part.id: part.contribution for part in current.components} == pytest.approx(
            {"scatter": 0.06 * per_point, "scope": -0.08 * per_point}
        )


@pytest.mark.independent("normal and Student distribution of scipy.stats")
@pytest.mark.parametrize("dof", [math.inf, 4.0])
@pytest.mark.parametrize(("duty", "u"), [(8.05, 0.1), (7.95, 0.1), (9.6, 0.2)])
def test_near_an_edge_the_meanings_have_their_probabilities(duty: float, u: float, dof: float) -> None:
    """Where the interval reaches over an edge `why` holds each meaning's probability, and the interval holds 0 A."""
    edition, edge = (Edition.SAE, 9.5) if duty > 9.0 else (Edition.IEC_3, 8.0)
    offer = offered_current(Quantity(duty, u, "%", dof=dof), ZONES[edition])
    z = (duty - edge) / u
    above = float(stats.norm.cdf(z) if math.isinf(dof) else stats.t.cdf(z, dof))

    assert offer.meaning is (CURRENT if duty >= edge else FORBIDDEN)
    assert offer.current.low == 0.0
    assert offer.current.high == pytest.approx(6.0, abs=0.2)
    printed = {word.split()[0]: float(word.split()[1]) for word in offer.current.why.split(": ")[1].split(", ")}
    assert printed["current"] == pytest.approx(100.0 * above, abs=0.2)
    assert printed["current"] + printed["forbidden"] + printed.get("digital", 0.0) == pytest.approx(100.0, abs=0.2)


@pytest.mark.hand("half of a symmetrical distribution lies above 85 %, where the line jumps from 51 A to 52.5 A")
def test_at_the_jump_between_two_lines_both_currents_are_possible() -> None:
    """At 85 % the meaning is sure but the current is either side of the gap, and the distribution has nothing in it."""
    offer = offered_current(Quantity(85.0, 0.05, "%"), ZONES[Edition.IEC_3])
    values = np.array(offer.current.quantiles)

    assert offer.meaning is CURRENT
    assert offer.current.why == "the duty cycle may lie on either side of an edge between two zones of one meaning"
    assert not ((values > 51.0 + 1e-9) & (values < 52.5)).any()
    assert np.mean(values >= 52.5) == pytest.approx(0.5, abs=0.001)
    assert offer.current.probability_below(51.5) == pytest.approx(0.5, abs=0.001)


@pytest.mark.hand("a rectangular distribution of ±0.1 % about 8.05 % has a quarter below 8 %")
def test_a_rectangular_duty_cycle_near_an_edge() -> None:
    """A sole rectangular component is taken as such."""
    part = Component(id="clock", label="clock", contribution=0.1 / math.sqrt(3.0), shape=Shape.RECTANGULAR)
    offer = offered_current(assemble(8.05, "%", [part]), ZONES[Edition.IEC_3])

    assert "current 75.0 %, forbidden 25.0 %" in offer.current.why


def test_a_described_distribution_near_an_edge() -> None:
    """A duty cycle that comes with its quantiles is carried over by them."""
    spread = tuple(np.linspace(7.9, 8.3, 1001))
    duty = Quantity(8.1, 0.4 / math.sqrt(12.0), "%", low=7.91, high=8.29, quantiles=spread)

    assert "current 75.0 %, forbidden 25.0 %" in offered_current(duty, ZONES[Edition.IEC_3]).current.why


def test_an_unknown_uncertainty_stays_unknown() -> None:
    """Without the uncertainty of the duty cycle the current has none, and says why."""
    offer = offered_current(Quantity(26.7, None, "%", why="read off a screen"), ZONES[Edition.IEC_3])

    assert offer.current.u is None
    assert offer.current.why == "uncertainty of the duty cycle not known: read off a screen"


@given(st.floats(0.0, 100.0), st.floats(1e-4, 3.0), st.sampled_from(list(Edition)))
def test_value_and_interval_are_of_one_piece(duty: float, u: float, edition: Edition) -> None:
    """Whatever the duty cycle, the interval holds the value, lies in 0 A to 80 A, and the meaning is the value's."""
    offer = offered_current(Quantity(duty, u, "%"), ZONES[edition])
    current = offer.current
    slack = 2.5 * 2.0 * u

    assert current.low is not None
    assert current.high is not None
    assert current.low <= current.value <= current.high
    assert current.low >= 0.0
    assert current.high <= 80.0 + slack
    assert (current.value > 0.0) is (offer.meaning is CURRENT)
