"""Claims of listing, plate, papers and cable print, each beside what was found: holds, contradicted, or not shown.

A claim holds where everything that would show it was found on this specimen. One finding against it contradicts it. All
else is not shown: nobody has said what would show it, or it was not tested.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from coldpin.conclusion.functions import MISSING, PLANS
from coldpin.errors import UnknownName
from coldpin.records.assessment import Basis, Sentence
from coldpin.records.case import Build, CaseDescription, QuotedClaim
from coldpin.records.claim import ClaimState, JudgedClaim
from coldpin.records.finding import Finding, Outcome, Reach, Standing
from coldpin.records.function import FunctionState, ProtectiveFunction
from coldpin.records.trip_test import DeviceType
from coldpin.standards.access import read_ingress_codes
from coldpin.standards.residual_current import find_type


@dataclass(frozen=True, slots=True, kw_only=True)
class ClaimPlan:
    """What shows a claim of ``case.toml`` that has a key of its own.

    ``asks`` are findings that must all be within, ``against`` findings that contradict it besides when beyond;
    ``functions`` must all be shown; which ones show a type of residual current protection follows the type.
    ``portable`` are asked of a unit with a plug only. ``scope`` says which part of the
    claim these tests reach.
    """

    key: str
    title: str
    asks: tuple[str, ...] = ()
    against: tuple[str, ...] = ()
    functions: tuple[str, ...] = ()
    portable: tuple[str, ...] = ()
    scope: str = ""


SIZE = ("conductor-resistance.line", "conductor-resistance.neutral", "conductor-resistance.earth")

CLAIM_PLANS: tuple[ClaimPlan, ...] = (
    ClaimPlan(key="plug_rating", title="Rating of the plug", asks=("plug-heating.plug",)),
    ClaimPlan(
        key="rated_current",
        title="Rated current",
        asks=("cable-rating.reference", "temperature-rise.sheath", "plug-heating.connector"),
        against=("current-path.weakest", "plug-heating.pin"),
        portable=("plug-heating.plug",),
    ),
    ClaimPlan(
        key="declared_current",
        title="Current it is set to",
        asks=("pilot-duty.value",),
        scope="That is what the pilot tells the car.",
    ),
    ClaimPlan(key="rated_voltage", title="Rated voltage"),
    ClaimPlan(
        key="cable_print",
        title="Print on the cable",
        asks=SIZE,
        scope="That is the size of its power conductors, and nothing else it says.",
    ),
    ClaimPlan(key="cross_section", title="Cross-section", asks=SIZE, against=("conductor-metal.copper",)),
    ClaimPlan(
        key="max_ambient",
        title="Hottest air",
        asks=("cable-rating.hottest", "temperature-rise.sheath"),
        scope="That is the cable at its rated current.",
    ),
    ClaimPlan(key="residual_current", title="Residual current at which it opens", functions=("residual-current",)),
    ClaimPlan(
        key="residual_type",
        title="Type of its residual current protection",
    ),
    ClaimPlan(key="residual_direct", title="Smooth direct residual current", functions=("residual-smooth",)),
)
"""Claims with a key of their own, in the order of ``case.toml``."""

UNREACHED_OF_TYPE = {
    DeviceType.F: "Currents of several frequencies, which type F claims as well, are not tried here.",
    DeviceType.B: "Currents of up to 1 kHz, which type B claims as well, are not tried here.",
}
"""What of a type's claim no test here reaches (IEC 62423 by BS 7671 531.3.3, as known)."""

RISES = ("residual-pulsating", "residual-smooth")
"""Their functions are shown by currents put on at once; a type is claimed for a slow rise too (IEC 61008-1 and IEC
62423, as known), so that this is asked as well."""

CUT = ("residual-pulsating.rise-90", "residual-pulsating.rise-135")
NOT_CUT = "Half waves that begin at 90° and at 135°, which its type claims as well, were not tried."
"""What of a type few testers reach: it is told where it was not done."""

TURNED_UP = "residual-alternating.rise"
NOT_TURNED_UP = (
    "That is as the current of its class: it held with half of it and acted in time with all of it, as "
    "exactly as the tester sets it. At which current between the two it acts was not read."
)
"""A rated residual current has two sides, and what lies between them only a slow rise tells."""

BOX = "That is cable, plug and connector; how warm its box and contacts become with this current was not measured."
FIXED_BOX = "That is cable and connector; how warm its box and contacts become with this current was not measured."
"""No check reaches the inside of a closed box while it carries the current for hours."""

