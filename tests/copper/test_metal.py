"""Metal and area of a core, estimated together from any evidence of it."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.copper.metal import EXPLAINS, estimate_metal
from coldpin.copper.metal_evidence import (
    CutEvidence,
    HeatingEvidence,
    MagnetEvidence,
    MassEvidence,
    MetalEvidence,
    Observation,
    ResistanceEvidence,
    StrandEvidence,
    noise,
    prepare,
)
from coldpin.copper.metal_priors import AREAS_MM2, METAL_PRIOR, metal_models, priors
from coldpin.errors import OutsideRange, UnitError
from coldpin.quantity import Component, Quantity
from coldpin.quantity.linear import assemble
from coldpin.records.metal import CutLook, Metal, MetalEstimate, MetalEvidenceKind
from coldpin.standards import load_book

BOOK = load_book()


def ohms(value: float, percent: float = 0.33) -> ResistanceEvidence:
    """A resistance per kilometre at 20 °C."""
    return ResistanceEvidence(per_metre=Quantity(value, value * percent / 100.0, "Ω/km"))


def grams(value: float, percent: float = 0.5) -> MassEvidence:
    """A mass of stripped core per metre."""
    return MassEvidence(per_metre=Quantity(value, value * percent / 100.0, "g/m"))


def estimate(*evidence: MetalEvidence, nominal: float | None = 2.5) -> MetalEstimate:
    """The estimate from some evidence."""
    return estimate_metal(evidence, BOOK, nominal_mm2=nominal)


def probabilities(told: MetalEstimate) -> dict[Metal, float]:
    """The probability of each metal; there must be one."""
    found = {share.metal: share.probability for share in told.metals}
    assert all(one is not None for one in found.values())
    return {metal: one for metal, one in found.items() if one is not None}


# hand: 2.454 mm² (50 wires of 0.25 mm), lay of the wires 1.02, twist 1.015
COPPER_25 = (ohms(17.241 * 1.02 * 1.015 / 2.454), grams(2.454 * 8.89 * 1.02))
CLAD_25 = (ohms(26.57 * 1.02 * 1.015 / 2.454), grams(2.454 * 3.322 * 1.02))


@pytest.mark.hand("50 wires of 0.25 mm are 2.454 mm²; 17.241 Ω·mm²/km, 8.89 g/m for each mm²; wires 1.02, cores 1.015")
def test_copper_by_resistance_and_mass() -> None:
    """An honest 2.5 mm² core is copper, of the right area, and keeps the limit of its class."""
    told = estimate(*COPPER_25)

    assert told.copper is not None
    assert told.copper > 0.999
    assert told.area_mm2 is not None
    assert told.area_mm2.low < 2.454 < told.area_mm2.high  # type: ignore[operator]  # a known interval
    assert told.size is not None
    assert told.size.by_resistance > 0.999
    assert told.decided
    assert told.settle == ()
    assert told.remarks == ()


@pytest.mark.hand("the same core of 10 % clad aluminium: 26.57 Ω·mm²/km and 3.322 g/m for each mm²")
def test_clad_aluminium_by_resistance_and_mass() -> None:
    """It is no copper, and which kind of clad is left open; its area is as marked and its resistance is not."""
    told = estimate(*CLAD_25)
    found = probabilities(told)

    assert told.copper is not None
    assert told.copper < 1e-6
    assert found[Metal.CLAD_10] + found[Metal.CLAD_15] > 0.999
    assert told.likeliest is Metal.CLAD_10
    share = next(one for one in told.metals if one.metal is Metal.CLAD_10)
    assert share.area_mm2.value == pytest.approx(2.454, rel=0.03)
    assert told.size is not None
    assert told.size.by_resistance < 1e-6
    assert told.copper_equivalent_mm2 is not None
    assert told.copper_equivalent_mm2.value == pytest.approx(17.241 / (26.57 * 1.02 * 1.015 / 2.454), rel=0.002)
    assert told.decided


@pytest.mark.hand(
    "resistivity over resistance with a log-uniform area: every metal explains any resistance equally well"
)
@pytest.mark.parametrize("evidence", [ohms(7.3), ohms(11.2), grams(22.0), grams(8.0)])
def test_one_number_alone_tells_no_metal(evidence: MetalEvidence) -> None:
    """What was believed beforehand stays, to the last digit that counts."""
    told = estimate(evidence)

    assert probabilities(told) == pytest.approx(METAL_PRIOR, rel=1e-6)
    assert not told.decided
    assert told.area_mm2 is not None
    assert told.area_mm2.why == "over all metals; each has an area of its own"
    assert "rests on belief" in told.remarks[0]


@pytest.mark.published("a lawful 2.5 mm² core of class 5 may hold 2.16 mm² of copper (IEC 60228 limit, standing: read)")
def test_a_size_is_a_resistance_and_no_area() -> None:
    """A core at 97 % of the limit keeps its size; that its copper falls short of 2.5 mm² is told and judges nothing."""
    told = estimate(ohms(0.97 * 7.98), grams(8.89 * 2.27 * 1.02))

    assert told.size is not None
    assert told.size.by_resistance > 0.999
    assert told.size.as_copper > 0.999
    assert told.size.by_copper_equivalent < 1e-6
    assert (told.size.limit, told.size.limit_ohm_per_km) == ("conductor.class-5.2.5mm2", 7.98)


def test_mass_and_resistance_that_no_metal_has() -> None:
    """A core three times as heavy as copper of its resistance is said to be unexplained, never given a probability."""
    told = estimate(
        ohms(17.241 / 2.454), grams(3.0 * 2.454 * 8.89), StrandEvidence(count=50, diameter=Quantity(0.25, 0.003, "mm"))
    )

    assert not told.explained
    assert told.statement.startswith("No metal of the list explains these together: resistance ")
    assert (told.copper, told.area_mm2, told.size, told.likeliest, told.entropy) == (None,) * 5
    assert all(share.probability is None for share in told.metals)
    assert max(share.fit for share in told.metals) < EXPLAINS
    assert (told.settle, told.priors, told.decided) == ((), (), False)


@pytest.mark.hand(
    "22 g of copper and 9 g of insulation on a metre, at 7.4 Ω/km: 0.229 Ω·g/m², which no listed metal has"
)
def test_a_core_weighed_with_its_insulation_accuses_nobody() -> None:
    """A usual slip of the scale is unexplained, and no steel; the way to find out is named."""
    told = estimate(ohms(7.4), grams(31.0))

    assert not told.explained
    assert told.statement.endswith("its metal is not listed, such as steel under more copper: try a magnet.")


@pytest.mark.hand("40 % grade: 44 Ω·mm²/km at most and 8240 kg/m³; 2.454 mm², lay of 1.035 once and 1.02")
def test_steel_under_copper_is_told() -> None:
    """Each grade of the table is found, without a magnet."""
    for resistivity, density in ((44.0, 8.24), (58.6, 8.15), (83.67, 7.95)):
        told = estimate(ohms(resistivity * 1.035 / 2.454), grams(density * 2.454 * 1.02))
        assert told.likeliest is Metal.STEEL_CORED
        assert told.copper is not None
        assert told.copper < 1e-3


def test_answers_that_contradict_the_numbers() -> None:
    """One unlikely answer is borne; a magnet that sticks to white wires with copper's metal number is not."""
    magnet = estimate(*COPPER_25, MagnetEvidence(answer="yes"))
    both = estimate(*COPPER_25, MagnetEvidence(answer="yes"), CutEvidence(look=CutLook.WHITE))

    assert magnet.explained
    assert magnet.likeliest is Metal.COPPER
    assert max(share.fit for share in magnet.metals) < 0.02
    assert any(
        remark.startswith("Copper is the likeliest metal of the list, and fits poorly (") for remark in magnet.remarks
    )
    assert not both.explained


