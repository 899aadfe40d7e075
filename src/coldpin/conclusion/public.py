"""The conclusion made whole: its sentence with the uses in it, what would change it, and everything in plain words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from coldpin.conclusion.lay_words import OF_CHECKS, OF_FUNCTIONS, Clauses
from coldpin.conclusion.scenario_plans import SCENARIOS
from coldpin.records.assessment import Basis, Conclusion, PlainSentence, Sentence
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.function import FunctionState, ProtectiveFunction
from coldpin.records.scenario import InjuryScenario
from coldpin.records.use import UseAnswer, UseJudgement

AT_ONCE = frozenset(
    {name for plan in SCENARIOS for step in plan.steps for name in step.sure}
    | {"offer-plug.value", "live-access.finger", "live-access.wire"}
)
"""Findings that make a step of an injury certain as it stands; the other decisive ones wait for a second fault."""


def complete(
    conclusion: Conclusion,
    functions: Iterable[ProtectiveFunction],
    findings: Iterable[Finding],
    scenarios: Iterable[InjuryScenario],
    uses: Iterable[UseJudgement],
) -> Conclusion:
    """Complete a conclusion by the conditions of use, what would change it, and plain words.

    Parameters
    ----------
    conclusion : Conclusion
        As concluded from findings and functions.
    functions : iterable of ProtectiveFunction
        As judged.
    findings : iterable of Finding
        All findings.
    scenarios : iterable of InjuryScenario
        As judged.
    uses : iterable of UseJudgement
        As judged.

    Returns
    -------
    Conclusion
        The same with headline, ``would_change`` and ``plain``.
    """
    judged, found, used = tuple(functions), tuple(findings), tuple(uses)
    return replace(
        conclusion,
        headline=_headline(conclusion, used),
        would_change=_would_change(conclusion, judged, found),
        plain=(
            *(_of_function(function) for function in judged),
            *(_of_finding(finding) for finding in found),
            *(_of_scenario(scenario) for scenario in scenarios),
            *(_of_use(use) for use in used),
        ),
    )


def _headline(conclusion: Conclusion, uses: tuple[UseJudgement, ...]) -> Sentence:
    """Say in the headline what holds of every use: "everywhere", or where there is no objection."""
    headline = conclusion.headline
    if conclusion.decisive:
        if not AT_ONCE & set(conclusion.decisive):
            told = headline.text.replace(
                ": advised against. ", ": cannot be recommended until its findings are answered. "
            )
            return replace(headline, text=told)
        if uses and all(use.answer is UseAnswer.ADVISED_AGAINST for use in uses):
            return replace(headline, text=headline.text.replace(": advised against.", ": advised against everywhere."))
        return headline
    fine = [use.name for use in uses if use.answer is UseAnswer.NO_OBJECTION]
    if fine and ": no objection found" in headline.text:
        where = "; ".join(f"“{name}”" for name in fine)
        text = headline.text.replace("in the tests done so far", f"in the tests done so far for {where}", 1)
        return replace(headline, text=text)
    return headline


def _would_change(
    conclusion: Conclusion, functions: tuple[ProtectiveFunction, ...], findings: tuple[Finding, ...]
) -> tuple[Sentence, ...]:
    """Say what would change the conclusion: an answer to what was found, a test that was not done, a better reading."""
    told = []
    decisive = [finding for finding in findings if finding.id in conclusion.decisive]
    for text, together in _by_text(decisive).items():
        reach = together[0].reach
        what = (
            "a change of its construction, tested anew"
            if reach is Reach.CONSTRUCTION
            else "another specimen on which it is not so, and the reason why it was so on this one"
        )
        names = tuple(finding.id for finding in together)
        told.append(Sentence(text=f"“{text}”: only {what}.", basis=Basis.INFERRED, findings=names))
    for function in functions:
        if function.duty and function.state in (FunctionState.FAULTY, FunctionState.SHOWN_ABSENT):
            if set(function.findings) & set(conclusion.decisive):
                continue
            told.append(
                Sentence(
                    text=f"'{function.title}' is {_WORDS[function.state]}: an answer of the maker, and the same tests "
                    "on a unit in which it works.",
                    basis=Basis.INFERRED,
                    findings=function.findings,
                )
            )
        elif function.state is FunctionState.NOT_SHOWN and function.missing:
            told.append(
                Sentence(
                    text=f"'{function.title}' is not shown: {'; '.join(function.missing)}. A result against it would "
                    "speak against the lead; one for it leaves the rest as it is.",
                    basis=Basis.INFERRED,
                    findings=function.findings,
                )
            )
    undecided = [finding for finding in findings if finding.outcome is Outcome.UNDECIDED]
    told.extend(
        Sentence(
            text=f"“{finding.title}” is undecided: a reading with less uncertainty would decide it.",
            basis=Basis.INFERRED,
            findings=(finding.id,),
        )
        for finding in undecided
        if finding.quantity is not None
    )
    return tuple(told)


_WORDS = {FunctionState.FAULTY: "faulty", FunctionState.SHOWN_ABSENT: "absent"}


def _by_text(findings: Iterable[Finding]) -> dict[str, list[Finding]]:
    found: dict[str, list[Finding]] = {}
    for finding in findings:
        found.setdefault(finding.plain or finding.title, []).append(finding)
    return found


def plain_function(function: ProtectiveFunction) -> str:
    """Say a function in one sentence for a lay viewer.

    Parameters
    ----------
    function : ProtectiveFunction
        As judged.

    Returns
    -------
    str
        The sentence.

    Examples
    --------
    >>> told = ProtectiveFunction(
    ...     id="restart", title="t", question="q", state=FunctionState.NOT_SHOWN, reach=None, findings=(), because="")
    >>> plain_function(told)
    'Nobody can say from these tests whether nothing becomes live by itself after a power cut.'
    """
    good, bad = OF_FUNCTIONS.get(
        function.id, (f"“{function.title}” is as it should be", f"“{function.title}” is wanting")
    )
    match function.state:
        case FunctionState.SHOWN:
            return f"In these tests {good}."
        case FunctionState.NOT_SHOWN:
            return f"Nobody can say from these tests whether {good}."
        case FunctionState.FAULTY | FunctionState.SHOWN_ABSENT:
            practice = "" if function.duty else " Having it is good practice, not a duty."
            return f"{bad[:1].upper()}{bad[1:]}.{practice}"


def plain_finding(finding: Finding) -> str:
    """Say a finding in one sentence for a lay viewer.

    Parameters
    ----------
    finding : Finding
        The finding.

    Returns
    -------
    str
        Its own plain sentence where it has one and is not undecided, else one by its check.
    """
    good, bad = clauses_of(finding)
    match finding.outcome:
        case Outcome.WITHIN:
            return finding.plain or f"{finding.title}: as it should be ({good})."
        case Outcome.BEYOND:
            return finding.plain or f"{finding.title}: {bad}."
        case Outcome.UNDECIDED:
            return f"{finding.title}: these tests cannot tell whether {good}."
        case Outcome.NOT_TESTED | Outcome.NOT_APPLICABLE:
            return f"{finding.title}: this was not asked of it, or does not arise."


def clauses_of(finding: Finding) -> Clauses:
    """Return how it should be and how it is where it is not so, by the check of a finding.

    Parameters
    ----------
    finding : Finding
        The finding.

    Returns
    -------
    tuple of str
        Two clauses.
    """
    return OF_CHECKS.get(finding.check, ("it is as it should be", "it is not as it should be"))


def _of_function(function: ProtectiveFunction) -> PlainSentence:
    said = Sentence(text=plain_function(function), basis=Basis.INFERRED, findings=function.findings)
    return PlainSentence(kind="function", id=function.id, sentence=said)


def _of_finding(finding: Finding) -> PlainSentence:
    basis = Basis.MEASURED if finding.quantity is not None else Basis.OBSERVED
    said = Sentence(text=plain_finding(finding), basis=basis, findings=(finding.id,))
    return PlainSentence(kind="finding", id=finding.id, sentence=said)


def _of_scenario(scenario: InjuryScenario) -> PlainSentence:
    findings = tuple(dict.fromkeys((*scenario.decisive, *(name for step in scenario.steps for name in step.findings))))
    return PlainSentence(
        kind="scenario", id=scenario.id, sentence=Sentence(text=scenario.plain, basis=Basis.INFERRED, findings=findings)
    )


def _of_use(use: UseJudgement) -> PlainSentence:
    findings = tuple(dict.fromkeys(name for reason in use.reasons for name in reason.findings))
    said = Sentence(text=use.plain or use.because, basis=Basis.INFERRED, findings=findings)
    return PlainSentence(kind="use", id=use.id or use.name, sentence=said)