BEYOND_REACH = {
    "rated_voltage": "No check of ours shows a rated voltage as such; the distances inside are judged by it.",
}
"""Why no test here would show a claim."""

NO_SUBJECT = (
    "Nobody has written down what would show it: put it under quoted_claims with the functions or findings it is about."
)
NOT_A_LAW = "Whether a standard is met is not decided here; no set of tests on one specimen shows it."
TWO_SIZES = (
    "The cable was held against the larger of the two sizes that are claimed; beyond that says nothing of this one."
)


def judge_claims(
    case: CaseDescription,
    findings: Iterable[Finding],
    functions: Iterable[ProtectiveFunction],
    *,
    smaller: Collection[str] = (),
) -> tuple[JudgedClaim, ...]:
    """Place every claim of a case beside what was found.

    Parameters
    ----------
    case : CaseDescription
        With its claims.
    findings : iterable of Finding
        All findings.
    functions : iterable of ProtectiveFunction
        The functions as judged.
    smaller : collection of str
        Keys of claims that name a smaller cross-section than another one does: the cable was held against the other.

    Returns
    -------
    tuple of JudgedClaim
        Those with a key of their own, then standards, then words.
    """
    seen = _Seen(
        findings={finding.id: finding for finding in findings},
        functions={function.id: function for function in functions},
    )
    keyed = [_keyed(case, plan, seen, plan.key in smaller) for plan in CLAIM_PLANS if getattr(case.claims, plan.key)]
    standards = [_standard(place, said, seen) for place, said in enumerate(case.claims.standards_claimed, start=1)]
    quoted = [_quoted(place, claim, seen) for place, claim in enumerate(case.quoted_claims, start=1)]
    alone = (said for said in case.claims.words if said not in {claim.words for claim in case.quoted_claims})
    words = [_bare(place, said, seen) for place, said in enumerate(alone, start=1)]
    return (*keyed, *standards, *quoted, *words)


def contradicted(case: CaseDescription, claims: Iterable[JudgedClaim]) -> tuple[Sentence, ...]:
    """Return what may be said of claims that were contradicted.

    Parameters
    ----------
    case : CaseDescription
        For the names.
    claims : iterable of JudgedClaim
        All claims.

    Returns
    -------
    tuple of Sentence
        One for each that is contradicted.
    """
    name = f"{case.specimen.make} {case.specimen.model}"
    return tuple(
        Sentence(
            text=(
                f"{'Any unit built like this' if claim.reach is Reach.CONSTRUCTION else 'On this specimen of the'} "
                f"{name}: what is claimed {_PLACES[claim.where]} as “{claim.said}” is contradicted. {claim.because}"
            ),
            basis=Basis.INFERRED,
            findings=claim.findings,
        )
        for claim in claims
        if claim.state is ClaimState.CONTRADICTED
    )


def subjects(case: CaseDescription) -> tuple[str, ...]:
    """Return what the quoted claims of a case are about, as it is written.

    Parameters
    ----------
    case : CaseDescription
        The case.

    Returns
    -------
    tuple of str
        Each once: ids of functions and of findings, or what was meant to be one.
    """
    return tuple(dict.fromkeys(name for claim in case.quoted_claims for name in claim.about))


def is_function(name: str) -> bool:
    """Say whether a word is the id of a protective function.

    Parameters
    ----------
    name : str
        The word.

    Returns
    -------
    bool
        Whether it is.
    """
    return any(plan.id == name for plan in PLANS)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seen:
    """What was found, by id."""

    findings: Mapping[str, Finding]
    functions: Mapping[str, ProtectiveFunction]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ground:
    """One thing a claim hangs on, and what it says of it."""

    state: ClaimState
    sentence: str
    reach: Reach | None = None
    finding: str = ""
    function: str = ""
    missing: tuple[str, ...] = ()
    duty: bool = True