@pytest.mark.parametrize(
    ("evidence", "why"),
    [
        (MassEvidence(per_metre=Quantity(8.0, None, "g/m", why="scale not stated")), "not known (scale not stated)"),
        (ResistanceEvidence(per_metre=Quantity(11.0, None, "Ω/km")), "its uncertainty is not known"),
        (StrandEvidence(count=50, diameter=Quantity(0.25, None, "mm")), "its uncertainty is not known"),
        (HeatingEvidence(per_metre=Quantity(7.0, 4.0, "Ω/km")), "it is less sure than to a half of itself"),
        (MagnetEvidence(answer="cannot tell"), "whoever tried it could not tell"),
        (CutEvidence(look=CutLook.CANNOT_TELL), "whoever looked could not tell"),
        (
            ResistanceEvidence(per_metre=Quantity(11.0, 0.1, "Ω/km"), temperature=Quantity(25.0, None, "°C")),
            "the uncertainty of the metal's temperature is not known",
        ),
    ],
)
def test_what_cannot_be_used_changes_nothing_and_is_named(evidence: MetalEvidence, why: str) -> None:
    """Not used, with the reason; the estimate is that of the rest."""
    rest, told = estimate(*COPPER_25), estimate(*COPPER_25, evidence)

    assert not told.evidence[-1].used
    assert why in told.evidence[-1].why
    assert replace(told, evidence=told.evidence[:-1]) == rest


