"""Conditions of use: place, supply, weather and person, the largest current there and what limits it, the answer."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from coldpin.records.finding import Limit
from coldpin.records.scenario import Circumstances, RiskLevel


class UseAnswer(StrEnum):
    """The four answers to a condition of use, mildest first."""

    NO_OBJECTION = "no objection found in these tests"
    WITH_MEASURES = "only with these measures"
    CANNOT_JUDGE = "cannot be judged"
    ADVISED_AGAINST = "advised against"


class Coiled(StrEnum):
    """How the cable lies; milder first."""

    NO = "no"
    UNKNOWN = "unknown"
    YES = "yes"


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """One condition of use, as understood.

    ``id`` is empty for one of the case's own. ``supply_a`` is the rating of the circuit [A], None where it is made for
    the plug or the unit; ``device`` what stands before the socket, as "B16". ``ambient`` is the warmest air [°C],
    ``hours`` how long it charges at a time [h]. ``sockets`` are ids of the plugs that fit there, empty where any may.
    ``measures`` says whether somebody is there who can be asked for any. ``understood`` says how the words of a person
    were read, ``questions`` what could not be. ``why`` is why a person asks it.
    """

    id: str
    name: str
    circumstances: Circumstances
    supply_a: float | None = None
    device: str = ""
    residual_current: str = ""
    hours: float | None = None
    ambient: float | None = None
    coiled: Coiled = Coiled.UNKNOWN
    country: str = ""
    sockets: tuple[str, ...] = ()
    measures: bool = True
    understood: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()
    limit: Limit | None = None
    why: str = ""


class CurrentKind(StrEnum):
    """What can limit the current."""

    CIRCUIT = "circuit"
    DEVICE = "device"
    PLUG = "plug"
    PRACTICE = "plug practice for hours"
    CABLE = "cable"
    COUPLER = "coupler"
    HEATING = "heating test"
    DROP = "voltage drop"
    RULE = "national rule"
    OFFER = "offer"
    PLATE = "own rating"


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentBound:
    """One thing that limits the current under a condition of use.

    ``current_a`` is the largest that it lets flow, at the careful end of what is known. [A] ``name`` says what it is,
    ``because`` from what the number comes. ``limit`` is the row it rests on, None where it is measured or stated.
    ``findings`` and ``entries`` are what it was reckoned from. ``if_laid_out`` is the current with the cable laid out,
    where that is another. ``allowed_a`` is how far an offer may lie above and be as it should. [A]
    """

    kind: CurrentKind
    name: str
    current_a: float
    because: str
    limit: Limit | None = None
    entries: tuple[str, ...] = ()
    if_laid_out: float | None = None
    allowed_a: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class UseReason:
    """One reason for an answer: a sentence, the findings and functions behind it, and how much it weighs.

    ``answer`` is the mildest answer that this reason alone allows. ``alike`` heads those of its kind where several are
    told together, and ``briefly`` is what it says under that head; empty where it is told by itself. ``instead`` are
    measures that would stand in for what is not shown, as ``text`` ends with them and ``briefly`` does not.
    """

    text: str
    answer: UseAnswer
    findings: tuple[str, ...] = ()
    functions: tuple[str, ...] = ()
    limits: tuple[str, ...] = ()
    alike: str = ""
    briefly: str = ""
    instead: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ReasonsAlike:
    """Reasons of one kind, told together.

    Parameters
    ----------
    head : str
        What they say alike; empty for one that is told by itself.
    told : tuple of tuple
        What each says under that head, and the reason.
    instead : tuple of tuple
        Each measure that would stand in for what is not shown, and the names of what it stands in for.
    """

    head: str
    told: tuple[tuple[str, UseReason], ...]
    instead: tuple[tuple[str, tuple[str, ...]], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class UseRule:
    """A rule of a country known to us, with its source."""

    says: str
    limit: Limit


@dataclass(frozen=True, slots=True, kw_only=True)
class UseJudgement:
    """A condition of use and the answer to it.

    ``bound_a`` is the least of ``bounds``, ``limited_by`` its name; None where none is known. ``largest_current_a`` is
    the same where the use is not spoken against, and None where it is advised against or cannot be judged: there a
    bound is no leave to draw it. ``set_to_a`` is the current to which it has to be set, where the offer lies above.
    ``measures`` make the answer hold where it is
    "only with these measures". ``scenario`` names the gravest injury scenario there, with its ``level`` where nothing
    works that was not shown. ``would_have`` says what a unit fit for this use would have to contain. ``plain`` is one
    sentence for a lay viewer.
    """

    name: str
    answer: UseAnswer
    because: str
    id: str = ""
    use: Use | None = None
    largest_current_a: float | None = None
    bound_a: float | None = None
    limited_by: str = ""
    set_to_a: float | None = None
    bounds: tuple[CurrentBound, ...] = ()
    reasons: tuple[UseReason, ...] = ()
    measures: tuple[str, ...] = ()
    would_have: tuple[str, ...] = ()
    rules: tuple[UseRule, ...] = ()
    local_codes: str = ""
    scenario: str = ""
    level: RiskLevel | None = None
    untested: tuple[str, ...] = ()
    plain: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CommonGrounds:
    """What several judgements of one specimen have in common, so that it is told once.

    Parameters
    ----------
    reasons : tuple of UseReason
        Reasons that every one of them has.
    would_have : tuple of str
        What a unit fit for any of them would have to contain.
    rules : tuple of UseRule
        Rules that hold for every one of them.
    """

    reasons: tuple[UseReason, ...] = ()
    would_have: tuple[str, ...] = ()
    rules: tuple[UseRule, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseUses:
    """The conditions of use of a case as judged, in the form that ``coldpin uses --json`` prints."""

    schema: Literal["coldpin.uses/1"]
    title: str
    uses: tuple[UseJudgement, ...]
