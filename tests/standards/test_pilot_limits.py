"""The pilot's published tables, number by number, as the look-ups hand them out.

The numbers stand here a second time on purpose: a slip of the finger in a table must not pass.
"""

from __future__ import annotations

import math
from itertools import pairwise

import hypothesis.strategies as st
import pytest
from hypothesis import given

from coldpin.errors import InputError
from coldpin.records.case import OwnConstant
from coldpin.records.pilot import Meaning
from coldpin.standards import (
    DutyZone,
    Edition,
    duty_segments,
    duty_zones,
    expected_levels,
    generator,
    load_book,
    state_windows,
)

BOOK = load_book()
IEC = (Edition.IEC_2, Edition.IEC_3)
ED_2_A3 = "IEC 61851-1:2010 Table A.3, as a public Polish note on Annex A restates it"
ED_2_A6 = "IEC 61851-1:2010 Table A.6 = IEC 61851-1:2017 Table A.8, as public secondary texts restate them"
ED_2_A5 = "IEC 61851-1:2010 Table A.5 = IEC 61851-1:2017 Table A.7, as public secondary texts restate them"
SAE_17 = "SAE J1772 OCT2017 page 17, as a public secondary text restates it"


def zone_of(edition: Edition, duty: float) -> DutyZone:
    """The one zone a duty cycle lies in."""
    (zone,) = (zone for zone in duty_zones(BOOK, edition) if zone.holds(duty))
    return zone


@pytest.mark.published(ED_2_A3)
@pytest.mark.parametrize("edition", Edition)
@pytest.mark.parametrize(
    ("letter", "level", "low", "high"),
    [
        ("A", "high", 11.0, 13.0),
        ("B", "high", 8.0, 10.0),
        ("C", "high", 5.0, 7.0),
        ("D", "high", 2.0, 4.0),
        ("E", "high", -1.0, 1.0),
        ("F", "low", -13.0, -11.0),
        ("A", "low", -13.0, -11.0),
        ("B", "low", -13.0, -11.0),
        ("C", "low", -13.0, -11.0),
        ("D", "low", -13.0, -11.0),
    ],
)
def test_state_windows(edition: Edition, letter: str, level: str, low: float, high: float) -> None:
    """A state is recognised within 1 V of 12, 9, 6, 3, 0 and −12 V in every edition; the edges belong to it."""
    (window,) = (one for one in state_windows(BOOK, edition) if (one.letter, one.level) == (letter, level))

    assert (window.minimum, window.maximum) == (low, high)
    assert window.holds(low)
    assert window.holds(high)
    assert not window.holds(math.nextafter(low, -math.inf))
    assert not window.holds(math.nextafter(high, math.inf))


def test_a_window_that_an_edition_does_not_give_says_which_it_is() -> None:
    """The low window used with edition 2 and SAE J1772 names edition 3 as its source."""
    for edition in Edition:
        low = next(one for one in state_windows(BOOK, edition) if one.level == "low")
        assert low.limit.source == "IEC 61851-1:2017"


@pytest.mark.published("SAE J1772 table of pilot line voltage ranges, known from memory")
def test_levels_that_sae_expects() -> None:
    """SAE's narrower levels lie within the windows that recognise the state."""
    levels = {(one.letter, one.level): (one.minimum, one.maximum) for one in expected_levels(BOOK, Edition.SAE)}

    assert levels == {
        ("A", "high"): (11.4, 12.6),
        ("B", "high"): (8.36, 9.56),
        ("C", "high"): (5.48, 6.49),
        ("D", "high"): (2.62, 3.25),
        **{(letter, "low"): (-12.6, -11.4) for letter in "ABCDF"},
    }
    for window in state_windows(BOOK, Edition.SAE):
        if (window.letter, window.level) in levels:
            low, high = levels[window.letter, window.level]
            assert window.minimum <= low < high <= window.maximum


