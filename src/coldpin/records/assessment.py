"""The whole record of one assessment: everything the report, the page and the command line show."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Literal

from coldpin.records.cable import CableEvidence
from coldpin.records.case import Alternative, CaseDescription
from coldpin.records.charge import ChargeEvidence, StandbyEvidence
from coldpin.records.claim import JudgedClaim
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Limit
from coldpin.records.function import ProtectiveFunction
from coldpin.records.inside import InsideEvidence
from coldpin.records.instrument import Instrument
from coldpin.records.market import MarketPicture
from coldpin.records.pilot import Glitch, PilotReading
from coldpin.records.scenario import InjuryScenario, SpecimenRisk
from coldpin.records.shock import ShockEvidence
from coldpin.records.trip_test import ResidualPicture, TripTest
from coldpin.records.use import UseJudgement


class Basis(StrEnum):
    """What a sentence rests on."""

    MEASURED = "measured"
    OBSERVED = "observed"
    INFERRED = "inferred"
    OPINION = "opinion"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sentence:
    """One sentence that may be said in public, with what it rests on and the findings behind it."""

    text: str
    basis: Basis
    findings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Trace:
    """A waveform reduced for drawing: the lowest and highest sample of each stretch, never a thinned one.

    ``time_s`` holds the middle of each stretch, or the time of each sample where ``every_sample`` is true (then
    ``low_v`` equals ``high_v``).
    """

    time_s: tuple[float, ...]
    low_v: tuple[float, ...]
    high_v: tuple[float, ...]
    every_sample: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CyclePicture:
    """One clean cycle of a state beside the windows it is judged against."""

    state: str
    trace: Trace
    high_window_v: tuple[float | None, float | None]
    low_window_v: tuple[float | None, float | None]
    windows_source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GlitchPicture:
    """One glitch to be drawn: in its cycle, and near by. Times of both traces count from its first sample. [s]"""

    glitch: Glitch
    around: Trace
    near: Trace


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotEvidence:
    """A pilot capture as read, with what is needed to draw it."""

    entry: str
    file: str
    sha256: str
    conditions: tuple[tuple[str, str], ...]
    edition: str
    dialect: tuple[tuple[str, str], ...]
    reading: PilotReading
    trace: Trace
    cycles: tuple[CyclePicture, ...]
    remarks: tuple[str, ...] = ()
    glitches: tuple[GlitchPicture, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NotTested:
    """A check that was not done, why not, and what it would need."""

    check: str
    title: str
    why: str
    needs: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FurtherTest:
    """A test that was not done or has open questions: what it asks, how it is done, and what stands before it.

    ``stage`` is a word of :class:`~coldpin.records.plan.Stage`, or "at the desk" where only claims are missing;
    ``minutes`` is what it takes there, ``says_of`` are ids of functions. ``first`` says what is wanted before it may
    begin, ``stopped`` which findings forbid it.
    """

    test: str
    title: str
    question: str
    stage: str
    minutes: int
    says_of: tuple[str, ...]
    first: tuple[str, ...] = ()
    stopped: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Method:
    """How a check was done: its procedure as published, for the reader who wants to repeat it.

    ``stop_values`` say at which reading to break off, ``repeats`` how often it is done at least.
    """

    check: str
    title: str
    level: str
    instrument: str
    steps: tuple[str, ...]
    cautions: tuple[str, ...]
    hold_points: tuple[str, ...]
    transfers: str
    stop_values: tuple[str, ...] = ()
    repeats: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """Something given that could not be used: where it is, and what to do."""

    where: str
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlainSentence:
    """One sentence for a lay viewer, and what it is about: its kind and its id."""

    kind: Literal["function", "finding", "scenario", "use"]
    id: str
    sentence: Sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class Conclusion:
    """What may be said in public, why, how sure, what would change it, and what may not be said.

    ``headline`` is the one sentence for the public. ``decisive`` are the findings that conclude alone.
    ``would_change`` says what would change the conclusion. ``plain`` says everything once more for a lay viewer.
    """

    headline: Sentence
    may_say: tuple[Sentence, ...]
    may_not_say: tuple[str, ...]
    decisive: tuple[str, ...]
    done_well: tuple[Sentence, ...]
    would_change: tuple[Sentence, ...] = ()
    plain: tuple[PlainSentence, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Assessment:
    """One assessment of one case: a report is made from this record and nothing else.

    ``scenarios`` stand worst first, and ``risk`` is that of the worst, None where none was judged. ``cable`` holds
    nothing where nothing was recorded of the cable; ``charges`` are the logs of charges, ``standby`` is what the
    idle unit drew; ``inside`` holds the distances found inside the unit; ``shock`` what a person would get, by
    case; ``claims`` are the claims of plate, papers and listing beside what was found; ``trips`` are the tests with
    residual currents, one for each form, ``leaks`` one operation of each capture of them; ``further_tests`` are
    those with something left to ask, in the order in which they may be done.
    """

    schema: Literal["coldpin.assessment/1"]
    program_version: str
    title: str
    assessed_on: str
    case: CaseDescription
    edition: str
    conclusion: Conclusion
    functions: tuple[ProtectiveFunction, ...]
    findings: tuple[Finding, ...]
    not_tested: tuple[NotTested, ...]
    pilot: tuple[PilotEvidence, ...]
    entries: tuple[Entry, ...]
    instruments: tuple[tuple[str, Instrument], ...]
    methods: tuple[Method, ...]
    limits: tuple[Limit, ...]
    scenarios: tuple[InjuryScenario, ...]
    conditions_of_use: tuple[UseJudgement, ...]
    cautions: tuple[str, ...]
    limits_of_the_work: tuple[str, ...]
    problems: tuple[Problem, ...]
    cable: CableEvidence = field(default_factory=CableEvidence)
    charges: tuple[ChargeEvidence, ...] = ()
    standby: tuple[StandbyEvidence, ...] = ()
    inside: InsideEvidence = field(default_factory=InsideEvidence)
    risk: SpecimenRisk | None = None
    shock: ShockEvidence = field(default_factory=ShockEvidence)
    claims: tuple[JudgedClaim, ...] = ()
    trips: tuple[TripTest, ...] = ()
    leaks: tuple[ResidualPicture, ...] = ()
    market: MarketPicture = field(default_factory=MarketPicture)
    alternatives: tuple[Alternative, ...] = ()
    further_tests: tuple[FurtherTest, ...] = ()