def _keyed(case: CaseDescription, plan: ClaimPlan, seen: _Seen, smaller: bool) -> JudgedClaim:
    asks = (*plan.asks, *(plan.portable if case.unit.build is Build.PORTABLE else ()))
    names, scope = plan.functions, _scope(case, plan, seen)
    if plan.key == "residual_type":
        names, unreached = _of_type(case.claims.residual_type)
        asks = tuple(f"{name}.rise" for name in names if name in RISES)
        scope = " ".join(part for part in (unreached, scope if asks else "") if part)
    grounds = [_of_finding(name, seen) for name in asks]
    against = (_of_finding(name, seen) for name in plan.against)
    grounds += [ground for ground in against if ground.state is ClaimState.CONTRADICTED]
    grounds += [_of_function(name, seen) for name in names]
    otherwise = BEYOND_REACH.get(plan.key, NO_SUBJECT)
    if smaller and any(ground.state is ClaimState.CONTRADICTED for ground in grounds):
        grounds, otherwise = [], TWO_SIZES
    return _judged(
        name=plan.key.replace("_", "-"),
        title=plan.title,
        said=getattr(case.claims, plan.key),
        where="cable" if plan.key == "cable_print" else "",
        grounds=grounds,
        otherwise=otherwise,
        scope=scope,
    )


def _scope(case: CaseDescription, plan: ClaimPlan, seen: _Seen) -> str:
    """Return which part of a claim was reached, where that hangs on the unit or on what else was found."""
    match plan.key:
        case "rated_current" if case.unit.charging_mode != 1:
            return BOX if case.unit.build is Build.PORTABLE else FIXED_BOX
        case "residual_current" if _of_finding(TURNED_UP, seen).state is not ClaimState.HOLDS:
            return NOT_TURNED_UP
        case "residual_type" if any(_of_finding(name, seen).state is not ClaimState.HOLDS for name in CUT):
            return NOT_CUT
    return plan.scope


def _of_type(text: str) -> tuple[tuple[str, ...], str]:
    """Return the functions by which a type of residual current protection is shown, and what of it no test reaches."""
    try:
        kind = find_type(text)
    except UnknownName:
        return _EVERY_FORM, ""
    if kind.inverse or kind is DeviceType.AC:
        return _EVERY_FORM[:1], ""
    if kind is DeviceType.B:
        return _EVERY_FORM, UNREACHED_OF_TYPE[kind]
    return _EVERY_FORM[:2], UNREACHED_OF_TYPE.get(kind, "")


_EVERY_FORM = ("residual-current", "residual-pulsating", "residual-smooth")
"""The functions of the three forms of residual current; each type claims the first of them, and as many as it sees."""


def _standard(place: int, said: str, seen: _Seen) -> JudgedClaim:
    """Hold a claimed standard against the findings beyond its limits; none of them decides a law."""
    beyond = [
        finding
        for finding in seen.findings.values()
        if finding.outcome is Outcome.BEYOND
        and finding.transfers
        and finding.limit is not None
        and not finding.limit.asserted_by
        and _names(finding.limit.source, said)
    ]
    held = [one for one in beyond if one.limit is not None and one.limit.standing is Standing.STANDARD]
    if held:
        because = f"A limit entered from the standard itself is not kept. {held[0].statement}"
        state, grounds = ClaimState.CONTRADICTED, held
    elif beyond:
        counted = "One finding lies" if len(beyond) == 1 else f"{len(beyond)} findings lie"
        because = f"{counted} beyond a limit of it as it is known to us, which is not the standard itself. {NOT_A_LAW}"
        state, grounds = ClaimState.NOT_SHOWN, beyond
    else:
        because, state, grounds = (
            f"Nothing was found beyond a limit of it as known to us. {NOT_A_LAW}",
            ClaimState.NOT_SHOWN,
            [],
        )
    return JudgedClaim(
        id=f"standard.{place}",
        title="Standard claimed",
        said=said,
        where="",
        state=state,
        because=because,
        reach=Reach.SPECIMEN if state is ClaimState.CONTRADICTED else None,
        findings=tuple(finding.id for finding in grounds),
    )


def _names(source: str, standard: str) -> bool:
    """Say whether the source of a limit is a standard or a part of it: "IEC 61851-1" is not "IEC 61851-10".

    An EN or a national edition has the number of the international one: "EN 62752" is IEC 62752.
    """
    wanted = _PUBLISHER.sub("", " ".join(standard.split(":")[0].split()).casefold())
    return bool(wanted) and re.search(rf"(?<!\d){re.escape(wanted)}(?!\d)", source.casefold()) is not None


_PUBLISHER = re.compile(r"^(?:(?:bs|din|vde|nf|une|cei|nen|en|iec)[ /]+)+(?=\d)")
"""Who publishes a standard, as it stands before the number."""


def _quoted(place: int, claim: QuotedClaim, seen: _Seen) -> JudgedClaim:
    grounds = [_of_function(name, seen) if is_function(name) else _of_finding(name, seen) for name in claim.about]
    return _judged(
        name=f"quoted.{place}", title="In its own words", said=claim.words, where=claim.where, grounds=grounds
    )