@pytest.mark.hand("high level = Vd + (Voc - Vd) R / (R1 + R) at the corners of all tolerances, computed here")
@pytest.mark.parametrize(("letter", "r3"), [("B", None), ("C", 1300.0), ("D", 270.0)])
def test_corners_follow_from_the_tolerances(letter: str, r3: float | None) -> None:
    """The carried corner levels are those of generator 5 %, resistors 3 %, diode 0.55 V to 0.85 V."""

    def level(open_circuit: float, source: float, diode: float, scale: float) -> float:
        load = 2740.0 * scale
        if r3 is not None:
            load = 1.0 / (1.0 / load + 1.0 / (r3 * scale))
        return diode + (open_circuit - diode) * load / (source + load)

    window = next(one for one in expected_levels(BOOK, Edition.IEC_3) if one.letter == letter)

    assert window.minimum == pytest.approx(level(11.4, 1030.0, 0.55, 0.97), abs=0.005 + 1e-9)
    assert window.limit.nominal == pytest.approx(level(12.0, 1000.0, 0.7, 1.0), abs=0.005 + 1e-9)
    assert window.maximum == pytest.approx(level(12.6, 970.0, 0.85, 1.03), abs=0.005 + 1e-9)


@pytest.mark.hand("low level = Voc R / (R1 + R) with the diode shorted, computed here")
@pytest.mark.parametrize(("letter", "load"), [("B", 2740.0), ("C", 881.683), ("D", 245.781)])
def test_levels_without_diode(letter: str, load: float) -> None:
    """What the low level becomes with a shorted diode, at nominal and extreme parts."""
    limit = BOOK.limit(f"pilot.no-diode.{letter}")

    assert limit.nominal == pytest.approx(-12.0 * load / (1000.0 + load), abs=0.0051)
    assert limit.minimum == pytest.approx(-12.6 * 1.03 * load / (970.0 + 1.03 * load), abs=0.0051)
    assert limit.maximum == pytest.approx(-11.4 * 0.97 * load / (1030.0 + 0.97 * load), abs=0.0051)


@pytest.mark.published(ED_2_A6)
@pytest.mark.parametrize("edition", IEC)
@pytest.mark.parametrize(
    ("duty", "meaning", "current"),
    [
        (0.0, "none", 0.0),
        (math.nextafter(0.0, 1.0), "forbidden", 0.0),
        (math.nextafter(3.0, 0.0), "forbidden", 0.0),
        (3.0, "digital", 0.0),
        (5.0, "digital", 0.0),
        (7.0, "digital", 0.0),
        (math.nextafter(7.0, 9.0), "forbidden", 0.0),
        (math.nextafter(8.0, 0.0), "forbidden", 0.0),
        (8.0, "current", 6.0),
        (math.nextafter(10.0, 0.0), "current", 6.0),
        (10.0, "current", 6.0),
        (16.0, "current", 9.6),
        (25.0, "current", 15.0),
        (50.0, "current", 30.0),
        (85.0, "current", 51.0),
        (math.nextafter(85.0, 99.0), "current", 52.5),
        (90.0, "current", 65.0),
        (96.0, "current", 80.0),
        (math.nextafter(96.0, 99.0), "current", 80.0),
        (97.0, "current", 80.0),
        (math.nextafter(97.0, 99.0), "forbidden", 0.0),
        (math.nextafter(100.0, 0.0), "forbidden", 0.0),
        (100.0, "none", 0.0),
    ],
)
def test_duty_zones_of_iec(edition: Edition, duty: float, meaning: str, current: float) -> None:
    """Every boundary of the published table, and the numbers beside it, mean what it says."""
    zone = zone_of(edition, duty)

    assert zone.meaning is Meaning(meaning)
    assert zone.current(duty) == pytest.approx(current, abs=1e-9)


@pytest.mark.published(SAE_17)
@pytest.mark.parametrize(
    ("duty", "meaning", "current"),
    [
        (0.0, "none", 0.0),
        (math.nextafter(3.0, 0.0), "forbidden", 0.0),
        (3.0, "digital", 0.0),
        (7.0, "digital", 0.0),
        (math.nextafter(7.0, 9.0), "forbidden", 0.0),
        (8.0, "forbidden", 0.0),
        (9.0, "forbidden", 0.0),
        (math.nextafter(9.5, 0.0), "forbidden", 0.0),
        (9.5, "current", 6.0),
        (math.nextafter(10.0, 0.0), "current", 6.0),
        (10.0, "current", 6.0),
        (85.0, "current", 51.0),
        (math.nextafter(85.0, 99.0), "current", 52.5),
        (96.0, "current", 80.0),
        (96.5, "current", 80.0),
        (math.nextafter(96.5, 99.0), "forbidden", 0.0),
        (100.0, "none", 0.0),
    ],
)
def test_duty_zones_of_sae(duty: float, meaning: str, current: float) -> None:
    """Every boundary of the text read for SAE J1772; what it leaves open, 8 % to 9.5 %, has no meaning."""
    zone = zone_of(Edition.SAE, duty)

    assert zone.meaning is Meaning(meaning)
    assert zone.current(duty) == pytest.approx(current, abs=1e-9)


