"""The words of the report: one place where outcomes, states and standings are put into language.

Against a limit whose standing is not ``standard`` nothing here says more than where the value lies.
"""

from __future__ import annotations

from collections.abc import Mapping

from coldpin.conclusion.whereabouts import Whereabouts
from coldpin.records.assessment import Basis
from coldpin.records.case import CaseDescription, UnitClass
from coldpin.records.entry import EvidenceFile
from coldpin.records.finding import Finding, Limit, Outcome, Reach, Standing
from coldpin.records.function import FunctionState
from coldpin.records.scenario import Ground
from coldpin.report.document import Mark, Sign
from coldpin.report.numbers import counted
from coldpin.report.times import moment
from coldpin.standards.wording import limit_value

BASIS_OF_GROUNDS: Mapping[Ground, Basis] = {
    Ground.FINDING: Basis.INFERRED,
    Ground.FUNCTION: Basis.INFERRED,
    Ground.PHYSICS: Basis.INFERRED,
    Ground.PUBLISHED: Basis.INFERRED,
    Ground.STATED: Basis.INFERRED,
    Ground.OPEN: Basis.OPINION,
    Ground.JUDGEMENT: Basis.OPINION,
    Ground.OWN: Basis.OPINION,
}
"""What a step of an injury scenario rests on, as the tag of its sentence."""
OUTCOME_WORDS: Mapping[Outcome, str] = {
    Outcome.WITHIN: "within",
    Outcome.BEYOND: "beyond",
    Outcome.UNDECIDED: "undecided",
    Outcome.NOT_TESTED: "not tested",
    Outcome.NOT_APPLICABLE: "does not apply",
}
OUTCOME_MEANINGS: Mapping[Outcome, str] = {
    Outcome.WITHIN: "The value lies inside the limit given, with a probability of at least 97.5 % unless another rule "
    "is named; or the question was answered as it should be.",
    Outcome.BEYOND: "The value lies outside the limit given, by the same rule; or the question was answered as it "
    "should not be. Where the limit's standing is not “standard”, read it as: outside the limit as known.",
    Outcome.UNDECIDED: "The uncertainty of the measurement reaches across the limit, or whoever looked could not "
    "tell: this bench cannot say.",
    Outcome.NOT_TESTED: "Nothing was measured or seen that answers. It speaks neither for nor against the specimen.",
    Outcome.NOT_APPLICABLE: "The question does not arise for this kind of unit.",
}
STATE_WORDS: Mapping[FunctionState, str] = {
    FunctionState.SHOWN: "shown",
    FunctionState.FAULTY: "faulty",
    FunctionState.SHOWN_ABSENT: "shown absent",
    FunctionState.NOT_SHOWN: "not shown",
}
STATE_MEANINGS: Mapping[FunctionState, str] = {
    FunctionState.SHOWN: "Everything that was asked of it was found on this specimen: it was provoked and did what it "
    "is for, or what it rests on was measured, seen or reckoned and is as it should be.",
    FunctionState.FAULTY: "The function is there and did not do what it is for, or what it rests on is not as it "
    "should be.",
    FunctionState.SHOWN_ABSENT: "The function is not there: seen in the construction, or provoked and missing.",
    FunctionState.NOT_SHOWN: "Not tested, or not far enough to say. It may be there or not.",
}
STANDING_MEANINGS: Mapping[Standing, str] = {
    Standing.STANDARD: "the person who entered it holds the standard",
    Standing.READ: "a public text, named, restates it; the standard itself was not at hand",
    Standing.MEMORY: "known in the trade; no public text was found",
    Standing.COMMON_PRACTICE: "a custom of the trade, no published source",
    Standing.JUDGEMENT: "our own estimate; nobody published it",
}
LEVEL_TITLES: Mapping[str, str] = {
    "dead": "Dead: unplugged and proved dead",
    "extra-low voltage": "On an extra-low voltage supply",
    "live": "Live: mains on the bench",
    "destructive": "Destructive: the specimen is not used again",
}
"""Levels of danger in the order in which their checks may be done, with the heading each is told under."""

BASIS_MEANINGS: Mapping[Basis, str] = {
    Basis.MEASURED: "a number from an instrument, with its uncertainty",
    Basis.OBSERVED: "seen, without a number",
    Basis.INFERRED: "follows from what was measured and observed",
    Basis.OPINION: "our judgement; others may judge otherwise",
}
REACH_MEANINGS: Mapping[Reach, str] = {
    Reach.CONSTRUCTION: "holds for any unit built like this one",
    Reach.SPECIMEN: "holds for this specimen; another one may differ",
}


def outcome_mark(outcome: Outcome) -> Mark:
    """Return the sign and word of an outcome.

    Parameters
    ----------
    outcome : Outcome
        What a finding says.

    Returns
    -------
    Mark
        Its sign and its word.
    """
    return Mark(Sign(outcome.value), OUTCOME_WORDS[outcome])


def state_mark(state: FunctionState) -> Mark:
    """Return the sign and word of a function's state.

    Parameters
    ----------
    state : FunctionState
        How a function stands.

    Returns
    -------
    Mark
        Its sign and its word.
    """
    return Mark(Sign(state.value), STATE_WORDS[state])


