"""The conclusion made whole: its sentence with the uses in it, what would change it, and everything in plain words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from coldpin.conclusion.lay_words import OF_CHECKS, OF_FINDINGS, OF_FUNCTIONS, Clauses, practice_of
from coldpin.conclusion.scenario_plans import SCENARIOS
from coldpin.conclusion.statement import basis_of
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
    judged, found, used, rated = tuple(functions), tuple(findings), tuple(uses), tuple(scenarios)
    return replace(
        conclusion,
        headline=_headline(conclusion, judged, used),
        would_change=_would_change(conclusion, judged, found, rated, used),
        plain=(
            *(_of_function(function) for function in judged),
            *(_of_finding(finding, judged) for finding in found),
            *(_of_scenario(scenario) for scenario in rated),
            *(_of_use(use) for use in used),
        ),
    )


def _headline(
    conclusion: Conclusion, functions: tuple[ProtectiveFunction, ...], uses: tuple[UseJudgement, ...]
) -> Sentence:
    """Say in the headline what holds of the uses: everywhere, until findings are answered, or where and where not."""
    headline = conclusion.headline
    if conclusion.decisive:
        everywhere = bool(uses) and all(use.answer is UseAnswer.ADVISED_AGAINST for use in uses)
        if not AT_ONCE & set(conclusion.decisive):
            told = headline.text.replace(
                ": advised against. ", ": cannot be recommended until its findings are answered. "
            )
            until = " Until then we advise against every use judged here." if everywhere else ""
            return replace(headline, text=f"{told}{_besides(conclusion, functions)}{until}")
        if everywhere:
            return replace(headline, text=headline.text.replace(": advised against.", ": advised against everywhere."))
        return headline
    if uses and ": no objection found" in headline.text:
        text = headline.text.replace("in the tests done so far", f"in the tests done so far{_where(uses)}", 1)
        return replace(headline, text=text.replace("; not shown yet: ", ". Not shown yet: ", 1))
    return headline


def _besides(conclusion: Conclusion, functions: tuple[ProtectiveFunction, ...]) -> str:
    """Name what else was found absent or faulty where a finding decides that waits for a second fault."""
    decided = set(conclusion.decisive)
    others = [
        f"'{function.title}'"
        for function in functions
        if function.duty and function.state in _WORDS and not set(function.findings) & decided
    ]
    return f" Also absent or faulty: {', '.join(others)}." if others else ""


def _where(uses: tuple[UseJudgement, ...]) -> str:
    """Say for which uses there is no objection, and what the answers to the others are."""
    named = {answer: [f"“{use.name}”" for use in uses if use.answer is answer] for answer in UseAnswer}
    fine = named[UseAnswer.NO_OBJECTION]
    said = [f" for {listed(fine)}" if fine else ", and yet too little is shown to say so of any use"]
    told = (UseAnswer.WITH_MEASURES, UseAnswer.ADVISED_AGAINST)
    said += [f"{_ANSWERED[answer]} {listed(named[answer])}" for answer in told if named[answer]]
    unanswered = len(named[UseAnswer.CANNOT_JUDGE])
    if unanswered:
        said.append(f"for {unanswered} of {len(uses)} uses these tests cannot tell")
    return "; ".join(said)


_ANSWERED = {UseAnswer.WITH_MEASURES: "only with measures:", UseAnswer.ADVISED_AGAINST: "advised against for"}


def listed(names: list[str]) -> str:
    """Return names as one says them.

    Parameters
    ----------
    names : list of str
        One or more.

    Returns
    -------
    str
        The last joined by "and".

    Examples
    --------
    >>> listed(["garage", "shed", "pontoon"])
    'garage, shed and pontoon'
    """
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _would_change(
    conclusion: Conclusion,
    functions: tuple[ProtectiveFunction, ...],
    findings: tuple[Finding, ...],
    scenarios: tuple[InjuryScenario, ...],
    uses: tuple[UseJudgement, ...],
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
        told.append(_inferred(f"“{text}”: only {what}.", together))
    wanting = [
        function
        for function in functions
        if function.duty and function.state in _WORDS and not set(function.findings) & set(conclusion.decisive)
    ]
    for state, word in _WORDS.items():
        ones = [function for function in wanting if function.state is state]
        if ones:
            names = listed([f"'{function.title}'" for function in ones])
            are, works = ("is", "it works") if len(ones) == 1 else ("are", "they work")
            text = f"{names} {are} {word}: an answer of the maker, and the same tests on a unit in which {works}."
            beyond = [one for one in findings if one.outcome is Outcome.BEYOND and _bears(one, ones)]
            told.append(_inferred(text, beyond))
    for function in functions:
        if function.state is FunctionState.NOT_SHOWN and function.missing:
            hangs = _hangs(function, scenarios, uses)
            told.append(
                Sentence(
                    text=f"'{function.title}' is not shown; missing: {'; '.join(function.missing)}. {hangs}",
                    basis=Basis.INFERRED,
                    findings=function.findings,
                )
            )
    undecided = [one for one in findings if one.outcome is Outcome.UNDECIDED and one.quantity is not None]
    if undecided:
        names = listed([f"“{finding.title}”" for finding in undecided])
        are, it = ("is", "it") if len(undecided) == 1 else ("are", "them")
        would = "a reading with less uncertainty, or a limit that is better known, would decide"
        told.append(_inferred(f"{names} {are} undecided: {would} {it}.", undecided))
    return tuple(told)


def _inferred(text: str, findings: Iterable[Finding]) -> Sentence:
    return Sentence(text=text, basis=Basis.INFERRED, findings=tuple(finding.id for finding in findings))


def _bears(finding: Finding, functions: Iterable[ProtectiveFunction]) -> bool:
    return any(finding.id in function.findings for function in functions)


def _hangs(function: ProtectiveFunction, scenarios: tuple[InjuryScenario, ...], uses: tuple[UseJudgement, ...]) -> str:
    """Say what a result in favour of a function would move: answers that wait for it, levels that it holds up."""
    waiting = [f"“{use.name}”" for use in uses if use.answer is UseAnswer.CANNOT_JUDGE and function.id in use.untested]
    held = [
        f"'{one.title}'"
        for one in scenarios
        if function.id in one.open_functions and one.mildest.level is not one.level
    ]
    said = []
    if waiting:
        said.append(f"The answers to {listed(waiting)} wait for it.")
    if held:
        said.append(f"Shown, it would lower the upper end of the risk {listed(held)}.")
    return " ".join(said) or "Shown, it leaves the answers as they are."


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
    if function.protects is not None:
        shown = f"in these tests {good}"
        open_ = f"nobody can say from these tests whether {good}"
        return f"It acts too soon, and so for nothing; {shown if function.protects is FunctionState.SHOWN else open_}."
    match function.state:
        case FunctionState.SHOWN:
            return f"In these tests {good}."
        case FunctionState.NOT_SHOWN:
            return f"Nobody can say from these tests whether {good}."
        case FunctionState.FAULTY | FunctionState.SHOWN_ABSENT:
            return f"{bad[:1].upper()}{bad[1:]}.{practice_of(function)}"


def plain_finding(finding: Finding, functions: Iterable[ProtectiveFunction] = ()) -> str:
    """Say a finding in one sentence for a lay viewer.

    Parameters
    ----------
    finding : Finding
        The finding.
    functions : iterable of ProtectiveFunction
        As judged. What a check means as a whole is said only where those that the finding bears on are shown.

    Returns
    -------
    str
        Its own plain sentence where it has one and is not undecided, else one by its check.
    """
    good, bad = clauses_of(finding)
    match finding.outcome:
        case Outcome.WITHIN:
            whole = f" ({good})" if bears_on_shown(finding, functions) else ""
            return finding.plain or f"{finding.title}: as it should be{whole}."
        case Outcome.BEYOND:
            return finding.plain or f"{finding.title}: {bad}."
        case Outcome.UNDECIDED:
            return f"{finding.title}: these tests cannot tell whether {good}."
        case Outcome.NOT_TESTED | Outcome.NOT_APPLICABLE:
            return f"{finding.title}: this was not asked of it, or does not arise."


def bears_on_shown(finding: Finding, functions: Iterable[ProtectiveFunction]) -> bool:
    """Say whether every protective function that a finding bears on is shown.

    Parameters
    ----------
    finding : Finding
        The finding.
    functions : iterable of ProtectiveFunction
        As judged; one that is not among them counts as shown.

    Returns
    -------
    bool
        True also where it bears on none.
    """
    return all(one.state is FunctionState.SHOWN for one in functions if one.id in finding.functions)


def clauses_of(finding: Finding) -> Clauses:
    """Return how it should be and how it is where it is not so, by a finding's own words or those of its check.

    Parameters
    ----------
    finding : Finding
        The finding.

    Returns
    -------
    tuple of str
        Two clauses.
    """
    own = OF_FINDINGS.get(finding.id)
    return own or OF_CHECKS.get(finding.check, ("it is as it should be", "it is not as it should be"))


def _of_function(function: ProtectiveFunction) -> PlainSentence:
    said = Sentence(text=plain_function(function), basis=Basis.INFERRED, findings=function.findings)
    return PlainSentence(kind="function", id=function.id, sentence=said)


def _of_finding(finding: Finding, functions: tuple[ProtectiveFunction, ...]) -> PlainSentence:
    said = Sentence(text=plain_finding(finding, functions), basis=basis_of(finding), findings=(finding.id,))
    return PlainSentence(kind="finding", id=finding.id, sentence=said)


def _of_scenario(scenario: InjuryScenario) -> PlainSentence:
    findings = tuple(dict.fromkeys((*scenario.decisive, *(name for step in scenario.steps for name in step.findings))))
    return PlainSentence(
        kind="scenario", id=scenario.id, sentence=Sentence(text=scenario.plain, basis=Basis.OPINION, findings=findings)
    )


def _of_use(use: UseJudgement) -> PlainSentence:
    findings = tuple(dict.fromkeys(name for reason in use.reasons for name in reason.findings))
    said = Sentence(text=use.plain or use.because, basis=Basis.INFERRED, findings=findings)
    return PlainSentence(kind="use", id=use.id or use.name, sentence=said)