@given(duty=st.floats(0.0, 100.0), edition=st.sampled_from(Edition))
def test_every_duty_cycle_has_one_meaning(duty: float, edition: Edition) -> None:
    """The zones of an edition cover 0 % to 100 % without gap or overlap."""
    assert len([zone for zone in duty_zones(BOOK, edition) if zone.holds(duty)]) == 1


@pytest.mark.parametrize("edition", Edition)
def test_zones_rise(edition: Edition) -> None:
    """The zones come in rising order, so that neighbours are neighbours."""
    zones = duty_zones(BOOK, edition)

    assert zones[0].low == 0.0
    assert zones[-1].high == 100.0
    assert all(zone.high == following.low for zone, following in pairwise(zones))


def test_own_edges_must_still_meet() -> None:
    """A case that moves one edge of a zone must move its neighbour's too, or is told which."""
    moved = OwnConstant(id="pilot.duty-zone.6A.iec", source="own copy", minimum=8.5, maximum=10.0)
    neighbour = OwnConstant(id="pilot.duty-zone.7-to-8.iec", source="own copy", minimum=7.0, maximum=8.5)

    with pytest.raises(
        InputError,
        match=r"'pilot.duty-zone.7-to-8.iec' \(up to 8 %\) and 'pilot.duty-zone.6A.iec' \(from 8.5 %\) must meet",
    ):
        duty_zones(BOOK.with_own([moved]), Edition.IEC_3)
    zones = duty_zones(BOOK.with_own([moved, neighbour]), Edition.IEC_3)
    (zone,) = (zone for zone in zones if zone.holds(8.4))
    assert zone.meaning is Meaning.FORBIDDEN


def test_a_window_without_an_edge_is_refused() -> None:
    """An own value that gives one edge only cannot be a window."""
    own = OwnConstant(id="pilot.window.B.high.iec-3", source="own copy", maximum=10.0)

    with pytest.raises(InputError, match=r"'pilot.window.B.high.iec-3' \(own copy\) has no minimum.* give it in V"):
        state_windows(BOOK.with_own([own]), Edition.IEC_3)


@pytest.mark.published(ED_2_A5)
@pytest.mark.parametrize(
    ("current", "duty"),
    [
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
    ],
)
def test_duty_cycle_of_a_current(current: float, duty: float) -> None:
    """Each current is signalled by the published duty cycle: 16 A by 26.67 %, 32 A by 53.33 %."""
    segment = next(segment for segment in duty_segments(BOOK) if segment.low <= current <= segment.high)

    assert segment.duty(current) == pytest.approx(duty, abs=0.0005)


def test_segments_and_zones_are_inverse() -> None:
    """What a supply unit signals is what a vehicle reads, outside the currents no duty cycle stands for."""
    gap = BOOK.limit("pilot.duty-gap")
    assert (gap.minimum, gap.maximum) == (51.0, 52.5)
    for edition in Edition:
        for segment in duty_segments(BOOK):
            for current in (segment.low, 0.5 * (segment.low + segment.high), segment.high):
                if 51.0 < current < 52.5 or (current == 51.0 and segment.offset):
                    continue
                duty = segment.duty(current)
                assert zone_of(edition, duty).current(duty) == pytest.approx(current)


@pytest.mark.published("IEC 61851-1:2010 Table A.1 and IEC 61851-1:2017 Table A.2, as secondary texts restate them")
@pytest.mark.parametrize("edition", Edition)
def test_generator(edition: Edition) -> None:
    """12 V 5 % either way, 1 kΩ 3 %; 2 % and 1 point judge, 0.5 % and 0.5 point remark."""
    limits = generator(BOOK, edition)
    numbers = {
        name: (getattr(limits, name).minimum, getattr(limits, name).nominal, getattr(limits, name).maximum)
        for name in limits.__slots__
    }

    assert numbers == {
        "high_open": (11.4, 12.0, 12.6),
        "low_open": (-12.6, -12.0, -11.4),
        "frequency": (980.0, 1000.0, 1020.0),
        "frequency_remark": (995.0, 1000.0, 1005.0),
        "duty_tolerance": (-1.0, 0.0, 1.0),
        "duty_tolerance_remark": (-0.5, 0.0, 0.5),
        "source_resistance": (970.0, 1000.0, 1030.0),
    }
    assert limits.high_open.id == f"pilot.high-open.{edition}"