def test_with_nothing_used_only_belief_is_told() -> None:
    """Nothing measured is no answer, and the first step is named that costs the specimen nothing."""
    told = estimate()

    assert told.statement.startswith("Nothing was measured")
    assert not told.decided
    assert not told.settle[0].destructive
    assert told.area_mm2 is not None
    assert told.area_mm2.low == pytest.approx(AREAS_MM2[0] * (AREAS_MM2[1] / AREAS_MM2[0]) ** 0.025, rel=0.01)


EVERYTHING: tuple[MetalEvidence, ...] = (
    ohms(7.4),
    grams(22.1),
    StrandEvidence(count=50, diameter=Quantity(0.25, 0.003, "mm")),
    HeatingEvidence(per_metre=Quantity(7.0, 0.6, "Ω/km")),
    MagnetEvidence(answer="no"),
    CutEvidence(look=CutLook.RED),
)


def test_the_order_of_the_evidence_is_nothing() -> None:
    """Any order of six pieces gives the same answer, within rounding."""
    first = estimate(*EVERYTHING)
    for order in itertools.islice(itertools.permutations(EVERYTHING), 0, None, 97):
        told = estimate(*order)
        assert probabilities(told) == pytest.approx(probabilities(first), rel=1e-9, abs=1e-12)
        assert told.area_mm2 is not None
        assert first.area_mm2 is not None
        assert told.area_mm2.value == pytest.approx(first.area_mm2.value, rel=1e-9)


def test_the_same_evidence_gives_the_same_digits() -> None:
    """No draws: two runs are equal."""
    assert estimate(*EVERYTHING) == estimate(*EVERYTHING)


@given(
    area=st.floats(0.7, 12.0),
    more=st.floats(1.0, 1.3),
    number=st.floats(0.07, 0.19),
    percent=st.floats(0.1, 5.0),
)
def test_more_metal_never_makes_the_size_less_likely(area: float, more: float, number: float, percent: float) -> None:
    """The same metal with more area: less resistance, more mass, and the marked size at least as probable."""

    def with_area(metal_area: float) -> MetalEstimate:
        resistance = 17.241 / metal_area
        return estimate(ohms(resistance, percent), grams(1e3 * number / resistance, percent), nominal=4.0)

    less, greater = with_area(area), with_area(more * area)
    assert less.explained == greater.explained
    if less.size is not None and greater.size is not None:
        assert greater.size.by_resistance >= less.size.by_resistance - 1e-9


@given(value=st.floats(2.0, 20.0), percent=st.floats(0.1, 20.0))
def test_probabilities_are_probabilities(value: float, percent: float) -> None:
    """They add up to one, and keeping the size and being copper is no likelier than either."""
    told = estimate(ohms(value, percent), grams(22.0, percent), nominal=2.5)
    if told.size is None or told.copper is None:
        assert not told.explained
        return
    assert sum(probabilities(told).values()) == pytest.approx(1.0)
    assert told.size.as_copper <= min(told.copper, told.size.by_resistance) + 1e-9


