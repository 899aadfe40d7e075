"""The earth resistance with its copper subtracted: what is left, and at what current it was read."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coldpin.checks import run_checks
from coldpin.errors import OutsideRange
from coldpin.protection.earth_continuity import expected_copper, fault_touch_voltage
from coldpin.quantity import Quantity
from coldpin.records.case import Claims
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome
from coldpin.standards.book import load_book
from tests.checks.bench import entry, evidence

CLAIMED = Claims(cable_print="EV-CABLE 3G2.5 + 2X0.5")
AT_10_A = {"test current": "10 A", "length": "5 m"}
EXACT = {"temperature": Quantity(20.0, 0.0, "°C"), "length": Quantity(1.0, 0.0, "m")}


def earth(*texts: str, conditions: dict[str, str] | None = None, ambient: str = "20 °C", name: str = "e1") -> Entry:
    """Readings of the earth resistance with a milliohm meter."""
    given = AT_10_A if conditions is None else conditions
    return entry(
        "earth resistance", name=name, readings=texts, instrument="milliohm", conditions=given, ambient=ambient
    )


def joints(*entries: Entry, claims: Claims = CLAIMED) -> Finding | None:
    """What is said of the joints, if anything."""
    findings = run_checks(evidence(*entries, claims=claims)).findings
    return next((finding for finding in findings if finding.id == "earth-continuity.joints"), None)


@pytest.mark.published("IEC 60228 class 5 plain, in milliohm for each metre, as trade tables carry it")
@pytest.mark.parametrize(
    ("size", "milli"), [(0.75, 26.0), (1.0, 19.5), (1.5, 13.3), (2.5, 7.98), (4.0, 4.95), (6.0, 3.30)]
)
def test_the_printed_resistance_lies_in_the_expected_span(size: float, milli: float) -> None:
    """A plain conductor at its own limit lies between the whole section of copper and the tinned limit."""
    found = expected_copper(load_book(), size_mm2=size, **EXACT)
    half = found.value - 17.241e-3 / size

    assert abs(1e-3 * milli - found.value) <= half
    assert found.u == pytest.approx(half / 3.0**0.5, rel=1e-6)


@pytest.mark.hand("5 m of 2.5 mm2: 34.5 to 41.05 mohm, middle 37.8; 51 - 37.8 = 13.2 mohm")
def test_what_is_left_are_the_joints() -> None:
    """The copper is subtracted and told, with the current."""
    finding = joints(earth("51 mΩ", "51 mΩ", "51 mΩ"))

    assert finding is not None
    assert finding.outcome is Outcome.WITHIN
    assert finding.quantity is not None
    assert finding.quantity.value == pytest.approx(0.0132, abs=1e-4)
    assert "2.5 mm², the print on the cable" in finding.statement
    assert "read at 10 A" in finding.statement
    assert finding.remarks == ()


@pytest.mark.hand("a cold cable: 0.00393 per kelvin on 37.8 mohm")
def test_a_warm_cable_may_read_more() -> None:
    """Forty kelvin more are a seventh more copper."""
    cold, warm = joints(earth("51 mΩ", ambient="0 °C")), joints(earth("51 mΩ", ambient="40 °C"))

    assert cold is not None
    assert warm is not None
    assert cold.quantity is not None
    assert warm.quantity is not None
    assert cold.quantity.value - warm.quantity.value == pytest.approx(40.0 * 0.00393 * 37.76e-3, rel=1e-3)


def test_a_bad_joint_is_beyond() -> None:
    """A tenth of an ohm beside the copper is the most that is known; it takes nothing from it to be read at 0.2 A."""
    finding = joints(earth("240 mΩ", conditions={"test current": "0.2 A", "length": "5 m"}))

    assert finding is not None
    assert finding.outcome is Outcome.BEYOND
    assert finding.functions == ("protective-earth",)
    assert any("a joint that such a current passes" in remark for remark in finding.remarks)


@pytest.mark.parametrize(
    ("conditions", "words"),
    [
        ({"test current": "0.2 A", "length": "5 m"}, "a joint that such a current passes may part at 10 A"),
        ({"length": "5 m"}, "the test current is not stated"),
        ({"test current": "10 A", "length": "50 m"}, "less than copper of its marked size can"),
    ],
)
def test_what_cannot_be_called_within(conditions: dict[str, str], words: str) -> None:
    """A small current, none stated, or a length that cannot be."""
    finding = joints(earth("51 mΩ", conditions=conditions))

    assert finding is not None
    assert finding.outcome is Outcome.UNDECIDED
    assert words in finding.statement


def test_thin_or_clad_is_remarked_on() -> None:
    """More than half of it is not the copper of the mark: within what joints may have, and said."""
    finding = joints(earth("92 mΩ"))

    assert finding is not None
    assert finding.outcome is Outcome.WITHIN
    assert any("thinner, of another metal" in remark for remark in finding.remarks)


def test_a_later_reading_does_not_undo_a_worse_one() -> None:
    """The worst entry is told."""
    finding = joints(earth("240 mΩ", name="e1"), earth("51 mΩ", name="e2"))

    assert finding is not None
    assert finding.outcome is Outcome.BEYOND
    assert finding.evidence == ("e1", "e2")


def test_without_a_size_or_with_an_open_earth_nothing_is_subtracted() -> None:
    """No size printed: not tested; an open earth is told by the check of the resistance itself."""
    assert joints(earth("51 mΩ"), claims=Claims()) is None
    assert joints(earth("51 mΩ"), claims=Claims(cable_print="450/750 V")) is None
    assert joints(earth("> 20 Ω")) is None


@pytest.mark.parametrize(
    ("bad", "words"),
    [
        (earth("51 mΩ", conditions=AT_10_A | {"length": "-5 m"}), "must be above 0"),
        (earth("51 mΩ", ambient="warm"), "ambient 'warm'"),
        (earth("51 mΩ", conditions=AT_10_A | {"test current": "ten"}), "test current"),
    ],
)
def test_a_bad_entry_costs_itself(bad: Entry, words: str) -> None:
    """It is listed and no finding is made of it."""
    results = run_checks(evidence(bad, claims=CLAIMED))

    assert all(finding.id != "earth-continuity.joints" for finding in results.findings)
    assert any(words in problem.what for problem in results.problems)


@pytest.mark.hand("voltage divider; equal conductors halve it, an earth twice as long gets two thirds")
@pytest.mark.parametrize(("line", "conductor", "volts"), [(0.04, 0.04, 115.0), (0.04, 0.08, 153.33), (0.0, 0.1, 230.0)])
def test_the_body_of_a_faulty_car(line: float, conductor: float, volts: float) -> None:
    """What the body rises to before the device acts."""
    assert fault_touch_voltage(voltage=230.0, line=line, earth=conductor) == pytest.approx(volts, abs=0.01)


def test_no_conductors_at_all_are_refused() -> None:
    """Nor negative ones, nor no length."""
    with pytest.raises(OutsideRange, match="not both may be 0"):
        fault_touch_voltage(voltage=230.0, line=0.0, earth=0.0)
    with pytest.raises(OutsideRange, match="neither may be below 0"):
        fault_touch_voltage(voltage=230.0, line=-0.1, earth=0.1)
    with pytest.raises(OutsideRange, match="above 0 m"):
        expected_copper(load_book(), size_mm2=2.5, **EXACT | {"length": Quantity(0.0, 0.0, "m")})


def along(reading: str, conductor: str = "PE", taps: str = "inside") -> Entry:
    """A conductor of the lead over 3.6 m of its 4 m at 20 °C."""
    conditions = {
        "conductor": conductor,
        "taps": taps,
        "length": "3.600 m ± 1 mm",
        "temperature": "20 °C ± 0.5 °C",
        "test current": "0.1 A ± 0.001 A",
    }
    return entry("conductor resistance four-wire", name=f"r-{conductor}", readings=(reading,), conditions=conditions)


OVER_4_M = {"test current": "10 A", "length": "4 m"}


@pytest.mark.hand("64.8 mΩ over 3.6 m are 72.0 mΩ over 4 m; 75.7 − 72.0 = 3.7 mΩ, where the print would leave 45.5 mΩ")
def test_a_conductor_that_was_read_is_taken_off_as_it_was_read() -> None:
    """Not as copper of the size that is printed on a cable of another metal; its reading is evidence too."""
    finding = joints(earth("75.7 mΩ", conditions=OVER_4_M), along("64.8 mΩ ± 0.1 mΩ"))

    assert finding is not None
    assert finding.quantity is not None
    assert finding.quantity.value == pytest.approx(0.0037, abs=2e-4)
    assert "18.000 Ω/km" in finding.statement
    assert "as PE was read" in finding.statement
    assert finding.evidence == ("e1", "r-PE")
    assert not any("More than half" in remark for remark in finding.remarks)


@pytest.mark.hand("2 digits of 1 mΩ, of each reading its own: √2 · 2/√3 = 1.63 mΩ, and 1 % of 11 mΩ/√3")
def test_one_meter_read_twice_is_off_by_its_digits_twice() -> None:
    """Its gain drops out of the difference, and its last digits do not."""
    whole = earth("76 mΩ", conditions=OVER_4_M | {"length": "3.600 m ± 1 mm"})
    finding = joints(whole, replace(along("65 mΩ"), instrument="milliohm"))

    assert finding is not None
    assert [line.label for line in finding.budget].count("last digits, read with one meter twice") == 2
    own = [line.contribution for line in finding.budget if line.label.startswith("last digits")]
    assert sum(one**2 for one in own) ** 0.5 == pytest.approx(1.633e-3, rel=1e-3)


def test_without_its_own_reading_another_of_the_lead_stands_in_and_that_is_said() -> None:
    """From pin to pin a reading holds the joints, and stands in for nothing; without a print a reading is enough."""
    reading = earth("75.7 mΩ", conditions=OVER_4_M)
    finding = joints(reading, along("64.8 mΩ ± 0.1 mΩ", "L"), claims=Claims())
    pins = joints(reading, along("64.8 mΩ ± 0.1 mΩ", taps="pins"))

    assert finding is not None
    assert any("that it is like L, within 5 %" in remark for remark in finding.remarks)
    assert pins is not None
    assert "2.5 mm², the print on the cable" in pins.statement


@pytest.mark.hand("150 mΩ less 72 mΩ of a thin line are 78 mΩ, within 100 mΩ; less 30.2 mΩ of the print 119.8 mΩ")
def test_what_only_another_conductor_excuses_is_not_within() -> None:
    """The print would leave more than joints may have: then the earth conductor itself decides."""
    reading = earth("150 mΩ", conditions=OVER_4_M)
    by_line = joints(reading, along("64.8 mΩ ± 0.1 mΩ", "L"))
    by_own = joints(reading, along("64.8 mΩ ± 0.1 mΩ"))

    assert by_line is not None
    assert by_own is not None
    assert (by_line.outcome, by_own.outcome) == (Outcome.UNDECIDED, Outcome.WITHIN)
    assert "Read the earth conductor itself" in by_line.statement