def placed(finding: Finding) -> str:
    """Return where a finding lies, in words that say no more than is known.

    Parameters
    ----------
    finding : Finding
        The finding.

    Returns
    -------
    str
        A phrase that follows the outcome's word.
    """
    if finding.outcome is Outcome.NOT_TESTED:
        return "neither for nor against the specimen"
    if finding.outcome is Outcome.NOT_APPLICABLE:
        return "the question does not arise here"
    if finding.check == MARKINGS:
        return (_ALIKE if finding.id == f"{MARKINGS}.agree" else _FOR_AUTHORITY)[finding.outcome]
    if finding.limit is None:
        return (_ANSWERED if finding.duty else _PRACTICE)[finding.outcome]
    if not limit_value(finding.limit):
        return _ASKED_FOR[finding.outcome]
    return f"{_PLACED[finding.outcome]} {_limit_named(finding.limit)}"


def _limit_named(limit: Limit) -> str:
    if limit.standing is Standing.STANDARD:
        return "the limit"
    return f"the limit set by {limit.asserted_by}" if limit.asserted_by else "the limit as known to us"


def standing_meaning(limit: Limit) -> str:
    """Return how well a limit is known.

    Parameters
    ----------
    limit : Limit
        The limit.

    Returns
    -------
    str
        A phrase that follows the word for its standing.
    """
    if limit.asserted_by and limit.standing is not Standing.STANDARD:
        return f"set by {limit.asserted_by}, not by a standard"
    return STANDING_MEANINGS[limit.standing]


MARKINGS = "markings"
"""The check of marks and papers: of each mark a text is named that asks for it, and no law is decided here."""

AUTHORITY = "whether it must be is for an authority"
"""What is said of a mark, there or not."""

_FOR_AUTHORITY = {
    Outcome.WITHIN: f"there; {AUTHORITY}",
    Outcome.BEYOND: f"not there; {AUTHORITY}",
    Outcome.UNDECIDED: "cannot be told from this evidence",
}
_ALIKE = {
    Outcome.WITHIN: "the same wherever it stands",
    Outcome.BEYOND: "not the same wherever it stands",
    Outcome.UNDECIDED: "cannot be told from this evidence",
}
"""Of a rating that stands in several places."""
_ANSWERED = {
    Outcome.WITHIN: "as it should be",
    Outcome.BEYOND: "not as it should be",
    Outcome.UNDECIDED: "cannot be told from this evidence",
}
_PRACTICE = {
    Outcome.WITHIN: "there; good practice, not a duty",
    Outcome.BEYOND: "not there; good practice, not a duty",
    Outcome.UNDECIDED: "cannot be told from this evidence",
}
_ASKED_FOR = {
    Outcome.WITHIN: "what the text known to us asks for",
    Outcome.BEYOND: "not what the text known to us asks for",
    Outcome.UNDECIDED: "cannot be told from this evidence",
}
"""Of a demand in words, such as a metal."""
_PLACED = {
    Outcome.WITHIN: "the value lies inside",
    Outcome.BEYOND: "the value lies outside",
    Outcome.UNDECIDED: "the 95 % interval reaches across",
}


def sentence_case(text: str) -> str:
    """Return a text with a capital first letter and the rest as it was.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str
        The text.

    Examples
    --------
    >>> sentence_case("wiring map"), sentence_case("")
    ('Wiring map', '')
    """
    return text[:1].upper() + text[1:]


def unit_class(unit: UnitClass) -> str:
    """Return in one line what kind of unit the specimen is.

    Parameters
    ----------
    unit : UnitClass
        Its class.

    Returns
    -------
    str
        Mode, build, cable, phases, connector.
    """
    return (
        f"charging mode {unit.charging_mode}, {unit.build.value}, cable {unit.cable.value}, "
        f"{counted(unit.phases, 'phase')}, {unit.connector}, electronics: {unit.electronics.value}"
    )


def specimen_name(case: CaseDescription) -> str:
    """Return the specimen's name as marked.

    Parameters
    ----------
    case : CaseDescription
        The case.

    Returns
    -------
    str
        Make and model.
    """
    return " ".join(part for part in (case.specimen.make.strip(), case.specimen.model.strip()) if part)


def where_from(evidence: EvidenceFile) -> str:
    """Return how a piece of evidence is found again.

    Parameters
    ----------
    evidence : EvidenceFile
        The piece.

    Returns
    -------
    str
        File name or address, with time code.
    """
    place = evidence.file or evidence.address or evidence.original_name
    if evidence.companion is not None:
        place = f"{place} with {evidence.companion.file}"
    return f"{place} at {evidence.time_code}" if evidence.time_code else place


def judged_by_number(finding: Finding) -> bool:
    """Say whether a finding places something against a limit.

    Parameters
    ----------
    finding : Finding
        The finding.

    Returns
    -------
    bool
        Whether it has a limit and an outcome that rests on it.
    """
    return finding.limit is not None and finding.outcome in (Outcome.WITHIN, Outcome.BEYOND, Outcome.UNDECIDED)


def asked_again(told: Whereabouts) -> str:
    """Ask where the specimen is, where it was worked on since that was said.

    Parameters
    ----------
    told : Whereabouts
        Where it is, as it was said last.

    Returns
    -------
    str
        A sentence; empty where nothing was done to it since.

    Examples
    --------
    >>> asked_again(Whereabouts(place="cupboard 2"))
    ''
    >>> box = Whereabouts(place="box", said="2026-03-14T10:00Z", since=1, last="opened", last_made="2026-03-15")
    >>> asked_again(box).partition(" mains ")[2]
    "(last 'opened', 2026-03-15): where is it now, and in what state?"
    """
    if not told.since:
        return ""
    since = "Since then it was" if told.said else "It was"
    what = f"last '{told.last}', {moment(told.last_made)}"
    return f"{since} opened, cut, strained or put on the mains ({what}): where is it now, and in what state?"