@pytest.mark.hand("1 + 0.00393 · 20 = 1.0786")
def test_a_warm_metal_is_referred_to_20_degrees() -> None:
    """A resistance read at 40 °C is that of copper at 20 °C times 1.0786; its u(t) of 1 K costs 0.36 %."""
    cold, warm = (
        ResistanceEvidence(per_metre=Quantity(value, 0.001, "Ω/km"), temperature=Quantity(at, u, "°C"))
        for value, at, u in ((7.0, 20.0, 0.0), (7.0 * 1.0786, 40.0, 1.0))
    )
    copper = metal_models(BOOK)[0]
    seen = [prepare(one) for one in (cold, warm)]
    assert isinstance(seen[0], Observation)
    assert isinstance(seen[1], Observation)

    assert seen[1].log_value - seen[1].warmth(copper) == pytest.approx(seen[0].log_value)
    assert math.sqrt(seen[1].variance(copper)) == pytest.approx(0.00393 / 1.0786, rel=0.01)


@pytest.mark.hand("two readings with a shared part of 0.3 and an own one of 0.4: correlation 0.36")
def test_readings_that_share_an_instrument_are_correlated() -> None:
    """What two quantities share counts once."""
    shared = Component(id="meter", label="meter", contribution=0.3)
    one, other = (
        assemble(7.0, "Ω/km", [shared, Component(id=name, label=name, contribution=0.4)]) for name in ("a", "b")
    )
    seen = [prepare(ResistanceEvidence(per_metre=quantity)) for quantity in (one, other)]
    found = noise([piece for piece in seen if isinstance(piece, Observation)], metal_models(BOOK)[0])

    assert found[0, 1] / found[0, 0] == pytest.approx(0.36)


def test_few_degrees_of_freedom_widen() -> None:
    """Three readings' scatter is worth less than the same u from a calibration."""
    few = prepare(ResistanceEvidence(per_metre=Quantity(7.0, 0.05, "Ω/km", dof=2.0)))
    assert isinstance(few, Observation)

    assert few.u == pytest.approx(0.05 / 7.0 * 4.303 / 1.96, rel=1e-3)


def test_mass_along_the_cable_holds_the_twist() -> None:
    """A piece cut as cable weighs more per metre than the core laid straight: the area comes out smaller."""
    mass = Quantity(22.0, 0.05, "g/m")
    straight, twisted = (
        estimate(MassEvidence(per_metre=mass, along=along)).metals[0].area_mm2.value for along in ("core", "cable")
    )

    assert twisted == pytest.approx(straight / math.sqrt(1.0349), rel=1e-3)


@pytest.mark.parametrize(
    ("evidence", "message"),
    [
        (ResistanceEvidence(per_metre=Quantity(-7.0, 0.1, "Ω/km")), "resistance of the core: -7"),
        (MassEvidence(per_metre=Quantity(0.0, 0.1, "g/m")), "mass of the core: 0 g/m cannot be"),
        (StrandEvidence(count=0, diameter=Quantity(0.25, 0.01, "mm")), "wires of the core: 0"),
        (
            ResistanceEvidence(per_metre=Quantity(7.0, 0.1, "Ω/km"), temperature=Quantity(-300.0, 1.0, "°C")),
            "below absolute zero",
        ),
    ],
)
def test_what_cannot_be_is_refused(evidence: MetalEvidence, message: str) -> None:
    """One message that says what and what to do."""
    with pytest.raises(OutsideRange) as caught:
        estimate(evidence)
    assert message in str(caught.value).replace("−", "-")


def test_a_wrong_unit_is_refused() -> None:
    """A resistance is no mass."""
    with pytest.raises(UnitError):
        estimate(ResistanceEvidence(per_metre=Quantity(22.0, 0.1, "g/m")))


def test_a_size_that_no_table_has_is_refused() -> None:
    """The message lists the sizes there are."""
    with pytest.raises(OutsideRange, match="no row for 3 mm²"):
        estimate(*COPPER_25, nominal=3.0)


