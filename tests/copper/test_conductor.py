"""A conductor against its marked size: both coatings, the edge, what tells no size, what is asked."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.copper.conductor import Marked, Tapped, agreed, place, read_conductor
from coldpin.errors import OutsideRange, UnknownName
from coldpin.quantity import Quantity
from coldpin.records.case import OwnConstant
from coldpin.records.finding import Outcome
from coldpin.standards import load_book

BOOK = load_book()
TAPPED = Tapped(
    resistance=Quantity(0.0370, 5e-5, "Ω"),
    length=Quantity(5.0, 0.003, "m"),
    temperature=Quantity(20.0, 0.3, "°C"),
    current=Quantity(1.0, 0.01, "A"),
    since=Quantity(5.0, 0.5, "s"),
)
MARKED = Marked(size_mm2=2.5, coating="plain")


def at(ohm_per_km: float, u: float) -> Quantity:
    return Quantity(ohm_per_km, u, "Ω/km")


@pytest.mark.hand("37.0 mΩ over 5 m at 20 °C: 7.40 Ω/km; 17.241/7.40 = 2.33 mm²")
def test_an_honest_core_is_within() -> None:
    """7.40 Ω/km keep 7.98 Ω/km; worth 2.33 mm² of copper, and that is honest."""
    told = read_conductor(TAPPED, MARKED, BOOK)

    assert told.resistance_20c_ohm_per_km.value == pytest.approx(7.40, abs=0.005)
    assert (told.outcome, told.limit_ohm_per_km, told.keeps_limit_of_mm2) == (Outcome.WITHIN, 7.98, 2.5)
    assert told.equivalent_area_mm2.value == pytest.approx(2.33, abs=0.005)
    assert told.least_area_mm2 == 2.161
    assert told.statement == (
        "The conductor has 7.400 Ω/km ± 0.030 Ω/km at 20 °C, for each kilometre of cable: within the limit as known "
        "for 2.5 mm² flexible copper of class 5 (at most 7.98 Ω/km for plain wires, IEC 60228:2004, standing: read)."
    )
    assert told.questions == ()


@pytest.mark.published("7.98 Ω/km plain, 8.21 Ω/km tinned, IEC 60228:2004 Table 3; standing: read")
@pytest.mark.parametrize(
    ("ohm_per_km", "plain", "tinned", "together"),
    [
        (7.90, Outcome.WITHIN, Outcome.WITHIN, Outcome.WITHIN),
        (7.98, Outcome.UNDECIDED, Outcome.WITHIN, Outcome.UNDECIDED),
        (8.10, Outcome.BEYOND, Outcome.WITHIN, Outcome.UNDECIDED),
        (8.21, Outcome.BEYOND, Outcome.UNDECIDED, Outcome.UNDECIDED),
        (8.30, Outcome.BEYOND, Outcome.BEYOND, Outcome.BEYOND),
    ],
)
def test_the_coating_matters_between_its_two_limits(
    ohm_per_km: float, plain: Outcome, tinned: Outcome, together: Outcome
) -> None:
    """Where nobody looked at the wires the outcome is undecided between, and sure outside."""
    placements = place(at(ohm_per_km, 0.02), Marked(size_mm2=2.5), BOOK)

    assert [one.outcome for one in placements] == [plain, tinned]
    assert agreed(placements)[0] is together
    stated = place(at(ohm_per_km, 0.02), Marked(size_mm2=2.5, coating="tinned"), BOOK)
    assert [one.outcome for one in stated] == [tinned]


@pytest.mark.hand("7.98 ± 1.96 u: P = 0.975 at 7.98 − 1.96 · 0.05 = 7.882, 0.025 at 8.078")
@pytest.mark.parametrize(
    ("ohm_per_km", "outcome"),
    [(7.880, Outcome.WITHIN), (7.884, Outcome.UNDECIDED), (8.076, Outcome.UNDECIDED), (8.080, Outcome.BEYOND)],
)
def test_the_decision_turns_where_the_interval_leaves_the_limit(ohm_per_km: float, outcome: Outcome) -> None:
    """Two thousandths beside the place reckoned by hand the outcome is another."""
    assert place(at(ohm_per_km, 0.05), MARKED, BOOK)[0].outcome is outcome


@pytest.mark.parametrize("method", ["two-wire", "continuity meter"])
def test_a_reading_that_tells_no_size_decides_nothing(method: str) -> None:
    """The value is told, its uncertainty is not known, the reason stands in the sentence and no size is kept."""
    told = read_conductor(replace(TAPPED, method=method), MARKED, BOOK)

    assert (told.outcome, told.probability, told.keeps_limit_of_mm2) == (Outcome.UNDECIDED, None, None)
    assert told.resistance_20c_ohm_per_km.u is None
    assert told.equivalent_area_mm2.u is None
    assert told.resistance_20c_ohm_per_km.why in told.statement
    assert told.remarks[0] == told.resistance_20c_ohm_per_km.why


def test_an_unstated_accuracy_decides_nothing() -> None:
    """A meter of which nobody said how accurate it is shows a value and no outcome."""
    told = read_conductor(replace(TAPPED, resistance=Quantity(0.052, None, "Ω", why="not stated")), MARKED, BOOK)

    assert (told.outcome, told.probability) == (Outcome.UNDECIDED, None)
    assert told.statement.startswith("The conductor reads 10.4 Ω/km at 20 °C; it cannot be placed against")


def test_without_a_mark_nothing_is_judged() -> None:
    """The resistance and the area are told, the outcome is not tested."""
    told = read_conductor(TAPPED, Marked(), BOOK)

    assert (told.outcome, told.limit_ohm_per_km, told.placements, told.least_area_mm2) == (
        Outcome.NOT_TESTED,
        None,
        (),
        None,
    )
    assert told.statement.endswith("no marked size is stated to place it against.")
    assert told.keeps_limit_of_mm2 == 2.5


def test_two_cores_in_series_are_a_mean() -> None:
    """Twice the resistance is the same conductor, and what a mean hides is said."""
    told = read_conductor(replace(TAPPED, resistance=Quantity(0.074, 1e-4, "Ω"), cores_in_series=2), MARKED, BOOK)

    assert told.resistance_20c_ohm_per_km.value == pytest.approx(7.40, abs=0.005)
    assert any("one alone may be thinner" in remark for remark in told.remarks)


def test_milliamps_by_mistake_are_asked_about() -> None:
    """37 Ω over 5 m is a thousand times a cord: nothing is corrected, a question is put."""
    told = read_conductor(replace(TAPPED, resistance=Quantity(37.0, 0.05, "Ω"), current=None), MARKED, BOOK)

    assert told.resistance_20c_ohm_per_km.value == pytest.approx(7400.0, rel=0.001)
    assert told.questions[0].startswith("7400 Ω/km is above anything met in a cord (0.2 Ω/km to 200 Ω/km)")
    assert "mA for A" in told.questions[0]


@pytest.mark.hand("80 mΩ over 5 m at 298 °C: 16 / (1 + 0.00393 · 278) = 7.65 Ω/km; 0.04 mΩ: 0.008 Ω/km")
@pytest.mark.parametrize(("ohms", "celsius"), [(0.080, 298.0), (0.00004, 20.0)])
def test_a_questioned_value_decides_nothing(ohms: float, celsius: float) -> None:
    """Kelvin for degrees, or a thousandth of a resistance: below the limit as read, and undecided."""
    tapped = replace(TAPPED, resistance=Quantity(ohms, ohms / 1000.0, "Ω"), temperature=Quantity(celsius, 0.3, "°C"))
    told = read_conductor(tapped, MARKED, BOOK)

    assert told.resistance_20c_ohm_per_km.value < 7.98
    assert (told.outcome, told.probability, told.keeps_limit_of_mm2) == (Outcome.UNDECIDED, None, None)
    assert told.questions


@pytest.mark.hand(
    "5.2 mΩ for 52: 1.04 Ω/km, 16.6 mm²; two cores of 7.4 together 3.7, 4.66 mm²; 4 mm² at 4.61: 3.74 mm²"
)
@pytest.mark.parametrize(
    ("ohms", "outcome"), [(0.0052, Outcome.UNDECIDED), (0.0185, Outcome.UNDECIDED), (0.02305, Outcome.WITHIN)]
)
def test_more_copper_than_anybody_gives_away_is_asked_about(ohms: float, outcome: Outcome) -> None:
    """A digit that slipped, or two cores clamped together, would be within; the next size up is."""
    told = read_conductor(replace(TAPPED, resistance=Quantity(ohms, ohms / 1000.0, "Ω")), MARKED, BOOK)

    assert told.outcome is outcome
    assert any("nobody gives metal away" in asked for asked in told.questions) == (outcome is Outcome.UNDECIDED)


@pytest.mark.hand("76 mΩ over 2 · 5 m: 7.6 Ω/km in the mean, 15.2 in one; 38 mΩ: 7.6 in one; 110 mΩ: 11 in the mean")
@pytest.mark.parametrize(("ohms", "outcome"), [(0.076, "undecided"), (0.038, "within"), (0.110, "undecided")])
def test_a_mean_shows_a_core_only_where_all_of_it_would_keep_the_limit(ohms: float, outcome: str) -> None:
    """Which of the two it is, or the joint at the far end, no mean can tell."""
    told = read_conductor(
        replace(TAPPED, resistance=Quantity(ohms, ohms / 1000.0, "Ω"), cores_in_series=2), MARKED, BOOK
    )

    assert told.outcome == outcome
    assert told.placements[0].outcome == outcome
    assert told.statement.startswith("The conductor and the one in series with it have, in the mean,")


@pytest.mark.hand("8.08 Ω/km of a metal that 10 A warmed by 4.9 K: 7.93 Ω/km; of one that 0.1 A did not: 8.08 Ω/km")
def test_a_current_that_is_not_stated_may_have_warmed_it() -> None:
    """Without the current it may be within, with it it is beyond."""
    tapped = replace(TAPPED, resistance=Quantity(0.0404, 5e-6, "Ω"), since=None)
    unstated = read_conductor(replace(tapped, current=None), MARKED, BOOK)
    stated = read_conductor(replace(tapped, current=Quantity(0.1, 0.0, "A")), MARKED, BOOK)

    assert (unstated.outcome, stated.outcome) == (Outcome.UNDECIDED, Outcome.BEYOND)


def test_a_short_piece_is_remarked() -> None:
    """Less than a metre between the taps is said."""
    told = read_conductor(
        replace(TAPPED, resistance=Quantity(0.0037, 5e-6, "Ω"), length=Quantity(0.5, 0.001, "m")), MARKED, BOOK
    )

    assert any("0.5 m between the taps is short: 1 m or more is asked for" in remark for remark in told.remarks)


def test_what_cannot_be_is_refused() -> None:
    """A resistance at or below zero, a size without a row, a class that is none."""
    for value in (0.0, -0.01):
        with pytest.raises(OutsideRange, match="it must be above zero"):
            read_conductor(replace(TAPPED, resistance=Quantity(value, 1e-4, "Ω")), MARKED, BOOK)
    with pytest.raises(OutsideRange, match="no row for 3 mm²"):
        read_conductor(TAPPED, Marked(size_mm2=3.0), BOOK)
    with pytest.raises(UnknownName, match="unknown conductor class '3'"):
        read_conductor(TAPPED, Marked(size_mm2=2.5, conductor_class=3), BOOK)


def test_a_limit_of_the_case_takes_the_place_of_ours() -> None:
    """Who holds the standard and enters its value is judged by it, and it is said whose it is."""
    own = OwnConstant(id="conductor.class-5.2.5mm2", source="IEC 60228:2023, Table 3", maximum=7.30)
    told = read_conductor(TAPPED, MARKED, BOOK.with_own([own]))

    assert (told.outcome, told.limit_ohm_per_km) == (Outcome.BEYOND, 7.30)
    assert "IEC 60228:2023, Table 3, standing: standard" in told.statement


@given(
    st.floats(min_value=7.0, max_value=9.0),
    st.floats(min_value=0.001, max_value=0.2),
    st.floats(min_value=0.0, max_value=0.5),
)
def test_more_resistance_never_makes_it_likelier_to_keep_the_limit(value: float, u: float, more: float) -> None:
    """The probability falls with the resistance, and that of tinned wires is never below that of plain ones."""
    first, second = (place(at(one, u), Marked(size_mm2=2.5), BOOK) for one in (value, value + more))

    for one, other in zip(first, second, strict=True):
        assert one.probability is not None
        assert other.probability is not None
        assert other.probability <= one.probability
    assert (first[0].probability or 0.0) <= (first[1].probability or 0.0)
