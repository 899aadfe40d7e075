"""The metal of the conductors, from entries: what is joined, what is told, what costs itself only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import pytest

from coldpin.checks import BenchEvidence, run_checks
from coldpin.checks.conductor_metal import CHECK
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome
from tests.checks.bench import CLAIMS, entry, evidence

SIZED = replace(CLAIMS, cross_section="2.5 mm²")


def core(reading: str, *, name: str = "r1", conductor: str = "L", **stated: str) -> Entry:
    """A four-wire reading over 5 m of one core at 20 °C."""
    known = {
        "conductor": conductor,
        "length": "5.00 m ± 5 mm",
        "temperature": "20.0 °C ± 0.5 °C",
        "test current": "1.0 A ± 0.01 A",
        "time since switch-on": "5 s",
    }
    return entry(
        "conductor resistance four-wire",
        name=name,
        readings=(reading,),
        conditions=known | {key.replace("_", " "): value for key, value in stated.items()},
    )


def seen(word: str, *readings: str, name: str, answer: str = "", **stated: str) -> Entry:
    """An entry about the wires themselves; of conductor L unless another is named."""
    conditions: Mapping[str, str] = {"conductor": "L"} | stated
    made = entry(word, name=name, readings=readings, conditions={key: one for key, one in conditions.items() if one})
    return replace(made, answer=answer)


def mass(reading: str, *, name: str = "m1", length: str = "500 mm ± 0.5 mm", **stated: str) -> Entry:
    """Half a metre of stripped core on the scale."""
    return seen("stripped core mass", reading, name=name, length=length, **stated)


def found(bench: BenchEvidence) -> Finding:
    """The finding of the metal; there must be one."""
    return next(finding for finding in run_checks(bench).findings if finding.check == CHECK.id)


@pytest.mark.hand("36.5 mΩ over 5 m: 7.3 Ω/km; 11.1 g on half a metre: 22.2 g/m; product 0.162 Ω·g/m²")
def test_copper_by_resistance_and_mass() -> None:
    """Yes, with probability, demand, figure and all entries it rests on."""
    finding = found(evidence(core("36.5 mΩ ± 0.1 mΩ"), mass("11.10 g ± 0.03 g"), claims=SIZED))

    assert (finding.id, finding.outcome, finding.answer) == ("conductor-metal.copper", Outcome.WITHIN, "yes")
    assert finding.statement.startswith("The conductor L is copper, plain or tinned (more than 99.9 %)")
    assert finding.probability is not None
    assert finding.probability > 0.999
    assert finding.limit is not None
    assert finding.limit.id == "conductor-demand.charging-cable"
    assert finding.evidence == ("r1", "m1")
    assert finding.metal is not None
    assert finding.metal.size is not None
    assert finding.metal.size.nominal_mm2 == 2.5
    assert finding.functions == ("conductor",)


@pytest.mark.hand("56.0 mΩ over 5 m: 11.2 Ω/km; 4.15 g on half a metre: 8.3 g/m; product 0.093 Ω·g/m²")
def test_clad_aluminium_by_resistance_and_mass() -> None:
    """No, told without the words that nobody may say."""
    finding = found(evidence(core("56.0 mΩ ± 0.1 mΩ"), mass("4.15 g ± 0.02 g"), claims=SIZED))

    assert (finding.outcome, finding.answer) == (Outcome.BEYOND, "no")
    assert "likeliest is clad aluminium" in finding.statement
    assert "fail" not in finding.statement


def test_a_resistance_alone_is_not_asked_for_its_metal() -> None:
    """It waits for something that tells a metal, and says for what."""
    results = run_checks(evidence(core("36.5 mΩ ± 0.1 mΩ"), claims=SIZED))
    waiting = next(one for one in results.not_tested if one.check == CHECK.id)

    assert "stripped core mass" in waiting.needs[0]
    assert "look of a cut" in waiting.needs[0]


def test_what_would_settle_it_is_named() -> None:
    """After a resistance and a magnet that does not stick, the mass decides."""
    magnet = seen("magnet at the wires", name="g1", answer="no")
    finding = found(evidence(core("36.5 mΩ ± 0.1 mΩ"), magnet, claims=SIZED))

    assert (finding.outcome, finding.answer) == (Outcome.UNDECIDED, "cannot tell")
    assert any(
        remark.startswith("What would settle it: mass of a stripped piece of core (15 minutes, costs a piece of the")
        for remark in finding.remarks
    )


@pytest.mark.hand("50 wires of 0.25 mm are 2.454 mm²; 7.3 Ω/km of them are 17.9 Ω·mm²/km")
def test_wires_counted_and_measured() -> None:
    """Resistance and area of the wires tell copper too; without the count the diameter is of no use."""
    wires = seen("strand diameter", "0.250 mm ± 0.004 mm", "0.250 mm ± 0.004 mm", name="d1")
    count = seen("strand count", "50", name="c1")
    reading = core("36.5 mΩ ± 0.1 mΩ")

    assert found(evidence(reading, wires, count, claims=SIZED)).outcome == Outcome.WITHIN
    assert found(evidence(reading, wires, claims=SIZED)).outcome == Outcome.UNDECIDED


@pytest.mark.parametrize("look", ["white throughout", "red throughout"])
@pytest.mark.parametrize("read", [True, False])
def test_the_look_of_a_cut_alone_leaves_it_to_belief(look: str, *, read: bool) -> None:
    """A red cut makes copper likely and shows it to nobody who expects to be cheated; a white one may be tinned."""
    cut = seen("look of a cut", name="k1", look=look)
    finding = found(evidence(*((core("36.5 mΩ ± 0.1 mΩ"),) if read else ()), cut, claims=SIZED))

    assert (finding.outcome, finding.answer) == (Outcome.UNDECIDED, "cannot tell")
    assert finding.statement.startswith("Whether the conductor L is copper cannot be told yet")


def test_looking_twice_is_no_second_witness() -> None:
    """A cut that was written down three times leaves as much to belief as one that was written down once."""
    cuts = [seen("look of a cut", name=f"k{place}", look="red throughout") for place in range(3)]
    once, thrice = (found(evidence(core("36.5 mΩ ± 0.1 mΩ"), *of, claims=SIZED)) for of in (cuts[:1], cuts))

    assert (once.outcome, thrice.outcome) == (Outcome.UNDECIDED, Outcome.UNDECIDED)
    assert thrice.probability == pytest.approx(once.probability)


def test_the_belief_that_speaks_least_for_it_decides() -> None:
    """The probability told is the least of the listed beliefs."""
    finding = found(evidence(core("36.5 mΩ ± 0.1 mΩ"), mass("11.10 g ± 0.03 g"), claims=SIZED))

    assert finding.metal is not None
    assert finding.probability == min(one.copper for one in finding.metal.priors)


def test_the_conductor_least_likely_to_be_copper_is_told() -> None:
    """Line of copper, earth of clad aluminium: the earth makes the finding."""
    finding = found(
        evidence(
            core("36.5 mΩ ± 0.1 mΩ", name="a", conductor="L"),
            mass("11.10 g ± 0.03 g", name="b", conductor="L"),
            core("56.0 mΩ ± 0.1 mΩ", name="c", conductor="PE"),
            mass("4.15 g ± 0.02 g", name="d", conductor="PE"),
            claims=SIZED,
        )
    )

    assert (finding.outcome, finding.evidence) == (Outcome.BEYOND, ("c", "d", "a", "b"))
    assert finding.statement.startswith("The conductor PE is not copper")


def test_a_conductor_of_which_little_is_known_hides_none_that_is_shown() -> None:
    """A magnet tried on N as well takes nothing from L; a cut of N that speaks against copper does."""
    line = (core("36.5 mΩ ± 0.1 mΩ", name="a"), mass("11.10 g ± 0.03 g", name="b"))
    magnet = seen("magnet at the wires", name="c", answer="no", conductor="N")
    white = seen("look of a cut", name="d", look="white core with red skin", conductor="N")
    finding = found(evidence(*line, magnet, claims=SIZED))

    assert finding.outcome == Outcome.WITHIN
    assert finding.remarks[-1].startswith("Beside it: Whether the conductor N is copper cannot be told yet")
    assert found(evidence(*line, magnet, white, claims=SIZED)).outcome != Outcome.WITHIN


def test_a_core_that_nobody_named_is_the_one_that_was_read() -> None:
    """With one conductor read it is that; with two the entry must say which, and the finding asks for it."""
    unnamed = mass("11.10 g ± 0.03 g", conductor="")
    one = found(evidence(core("36.5 mΩ ± 0.1 mΩ"), unnamed, claims=SIZED))
    two = found(
        evidence(core("36.5 mΩ ± 0.1 mΩ"), core("36.6 mΩ ± 0.1 mΩ", name="r2", conductor="N"), unnamed, claims=SIZED)
    )

    assert one.outcome == Outcome.WITHIN
    assert two.outcome == Outcome.UNDECIDED
    assert any("does not name its conductor" in remark for remark in two.remarks)


def test_joints_and_cores_in_series_are_left_out() -> None:
    """A reading over a joint or of two cores is not that of one core."""
    joint = core("1.5 mΩ ± 0.1 mΩ", name="p", taps="plug side", length="")
    series = core("73.0 mΩ ± 0.1 mΩ", name="s", cores_in_series="2")
    finding = found(evidence(joint, series, mass("11.10 g ± 0.03 g"), claims=SIZED))

    assert finding.evidence == ("m1",)
    assert finding.outcome == Outcome.UNDECIDED


@pytest.mark.hand("38 mΩ at the pins, less 5 mΩ ± 2.9 mΩ of two joints: 6.6 Ω/km ± 9 %; clad wire would have 11 Ω/km")
def test_a_reading_at_the_pins_tells_the_metal_too() -> None:
    """With the joints' width it still tells copper from clad by the wires; one inside goes before it."""
    at_pins = core("38.0 mΩ ± 0.1 mΩ", name="p", taps="pins")
    wires = (seen("strand diameter", "0.250 mm ± 0.004 mm", name="d1"), seen("strand count", "50", name="c1"))
    finding = found(evidence(at_pins, *wires, claims=SIZED))
    both = found(evidence(at_pins, core("36.5 mΩ ± 0.1 mΩ"), *wires, claims=SIZED))

    assert finding.outcome == Outcome.WITHIN
    assert finding.metal is not None
    used = finding.metal.evidence[0].quantity
    assert used is not None
    assert used.value == pytest.approx(6.6, abs=0.01)
    assert used.u == pytest.approx(0.577, abs=0.01)
    assert both.evidence[0] == "r1"


