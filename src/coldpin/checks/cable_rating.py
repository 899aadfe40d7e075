"""Current offered and marked against what published tables let a cable of its size carry."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from coldpin.checks.carrying_size import CarryingSize, carrying_size
from coldpin.checks.cautions import DEAD_CAUTIONS
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, always
from coldpin.checks.conductor_evidence import CONDUCTOR_NEEDS
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import as_known, judged, worst
from coldpin.checks.marked_size import marked_size
from coldpin.checks.offered_current import largest_offer, with_duty_tolerance
from coldpin.checks.readings import claimed
from coldpin.copper.cable_rating import RowAt, rows_at
from coldpin.quantity import Quantity, format_quantity, format_value
from coldpin.records.finding import Finding, Limit, Outcome, Reach
from coldpin.standards.cable_heating import coil_factor
from coldpin.standards.cable_ratings import (
    BOTH_COUNT,
    all_cable_ratings,
    insulation_temperature,
    row_text,
    tables_named,
)
from coldpin.standards.table import needed

CHECK_ID = "cable-rating"
FUNCTION = "heating"
NEAREST = "No table was found that is made for charging cables; these are the nearest for leads."


@dataclass(frozen=True, slots=True, kw_only=True)
class CableKind:
    """A kind of cable by its print: which rows hold for it, what its insulation bears, and how it is usually built."""

    prints: re.Pattern[str]
    families: tuple[str, ...]
    insulation: str
    build: str


_KINDS = (
    CableKind(
        prints=re.compile(r"H0[57]BZ|\bEVC\b|EV[- ]?CABLE", re.IGNORECASE),
        families=("multicore", "heat-resistant 90 °C"),
        insulation="charging",
        build="charging",
    ),
    CableKind(
        prints=re.compile(r"H0[57]R[RN]", re.IGNORECASE),
        families=("cord", "multicore", "rubber 60 °C"),
        insulation="rubber",
        build="rubber",
    ),
    CableKind(
        prints=re.compile(r"H0[357]VV", re.IGNORECASE), families=("cord", "multicore"), insulation="pvc", build="pvc"
    ),
)
UNTOLD = CableKind(prints=re.compile(""), families=(), insulation="rubber", build="rubber")
"""A print that names no type: every row made for leads, and what the least of the insulations bears."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """A current the cable is to carry, as the beginning of a sentence, and the entries it rests on."""

    subject: str
    current: Quantity
    evidence: tuple[str, ...] = ()
    by_duty: bool = False


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Place the marked and the offered current against the printed rows, at their ambient and at the highest.

    Parameters
    ----------
    bench : BenchEvidence
        With the rated current, and a size marked on the cable or found by its resistance.

    Returns
    -------
    tuple of Finding
        One finding, two where the highest ambient is claimed; none where no size is known.

    Raises
    ------
    CaseError
        A claim cannot be read.
    EntryError
        A reading of a conductor cannot be read.
    """
    size = carrying_size(bench)
    if size is None:
        return ()
    asked = _asked(bench)
    ambients = [("reference", _table_ambient(bench))]
    hottest = claimed(bench, "max_ambient", "°C")
    if hottest is not None:
        ambients.append(("hottest", hottest))
    return tuple(worst(_place(bench, size, one, name, ambient) for one in asked) for name, ambient in ambients)


def _table_ambient(bench: BenchEvidence) -> float:
    return all_cable_ratings(bench.book)[0].ambient


def _asked(bench: BenchEvidence) -> tuple[_Asked, ...]:
    rated = claimed(bench, "rated_current", "A")
    assert rated is not None, "the check needs the rated current"
    found = [_Asked(subject="The rated current on plate or listing", current=Quantity(rated, 0.0, "A"))]
    offer = largest_offer(bench)
    if offer is not None:
        found.append(
            _Asked(subject="The largest current offered", current=offer[0], evidence=(offer[1],), by_duty=True)
        )
    return tuple(found)


def kind_of_cable(bench: BenchEvidence) -> CableKind:
    """Return the kind of cable that the print names.

    Parameters
    ----------
    bench : BenchEvidence
        With the claims of the case.

    Returns
    -------
    CableKind
        Where the print names no type: every row made for leads, and the least of the insulations.
    """
    text = bench.claim("cable_print")
    return next((kind for kind in _KINDS if kind.prints.search(text)), UNTOLD)