@pytest.mark.parametrize(
    ("evidence", "question"),
    [
        (ResistanceEvidence(per_metre=Quantity(7.4, 0.01, "Ω/m")), "resistance: is it 7400 Ω/km?"),
        (MassEvidence(per_metre=Quantity(22000.0, 10.0, "g/m")), "mass: is it"),
        (StrandEvidence(count=50, diameter=Quantity(25.0, 0.1, "mm")), "strands: is it 25 mm?"),
        (
            ResistanceEvidence(per_metre=Quantity(7.4, 0.01, "Ω/km"), temperature=Quantity(293.0, 1.0, "°C")),
            "temperature of the metal: is it 293 °C?",
        ),
    ],
)
def test_implausible_values_are_asked_about_and_used(evidence: MetalEvidence, question: str) -> None:
    """Questioned, not corrected."""
    told = estimate(evidence)

    assert any(question in remark for remark in told.remarks)
    assert told.evidence[0].used


def test_the_figure_has_its_points() -> None:
    """Each metal's outline is a density over the logarithm of the area that holds its probability."""
    told = estimate(ohms(7.4))
    for share in told.metals:
        places = np.log([point.area_mm2 for point in share.outline])
        held = np.trapezoid([point.density for point in share.outline], places)
        assert held == pytest.approx(share.probability, rel=1e-3)


def test_sizes_as_sold_are_a_belief_like_the_others() -> None:
    """A density over the logarithm of the area, highest near a size, never nil."""
    sold = priors((1.5, 2.5, 4.0))[-1]
    at = np.log(np.linspace(0.3, 12.0, 20001))
    density = np.exp(sold.log_density(at))

    assert np.trapezoid(density, at) == pytest.approx(1.0, abs=1e-3)
    assert density.min() > 0.0
    assert density[np.searchsorted(at, math.log(2.35))] > density[np.searchsorted(at, math.log(6.0))]


def test_other_beliefs_are_told_beside() -> None:
    """With resistance and mass none of them changes the answer; the used one comes first."""
    told = estimate(*COPPER_25)

    assert told.priors[0].prior == "mostly copper"
    assert told.priors[0].believed.startswith("62 % copper; 12 % tinned copper; 9 % clad aluminium, 10 % copper")
    assert told.priors[3].believed.endswith("areas a little below sizes as they are sold")
    assert len(told.priors) == 4
    assert min(one.copper for one in told.priors) > 0.999
    assert told.priors[0].copper == told.copper


@pytest.mark.hand("R'·m' with the resistance in Ω/m")
def test_the_metal_number_is_told() -> None:
    """7.3 Ω/km times 22.2 g/m; without a mass there is none."""
    told = estimate(ohms(7.3), grams(22.2))

    assert told.metal_number is not None
    assert told.metal_number.value == pytest.approx(7.3e-3 * 22.2)
    assert told.metal_number.u == pytest.approx(0.16206 * math.hypot(0.0033, 0.005), rel=1e-3)
    assert estimate(ohms(7.3)).metal_number is None


def test_statements() -> None:
    """What is decided is said, with its probability; what is not lists the metals."""
    assert estimate(*COPPER_25).statement.startswith("The core is copper, plain or tinned (more than 99.9 %); 2.4")
    assert estimate(*CLAD_25).statement.startswith(
        "The core is not copper (more than 99.9 %); likeliest is clad aluminium, 10 % copper ("
    )
    open_one = estimate(ohms(7.4)).statement
    assert open_one.startswith("Whether the core is copper cannot be told yet: 62 % copper; 12 % tinned copper; ")
    assert "keeps the resistance of 2.5 mm², class 5" in open_one
    assert "keeps the resistance" not in estimate(ohms(7.4), nominal=None).statement


def test_kinds_have_words() -> None:
    """Every kind of evidence turns up in what is told."""
    told = estimate(*EVERYTHING)

    assert {one.kind for one in told.evidence} == set(MetalEvidenceKind)
    assert all(abs(one.departure) < 3.0 for one in told.evidence if one.departure is not None)