def _bare(place: int, said: str, seen: _Seen) -> JudgedClaim:
    """Judge a claim in words with nothing beside it; a degree of protection is known by its form."""
    names = ["ingress-protection"] if read_ingress_codes(said) else []
    grounds = [_of_function(name, seen) for name in names]
    return _judged(name=f"words.{place}", title="In its own words", said=said, where="", grounds=grounds)


def _of_finding(name: str, seen: _Seen) -> _Ground:
    finding = seen.findings.get(name)
    if finding is None or finding.outcome in (Outcome.NOT_TESTED, Outcome.NOT_APPLICABLE):
        return _Ground(state=ClaimState.NOT_SHOWN, sentence=f"Not tested: {_wanted(name)[0]}.", missing=_wanted(name))
    if not finding.transfers:
        told = "What was found does not hold for the closed unit."
        return _Ground(state=ClaimState.NOT_SHOWN, sentence=told, finding=name, missing=_wanted(name))
    if finding.outcome is Outcome.BEYOND:
        state = ClaimState.CONTRADICTED
    elif finding.outcome is Outcome.WITHIN:
        state = ClaimState.HOLDS
    else:
        state = ClaimState.NOT_SHOWN
    said = finding.plain or finding.statement
    return _Ground(state=state, sentence=said, reach=finding.reach, finding=name, duty=finding.duty)


def _wanted(name: str) -> tuple[str, ...]:
    return (MISSING.get(name, f"the check '{name.split('.')[0]}'"),)


def _of_function(name: str, seen: _Seen) -> _Ground:
    function = seen.functions.get(name)
    if function is None:
        return _Ground(state=ClaimState.NOT_SHOWN, sentence="It does not arise for this kind of unit.", function=name)
    state = {
        FunctionState.SHOWN: ClaimState.HOLDS,
        FunctionState.FAULTY: ClaimState.CONTRADICTED,
        FunctionState.SHOWN_ABSENT: ClaimState.CONTRADICTED,
    }.get(function.state, ClaimState.NOT_SHOWN)
    told = f"'{function.title}' is {_FUNCTION_WORDS[function.state]}. {function.because}"
    missing = function.missing if state is ClaimState.NOT_SHOWN else ()
    return _Ground(state=state, sentence=told, reach=function.reach, function=name, missing=missing, duty=function.duty)


_FUNCTION_WORDS = {
    FunctionState.SHOWN: "shown",
    FunctionState.FAULTY: "faulty",
    FunctionState.SHOWN_ABSENT: "absent",
    FunctionState.NOT_SHOWN: "not shown",
}


def _judged(
    *,
    name: str,
    title: str,
    said: str,
    where: str,
    grounds: list[_Ground],
    otherwise: str = NO_SUBJECT,
    scope: str = "",
) -> JudgedClaim:
    """Judge a claim by what it hangs on: one ground against it is enough, for it all are needed."""
    broken = [ground for ground in grounds if ground.state is ClaimState.CONTRADICTED]
    open_ones = [ground for ground in grounds if ground.state is ClaimState.NOT_SHOWN]
    if broken:
        # what is a duty weighs more than what is good practice, and then what reaches further
        deciding = sorted(broken, key=lambda one: (not one.duty, one.reach is not Reach.CONSTRUCTION))
        state = ClaimState.CONTRADICTED
        because, reach = deciding[0].sentence, deciding[0].reach
    elif open_ones or not grounds:
        state, deciding, reach = ClaimState.NOT_SHOWN, grounds, None
        because = open_ones[0].sentence if open_ones else otherwise
    else:
        state, deciding, reach = ClaimState.HOLDS, grounds, Reach.SPECIMEN
        because = " ".join(
            part for part in ("Everything that was asked of it in these tests was found.", scope) if part
        )
    return JudgedClaim(
        id=name,
        title=title,
        said=said,
        where=where,
        state=state,
        because=because,
        reach=reach,
        findings=tuple(dict.fromkeys(ground.finding for ground in deciding if ground.finding)),
        functions=tuple(dict.fromkeys(ground.function for ground in deciding if ground.function)),
        missing=tuple(dict.fromkeys(wanted for ground in open_ones for wanted in ground.missing)),
    )


_PLACES = {
    "listing": "in the listing",
    "plate": "on the plate",
    "papers": "in the papers",
    "pack": "on the pack",
    "cable": "on the cable",
    "": "by plate, papers or listing",
}
