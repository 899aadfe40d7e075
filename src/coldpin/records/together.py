"""Several specimens of one model laid together: what holds of all that were seen, what differs, and the worst of it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from coldpin.quantity.model import Quantity
from coldpin.records.assessment import Problem, Sentence
from coldpin.records.claim import ClaimState
from coldpin.records.finding import Limit, Outcome, Reach
from coldpin.records.function import FunctionState
from coldpin.records.scenario import RiskLevel
from coldpin.records.use import UseAnswer

TOGETHER_SCHEMA = "coldpin.together/1"


class Agreement(StrEnum):
    """How specimens of one model stand beside each other in one respect.

    Open is what was not tested, and what was tested and is undecided.
    """

    GOOD_IN_ALL = "good in all"
    BAD_IN_ALL = "bad in all"
    DIFFERS = "differs"
    GOOD_IN_SOME = "good in some, open in others"
    BAD_IN_SOME = "bad in some, open in others"
    OPEN = "open in all"
    NOT_APPLICABLE = "does not apply"


class ValueAgreement(StrEnum):
    """How measured values of one thing stand beside each other."""

    AGREE = "agree within their uncertainty"
    DIFFER = "differ by more than their uncertainty"
    UNKNOWN = "cannot be told"


@dataclass(frozen=True, slots=True, kw_only=True)
class SpecimenSeen:
    """One of the specimens: which it is, where it is from, and what was concluded of it alone.

    ``number`` is its place among those laid together, in the order in which they were bought; ``bought`` the day,
    empty where nobody wrote it. ``level`` is that of its worst injury scenario. ``unused`` counts what was given in
    its case and could not be used.
    """

    number: int
    case: str
    title: str
    serial: str
    batch: str
    seller: str
    bought: str
    price: str
    assessed_on: str
    headline: Sentence
    decisive: tuple[str, ...]
    level: RiskLevel | None
    unused: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Unlike:
    """Something that is not the same on all specimens: what, and how it is said of each; empty where not recorded."""

    what: str
    said: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SameModel:
    """Why the specimens are taken to be of one model, and what in their markings is not alike.

    ``marked`` is what they have in common: make, model, rating. ``overridden`` is what speaks against one model and was
    set aside for ``reason``, which is the tester's own. ``one_serial`` is a serial number that several pieces bear,
    ``apart`` the tester's reason why they are several all the same.
    """

    marked: tuple[tuple[str, str], ...]
    unlike: tuple[Unlike, ...] = ()
    overridden: tuple[Unlike, ...] = ()
    reason: str = ""
    one_serial: str = ""
    apart: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchases:
    """Whether the specimens can stand for the population they were bought from.

    ``stated`` is the tester's reason for calling the purchases random and independent, empty where nobody does.
    ``independent`` is true where it is stated and nothing on record speaks against it; else ``why`` says what is
    missing or against it, and no share of all units is told.
    """

    stated: str
    independent: bool
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """How many of the specimens tested for something showed it.

    ``low`` and ``high`` bound the share of all units with 95 % confidence; None where the purchases are not
    independent, so that a count says nothing of other units. [1]
    """

    count: int
    of: int
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FunctionTogether:
    """A protective function over all specimens.

    ``states`` stand in the order of the specimens, None where it does not apply; ``state`` is the worst, borne by the
    specimens of ``rests_on``. ``missing`` counts those that lack it or have it faulty among those in which either was
    shown. ``reach`` is by construction where it is so in every specimen in which it is missing and none has it.
    """

    id: str
    title: str
    duty: bool
    states: tuple[FunctionState | None, ...]
    state: FunctionState
    agreement: Agreement
    rests_on: tuple[int, ...]
    missing: Count
    reach: Reach | None
    sentence: Sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingTogether:
    """One finding over all specimens.

    ``outcomes`` and ``answers`` stand in the order of the specimens. ``outcome`` is the worst, borne by those of
    ``rests_on``. ``beyond`` counts those beyond among those within or beyond. ``plain`` tells those that bear the worst
    in one sentence; empty where they are not told alike, as where each has its number. ``measured`` is true where
    it rests on a number on one of them, ``decisive`` where it concludes alone on one. ``remarks`` say what makes the
    specimens hard to compare.
    """

    id: str
    check: str
    title: str
    plain: str
    outcomes: tuple[Outcome, ...]
    answers: tuple[str, ...]
    outcome: Outcome
    agreement: Agreement
    rests_on: tuple[int, ...]
    beyond: Count
    functions: tuple[str, ...]
    duty: bool
    measured: bool
    decisive: bool
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueTogether:
    """A measured value over all specimens, side by side and never averaged.

    ``values`` stand in the order of the specimens, None where it was not measured. ``apart`` are the two that lie
    farthest apart for their uncertainty, ``difference`` their difference as part of its expanded uncertainty
    (E_n) [1], None where it cannot be told. ``shows_from`` is the least difference that these two would show, in
    ``unit``. ``why`` says what keeps the values from being compared. ``limit`` is what they are judged by where it is
    one for all. ``instruments`` are those with which both of these two were measured: what they share cancels, and a
    smaller difference may be there. ``unlike`` are conditions under which the specimens were not measured alike.
    """

    id: str
    title: str
    unit: str
    values: tuple[Quantity | None, ...]
    agreement: ValueAgreement
    apart: tuple[int, ...] = ()
    difference: float | None = None
    shows_from: float | None = None
    why: str = ""
    limit: Limit | None = None
    instruments: tuple[str, ...] = ()
    unlike: tuple[Unlike, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class UseGround:
    """Why one specimen bears the answer to a use: its own reason, and the findings behind it."""

    specimen: int
    because: str
    findings: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class UseTogether:
    """A condition of use over all specimens: the worst answer, with the specimens it rests on.

    ``answers`` stand in the order of the specimens, None where it was not asked of one. ``largest_current_a`` is the
    least of theirs [A], None where it is not known for one of them, and where the answer for one of them is no leave to
    use it; ``limited_by`` names what limits it.
    """

    id: str
    name: str
    answers: tuple[UseAnswer | None, ...]
    answer: UseAnswer
    rests_on: tuple[int, ...]
    grounds: tuple[UseGround, ...]
    largest_current_a: float | None
    limited_by: str
    measures: tuple[str, ...]
    sentence: Sentence
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ClaimTogether:
    """A claim over all specimens of which it was made: contradicted where any contradicts it, held where all do."""

    title: str
    said: str
    states: tuple[ClaimState | None, ...]
    state: ClaimState
    rests_on: tuple[int, ...]
    sentence: Sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class JointConclusion:
    """What may be said of the model as far as it was seen.

    ``headline`` is the sentence for the public, with how many were seen, when and where they were bought. ``differs``
    says in what the specimens are unlike, ``shares`` what the counts say of all units: nothing where the purchases are
    not independent.
    """

    headline: Sentence
    differs: tuple[Sentence, ...]
    may_say: tuple[Sentence, ...]
    shares: tuple[Sentence, ...]
    may_not_say: tuple[str, ...]
    would_change: tuple[Sentence, ...]
    decisive: tuple[str, ...]
    level: RiskLevel | None
    level_rests_on: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """Several specimens of one model concluded together, in the form that ``coldpin together --json`` prints.

    ``not_tested`` names the checks that were done on none of them. ``limits`` are the published rules used.
    """

    schema: Literal["coldpin.together/1"]
    title: str
    program_version: str
    specimens: tuple[SpecimenSeen, ...]
    model: SameModel
    purchases: Purchases
    conclusion: JointConclusion
    functions: tuple[FunctionTogether, ...]
    findings: tuple[FindingTogether, ...]
    values: tuple[ValueTogether, ...]
    uses: tuple[UseTogether, ...]
    claims: tuple[ClaimTogether, ...]
    not_tested: tuple[str, ...]
    limits: tuple[Limit, ...]
    problems: tuple[Problem, ...] = ()