@pytest.mark.published("disputes between the editions of IEC 61851-1 and SAE J1772")
@pytest.mark.parametrize(
    ("name", "second"),
    [
        ("pilot.frequency.iec-2", "980 Hz to 1020 Hz"),
        ("pilot.frequency.iec-3", "995 Hz to 1005 Hz"),
        ("pilot.duty-tolerance.iec-2", "25 µs"),
        ("pilot.duty-tolerance.sae", "1 percentage point"),
        ("pilot.window.B.high.iec-3", "8.36 V to 9.56 V"),
        ("pilot.duty-zone.80A.iec", "96.5 %"),
        ("pilot.duty-zone.80A.sae", "97 %"),
        ("coding.type-2.20A", "330 Ω to 1000 Ω"),
        ("timing.close-after-C2", "5 s"),
        ("pilot.settling.iec-2", "at most 3 µs"),
    ],
)
def test_disputes_keep_both_values(name: str, second: str) -> None:
    """The second value stands beside the one that is used."""
    assert second in BOOK.limit(name).other


@pytest.mark.published("IEC 61851-1:2017 Table A.6, as public secondary texts restate it")
@pytest.mark.parametrize(
    ("name", "minimum", "maximum"),
    [
        ("timing.close-after-C2", None, 3.0),
        ("timing.open-on-S2", None, 0.1),
        ("timing.open-on-unplug", None, 0.1),
        ("timing.open-on-short", None, 3.0),
        ("timing.vehicle-stop-on-x1", None, 3.0),
        ("timing.open-under-load", 6.0, None),
        ("timing.offer-interval", 5.0, None),
        ("timing.state-F-hold", 0.3, None),
        ("timing.bcb-toggle", 0.2, 0.4),
    ],
)
def test_times(name: str, minimum: float | None, maximum: float | None) -> None:
    """The times that later checks compare with."""
    limit = BOOK.limit(name)

    assert (limit.minimum, limit.maximum, limit.unit) == (minimum, maximum, "s")


@pytest.mark.published("IEC 61851-1:2010 Tables A.2 and A.3, as a public Polish note on Annex A restates them")
@pytest.mark.hand("2740 Ω alone, with 1300 Ω and with 270 Ω in parallel")
def test_vehicle_resistors() -> None:
    """Each tolerance is 3 % of its nominal value, and the parallel loads are those printed."""
    r2, r3_c, r3_d = (BOOK.limit(f"pilot.vehicle.{name}") for name in ("r2", "r3-C", "r3-D"))
    for limit, nominal in ((r2, 2740.0), (r3_c, 1300.0), (r3_d, 270.0)):
        assert limit.nominal == nominal
        assert limit.minimum == pytest.approx(0.97 * nominal)
        assert limit.maximum == pytest.approx(1.03 * nominal)
    assert BOOK.limit("pilot.vehicle.load-C").nominal == round(1.0 / (1.0 / 2740.0 + 1.0 / 1300.0))
    assert BOOK.limit("pilot.vehicle.load-D").nominal == round(1.0 / (1.0 / 2740.0 + 1.0 / 270.0))


@pytest.mark.hand("the recognition resistors put through Vd + (Voc - Vd) R / (R1 + R) meet the ±1 V windows")
def test_recognition_resistors_agree_with_the_windows() -> None:
    """The extreme test resistors of states B, C and D give levels at the edges of the windows."""

    def level(load: float) -> float:
        return 0.7 + 11.3 * load / (1000.0 + load)

    def parallel(a: float, b: float) -> float:
        return 1.0 / (1.0 / a + 1.0 / b)

    b, c, d = (BOOK.limit(f"pilot.recognise.{letter}") for letter in "BCD")
    assert b.minimum is not None
    assert b.maximum is not None
    assert level(b.minimum) == pytest.approx(8.06, abs=0.01)
    assert level(b.maximum) == pytest.approx(9.99, abs=0.01)
    for limit, low, high in ((c, 5.0, 7.0), (d, 2.0, 4.0)):
        assert limit.minimum is not None
        assert limit.maximum is not None
        assert level(parallel(b.minimum, limit.minimum)) == pytest.approx(low, abs=0.02)
        assert level(parallel(b.maximum, limit.maximum)) == pytest.approx(high, abs=0.02)
