"""Proof that a housing keeps water and dirt out: what counts, what does not, and what the distances make of it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.sealing import sealing
from coldpin.errors import EntryError
from coldpin.records.case import ConditionOfUse
from coldpin.records.entry import Entry
from coldpin.records.finding import Outcome
from tests.checks.bench import entry, evidence
from tests.checks.test_distances import W, outcomes, to_pilot

OUTDOORS = (ConditionOfUse(name="drive", place="outdoors"),)


def sealed_by(answer: str = "yes", *, name: str = "s1", **conditions: str) -> Entry:
    """A test of the sealing, everything stated."""
    stated = {
        "shown by": "laboratory report",
        "laboratory": "Hafen laboratory, report 17",
        "degree": "IP65",
        "of": "compared with it",
    } | {key.replace("_", " "): value for key, value in conditions.items()}
    return entry(
        "sealing of the housing as tested",
        name=name,
        answer=answer,
        conditions={key: value for key, value in stated.items() if value},
    )


def outdoors(*entries: Entry) -> BenchEvidence:
    """The evidence of a portable unit that is used outdoors."""
    bench = evidence(*entries)
    return replace(bench, case=replace(bench.case, conditions_of_use=OUTDOORS))


SEALS = entry("construction", name="c1", answer="no", conditions={"of": "seals and lid"})
LOOKED_AT = entry("ingress protection as looked at", name="i1", answer="yes", conditions={})


def test_a_laboratory_report_shows_it() -> None:
    """With nothing seen against it, on this specimen or on one that was compared with it."""
    for of in ("this specimen", "compared with it"):
        found = sealing(outdoors(sealed_by(of=of)))
        assert found.shown
        assert found.evidence == ("s1",)
        assert found.told == ("Its sealing is shown by a laboratory's report: IP65 by Hafen laboratory, report 17.",)


@pytest.mark.parametrize(
    ("entries", "said"),
    [
        ((sealed_by(shown_by="marking"),), "known by marking, not by a laboratory report"),
        ((sealed_by(shown_by="declaration"),), "known by declaration"),
        ((sealed_by(shown_by=""),), "nothing that is stated"),
        ((sealed_by(laboratory=""),), "the laboratory and the number of its report are not stated"),
        ((sealed_by(of="not compared"),), "nobody compared"),
        ((sealed_by(of=""),), "nobody compared"),
        ((sealed_by(degree="IP44"),), "IP44 is less than IP54"),
        ((sealed_by(degree="IP53"),), "IP53 is less than IP54"),
        ((sealed_by("cannot tell"),), "water or dust came in, or nobody could tell"),
        ((sealed_by(), sealed_by("no", name="s2")), "a test let water or dust in"),
        ((sealed_by(), SEALS), "its seals or its lid were found not to be sound"),
        ((sealed_by(), LOOKED_AT), "something was seen that may let water or dust in"),
    ],
)
def test_what_shows_nothing_is_told(entries: tuple[Entry, ...], said: str) -> None:
    """A marking, a report on another unit, a low degree, and whatever was seen against it."""
    found = sealing(outdoors(*entries))

    assert not found.shown
    assert found.evidence == ()
    assert said in found.told[0]


def test_a_degree_that_cannot_be_read_is_an_error() -> None:
    """It names the entry and what to state."""
    with pytest.raises(EntryError, match="state 'degree', as 'IP65'"):
        sealing(outdoors(sealed_by(degree="waterproof")))


def test_with_proof_the_milder_degree_alone_is_judged() -> None:
    """Outdoors 6 mm of creepage stays open between 5.0 and 8.0 mm; with the housing's sealing shown it is kept."""
    gap = to_pilot("6.00 mm ± 0.05 mm")

    assert outcomes(outdoors(gap)) == (W, Outcome.UNDECIDED)
    assert outcomes(outdoors(gap, sealed_by())) == (W, W)
    assert outcomes(outdoors(gap, sealed_by(shown_by="marking"))) == (W, Outcome.UNDECIDED)
    assert outcomes(outdoors(gap, sealed_by(), SEALS)) == (W, Outcome.UNDECIDED)