@pytest.mark.hand("5 m of clad 2.5 mm²: 56 mΩ, 8.3 g/m; with 46 mΩ of joints 102 mΩ, 0.16 Ω·g/m² as of copper")
def test_clad_wire_with_a_bad_joint_is_not_shown_to_be_copper_at_the_pins() -> None:
    """Resistance times mass goes up with every joint; inside it tells; and what is clad at the pins stays clad."""
    piece = mass("4.15 g ± 0.02 g")
    at_pins = core("102.0 mΩ ± 0.1 mΩ", name="p", taps="pins")
    pins = found(evidence(at_pins, piece, claims=SIZED))
    inside = found(evidence(at_pins, core("56.0 mΩ ± 0.1 mΩ"), piece, claims=SIZED))
    clad = found(evidence(core("58.0 mΩ ± 0.1 mΩ", name="p", taps="pins"), piece, claims=SIZED))

    assert (pins.outcome, pins.answer) == (Outcome.UNDECIDED, "cannot tell")
    assert pins.statement.startswith("Whether the conductor L is copper cannot be told from a reading at the pins")
    assert (inside.outcome, clad.outcome) == (Outcome.BEYOND, Outcome.BEYOND)


def test_a_short_lead_at_the_pins_may_be_all_joints() -> None:
    """4 mΩ from pin to pin tell nothing of the core."""
    at_pins = core("4.0 mΩ ± 0.1 mΩ", name="p", taps="pins", length="0.50 m ± 5 mm")
    finding = found(evidence(at_pins, mass("11.10 g ± 0.03 g"), claims=SIZED))

    assert finding.outcome == Outcome.UNDECIDED
    assert any("the joints may be all of it" in remark for remark in finding.remarks)