def _place(bench: BenchEvidence, size: CarryingSize, asked: _Asked, name: str, ambient: float) -> Finding:
    at = format_value(ambient, "°C")
    sold = marked_size(bench)
    sold_as = f"It is sold as {sold.size_mm2:g} mm² by {sold.said_by}. " if sold is not None and size.entries else ""
    bare = Finding(
        id=f"{CHECK_ID}.{name}",
        check=CHECK_ID,
        title=f"Current against the tables of cables at {at}",
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(FUNCTION,),
        reckoned=True,
        answer="cannot tell",
        evidence=(*size.entries, *asked.evidence),
        remarks=tuple(remark for remark in (_of_size(size, sold_as), NEAREST) if remark),
    )
    if size.size_mm2 is None:
        return replace(bare, statement=f"{asked.subject} is {_told(asked)}. {size.why}")
    kind = kind_of_cable(bench)
    rows = rows_at(
        bench.book,
        cross_section_mm2=size.size_mm2,
        loaded_cores=2 if bench.case.unit.phases == 1 else 3,
        ambient=ambient,
        metal=needed(insulation_temperature(bench.book, kind.insulation), "maximum"),
        families=kind.families,
    )
    if not rows:
        said = f"No table that we know has a row for {size.size_mm2:g} mm², which {size.said_by} says."
        return replace(bare, statement=said)
    low, high = (_limit(bench, row, at, asked) for row in (rows[0], rows[-1]))
    differ = tables_named([row.row for row in rows], BOTH_COUNT, bench.claim("country"))
    remarks = (*bare.remarks, *((differ,) if differ else ()), _coiled(bench, rows[0]))
    by_low, by_high = (judged(replace(bare, answer="", remarks=remarks), asked.current, one) for one in (low, high))
    cable = f"a cable of {size.size_mm2:g} mm² by {size.said_by} in air of {at}"
    said = f"{asked.subject} is {_told(asked)}; for {cable}"
    if by_low.outcome is by_high.outcome:
        finding = by_high if by_low.outcome is Outcome.BEYOND else by_low
        limit = finding.limit or low
        where = f"{_WHERE[finding.outcome]} {as_known(limit)}, {row_text(limit)}"
        return replace(finding, statement=f"{said} that is {where}.")
    return replace(
        by_low,
        outcome=Outcome.UNDECIDED,
        probability=None,
        statement=f"{said} the tables differ: {as_known(low)}, {row_text(low)}, and {as_known(high)}, "
        f"{row_text(high)}.",
    )


def _of_size(size: CarryingSize, sold_as: str) -> str:
    if size.size_mm2 is None:
        return sold_as.strip()
    return f"{sold_as}{size.why}" if size.entries else ""


_WHERE = {Outcome.WITHIN: "within", Outcome.BEYOND: "beyond", Outcome.UNDECIDED: "too close to say to"}


def _told(asked: _Asked) -> str:
    if not asked.by_duty:
        return format_value(asked.current.value, asked.current.unit)
    return format_quantity(asked.current)


def _limit(bench: BenchEvidence, row: RowAt, at: str, asked: _Asked) -> Limit:
    """Return a row as a limit at an ambient; an offer is allowed the tolerance of the duty cycle on top."""
    told = row.row.limit
    if row.factor != 1.0:
        printed = "" if row.printed is None else f"; a text prints {row.printed.nominal:g} ({row.printed.source})"
        note = f"{format_value(row.row.current, 'A')} at {format_value(row.row.ambient, '°C')}, times {row.factor:.2f}"
        told = replace(told, title=f"{told.title}, at {at}", maximum=round(row.current, 1), note=f"{note}{printed}.")
    if not asked.by_duty:
        return told
    widened = with_duty_tolerance(bench, told)
    return replace(widened, note=" ".join(filter(None, (told.note, widened.note))))


def _coiled(bench: BenchEvidence, lowest: RowAt) -> str:
    factor = coil_factor(bench.book)
    low, high = (needed(factor, which) * lowest.current for which in ("minimum", "maximum"))
    return (
        f"Left coiled such a cable is taken to bear {low:.0f} A to {high:.0f} A ({factor.source}, standing: "
        f"{factor.standing}): uncoil it before charging."
    )


CHECK = Check(
    id=CHECK_ID,
    title="Current against the tables of cables",
    question="Do published tables let a cable of this size carry the current that is marked and offered?",
    needs=(Need(claim="rated_current"),),
    any_of=(Need(claim="cross_section"), Need(claim="cable_print"), *CONDUCTOR_NEEDS),
    bench=Procedure(
        level=Level.DEAD,
        instrument="the eye, a lens; the resistance of the conductors where it was read",
        minutes=3,
        cautions=DEAD_CAUTIONS,
        steps=(
            "Unplugged: write down rated current, print on the cable, and hottest air that plate or papers allow.",
            "Where the resistance of the conductors was read, the size that it keeps counts, not a larger mark.",
        ),
        transfers="Holds for every piece of the same cable and current.",
    ),
    limits=("cable-rating", "cable.coil", "insulation-temperature"),
    run=run,
    bears=(Bearing(function=FUNCTION, within_if_works=0.97, within_if_not=0.5),),
    applies=always,
)
