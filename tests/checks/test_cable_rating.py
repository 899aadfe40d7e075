"""The check of current against printed rows: marked or found size, at the rows' ambient and in the hottest air."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coldpin.checks import BenchEvidence, run_checks
from coldpin.records.case import Claims
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome
from coldpin.simulator import VirtualUnit
from tests.checks.bench import CLAIMS, PORTABLE, capture_of, entry, evidence

EV = replace(CLAIMS, cable_print="EV-CABLE 3G2.5 + 2X0.5 450/750 V", max_ambient="40 °C")
CORD = replace(CLAIMS, cable_print="H05VV-F 3G1.5", max_ambient="40 °C")


def found(bench: BenchEvidence) -> dict[str, Finding]:
    return {finding.id: finding for finding in run_checks(bench).findings if finding.check == "cable-rating"}


def core(reading: str, conductor: str = "L") -> Entry:
    return entry(
        "conductor resistance four-wire",
        name=f"r-{conductor}",
        readings=(reading,),
        conditions={
            "conductor": conductor,
            "length": "5.00 m ± 5 mm",
            "temperature": "20.0 °C ± 0.5 °C",
            "test current": "1.0 A ± 0.01 A",
            "time since switch-on": "5 s",
            "coating": "plain",
        },
    )


@pytest.mark.published("DIN VDE 0298-4 table 11 column 5: 2.5 mm² 26 A (read); 90 °C at 40 °C: √(50/60)")
def test_an_honest_lead_is_within_at_both_ambients() -> None:
    """16 A on 2.5 mm² of charging cable is within 26 A at 30 °C and 23.7 A at 40 °C, each with its text."""
    told = found(evidence(claims=EV))

    assert {name: one.outcome for name, one in told.items()} == {
        "cable-rating.reference": Outcome.WITHIN,
        "cable-rating.hottest": Outcome.WITHIN,
    }
    at_30, at_40 = told["cable-rating.reference"], told["cable-rating.hottest"]
    assert at_30.limit is not None
    assert (at_30.limit.id, at_30.limit.maximum) == ("cable-rating.multicore-2.2.5", 26.0)
    assert at_40.limit is not None
    assert at_40.limit.maximum == pytest.approx(23.7)
    assert at_40.limit.note == "26 A at 30 °C, times 0.91; a text prints 0.91 (BS 7671)."
    assert at_30.statement == (
        "The rated current on plate or listing is 16 A; for a cable of 2.5 mm² by the print on the cable in air of "
        "30 °C that is within the limit as known (at most 26 A, DIN VDE 0298-4, standing: read), by the row “flexible "
        "multicore cable not for household apparatus, two or three loaded cores, 2.5 mm²” of DIN VDE 0298-4."
    )
    assert any("Left coiled such a cable is taken to bear 9 A to 13 A" in remark for remark in at_30.remarks)


@pytest.mark.published("BS 7671 4F3A and DIN VDE 0298-4 column 3: 1.5 mm² 16 A; column 5: 18 A; 60 °C at 40 °C 0.82")
def test_a_cord_at_its_edge() -> None:
    """16 A on a cord of 1.5 mm² is just within at 30 °C; at 40 °C every row, lowered, lies below it."""
    told = found(evidence(claims=CORD))

    assert told["cable-rating.reference"].outcome is Outcome.WITHIN
    assert told["cable-rating.hottest"].outcome is Outcome.BEYOND
    assert "fails" not in told["cable-rating.hottest"].statement


def test_where_tables_differ_it_is_left_open() -> None:
    """17 A on a cord of 1.5 mm² lies between 16 A and 18 A: undecided, with both texts in the sentence."""
    told = found(evidence(claims=replace(CORD, rated_current="17 A")))["cable-rating.reference"]

    assert told.outcome is Outcome.UNDECIDED
    assert told.probability is None
    assert "the tables differ: the limit as known (at most 16 A" in told.statement
    assert "and the limit as known (at most 18 A" in told.statement
    assert "by the row “cord for household" in told.statement


@pytest.mark.hand("52.0 mΩ over 5 m: 10.4 Ω/km, which keeps 13.3 Ω/km of 1.5 mm² and not 7.98 Ω/km of 2.5 mm²")
def test_a_thin_lead_is_judged_by_what_its_resistance_keeps() -> None:
    """20 A on a lead sold as 2.5 mm² that keeps only the limit of 1.5 mm² is beyond the 18 A of that size."""
    claims = replace(EV, rated_current="20 A")
    thin = found(evidence(core("52.0 mΩ ± 0.1 mΩ"), claims=claims))["cable-rating.reference"]
    sound = found(evidence(core("37.0 mΩ ± 0.1 mΩ"), claims=claims))["cable-rating.reference"]

    assert (thin.outcome, sound.outcome) == (Outcome.BEYOND, Outcome.WITHIN)
    assert "a cable of 1.5 mm² by its resistance" in thin.statement
    assert thin.evidence == ("r-L",)
    assert any("sold as 2.5 mm² by the print on the cable" in remark for remark in thin.remarks)
    earth = found(evidence(core("52.0 mΩ ± 0.1 mΩ", "PE"), claims=claims))["cable-rating.reference"]
    assert earth.outcome is Outcome.WITHIN


def test_a_bad_joint_makes_no_thin_cable() -> None:
    """What was read from pin to pin holds the joints: the size stays that of the mark."""
    joined = core("52.0 mΩ ± 0.1 mΩ")
    joined = replace(joined, conditions={**joined.conditions, "taps": "pins"})
    told = found(evidence(joined, claims=replace(EV, rated_current="20 A")))["cable-rating.reference"]

    assert told.outcome is Outcome.WITHIN
    assert "a cable of 2.5 mm² by the print on the cable" in told.statement


def test_three_loaded_cores_carry_less() -> None:
    """With three phases the rows of three loaded cores count."""
    three = replace(PORTABLE, phases=3)
    claims = replace(CLAIMS, cable_print="H07BZ5-F 5G4", rated_current="36 A")
    limit = found(evidence(claims=claims, unit=three))["cable-rating.reference"].limit
    single = found(evidence(claims=replace(claims, cable_print="H07BZ5-F 3G4"), unit=PORTABLE))

    assert limit is not None
    assert limit.id == "cable-rating.multicore-3.4"
    assert single["cable-rating.reference"].limit is not None


def test_the_offer_counts_where_it_is_larger() -> None:
    """An offer above the plate is the worse of the two, with the tolerance of the duty cycle allowed on top."""
    offering = capture_of(VirtualUnit(duty=33.33))
    claims = replace(CLAIMS, cable_print="H05VV-F 3G1.5", rated_current="10 A")
    told = found(evidence(claims=claims, captures=[offering]))["cable-rating.reference"]

    assert told.outcome is Outcome.BEYOND
    assert told.statement.startswith("The largest current offered is 19.97")
    assert told.limit is not None
    assert told.limit.maximum is not None
    assert told.limit.maximum > 18.0
    assert "allows the published tolerance of the duty cycle" in told.limit.note


def test_sizes_no_table_has_and_none_at_all() -> None:
    """A size between the rows stays open, and without a size the check is not done."""
    odd = found(evidence(claims=replace(CLAIMS, cross_section="3 mm²")))["cable-rating.reference"]
    none = run_checks(evidence(claims=replace(CLAIMS, cable_print="450/750 V")))

    assert odd.outcome is Outcome.UNDECIDED
    assert odd.statement.startswith("No table that we know has a row for 3 mm², which the claim of plate")
    assert any(one.check == "cable-rating" for one in none.not_tested)


def test_a_print_that_names_no_type_asks_every_row() -> None:
    """Where the type is not printed the rows of all leads count, and the least insulation in hot air."""
    told = found(evidence(claims=replace(CLAIMS, cable_print="3G4", rated_current="32 A", max_ambient="40 °C")))

    assert told["cable-rating.reference"].outcome is Outcome.UNDECIDED
    assert told["cable-rating.hottest"].outcome is Outcome.UNDECIDED
    assert "at most 24.5 A" in told["cable-rating.hottest"].statement


@pytest.mark.published("1 mm²: 10 A, BS 7671 table 4F3A; 15 A, DIN VDE 0298-4 table 11 column 5")
def test_where_tables_differ_it_is_said_which_holds_for_what_and_which_decides() -> None:
    """By every check that rates the cable, with the conditions of each row, and that the country chooses none."""
    claims = Claims(plug="CEE 7/4", rated_current="20 A", cable_print="3G1", country="FI")
    told = {one.id: one for one in run_checks(evidence(claims=claims)).findings}
    by_kind, lowest = told["cable-rating.reference"], told["current-path.weakest"]

    for finding in (by_kind, lowest, told["overload.cable"]):
        (said,) = (remark for remark in finding.remarks if remark.startswith("The tables differ"))
        assert "10 A for cord for household and hand-held apparatus" in said
        assert "15 A for flexible multicore cable not for household apparatus (DIN VDE 0298-4" in said
        assert "laid out in air of 30 °C" in said
        assert "law in FI" in said
    assert any("beyond what the highest does not" in remark for remark in by_kind.remarks)
    assert any("the lowest counts here" in remark for remark in lowest.remarks)