@pytest.mark.parametrize(
    ("bad", "message"),
    [
        (mass("11.10 g ± 0.03 g", name="bad", length=""), "the length of the piece is missing"),
        (mass("0.00 g ± 0.03 g", name="bad"), "mass of the core: 0 g/m cannot be"),
        (mass("> 500 g", name="bad"), "must be above zero, and no bounds"),
        (mass("11.10 Ω", name="bad"), "reading '11.10 Ω'"),
    ],
)
def test_an_entry_that_cannot_be_used_costs_itself_only(bad: Entry, message: str) -> None:
    """It is listed as a problem, and the rest is judged."""
    results = run_checks(evidence(core("36.5 mΩ ± 0.1 mΩ"), mass("11.10 g ± 0.03 g"), bad, claims=SIZED))

    assert next(one for one in results.findings if one.check == CHECK.id).outcome == Outcome.WITHIN
    assert any(message in problem.what for problem in results.problems if problem.where == "entry bad")


def test_half_a_wire_is_not_counted() -> None:
    """A count is a whole number."""
    wires = seen("strand diameter", "0.250 mm ± 0.004 mm", name="d1")
    results = run_checks(evidence(wires, seen("strand count", "50.5", name="c1"), claims=SIZED))

    assert any("50.5 wires: count them" in problem.what for problem in results.problems)


def test_a_length_without_limits_is_not_used() -> None:
    """The piece's length decides as much as the scale: unstated, the mass is left out and the reason is told."""
    finding = found(evidence(core("36.5 mΩ ± 0.1 mΩ"), mass("11.10 g ± 0.03 g", length="500 mm"), claims=SIZED))

    assert finding.outcome == Outcome.UNDECIDED
    assert any("the length of the piece is stated without limits" in remark for remark in finding.remarks)


def test_what_no_metal_explains_is_undecided() -> None:
    """A weight with the insulation on and a count that fits copper: said, and no probability."""
    finding = found(
        evidence(
            core("36.5 mΩ ± 0.1 mΩ"),
            mass("21.0 g ± 0.03 g"),
            seen("magnet at the wires", name="g1", answer="no"),
            seen("look of a cut", name="k1", look="red throughout"),
            claims=SIZED,
        )
    )

    assert (finding.outcome, finding.probability) == (Outcome.UNDECIDED, None)
    assert finding.statement.startswith("No metal of the list explains these together")
