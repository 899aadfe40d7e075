"""What may be said in public, what may not, and on what each sentence rests."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from coldpin.conclusion.functions import WITHOUT_PARENT
from coldpin.conclusion.lay_words import practice_of
from coldpin.records.assessment import Basis, Conclusion, NotTested, Problem, Sentence
from coldpin.records.case import CaseDescription
from coldpin.records.finding import Finding, Outcome, Reach, Standing
from coldpin.records.function import FunctionState, ProtectiveFunction


def conclude(
    case: CaseDescription,
    findings: Iterable[Finding],
    functions: Iterable[ProtectiveFunction],
    not_tested: Iterable[NotTested],
    problems: Iterable[Problem] = (),
) -> Conclusion:
    """Put the findings into sentences, each tagged with what it rests on; decisive findings conclude alone.

    Parameters
    ----------
    case : CaseDescription
        For the names.
    findings : iterable of Finding
        All findings.
    functions : iterable of ProtectiveFunction
        The functions as judged.
    not_tested : iterable of NotTested
        What was not tested.
    problems : iterable of Problem
        What was given and could not be used; the headline says how much, for it might have said otherwise.

    Returns
    -------
    Conclusion
        Headline, what may and may not be said, what was done well.
    """
    found, judged, open_checks = tuple(findings), tuple(functions), tuple(not_tested)
    concluding = (finding for finding in found if finding.decisive and finding.outcome is Outcome.BEYOND)
    decisive = tuple(sorted(concluding, key=_told_first))
    return Conclusion(
        headline=_with_unused(_headline(case, decisive, found, judged), tuple(problems)),
        may_say=tuple(_sentence(case, finding) for finding in found if finding.outcome is Outcome.BEYOND)
        + _absent(case, judged, found)
        + _undecided(found),
        may_not_say=_may_not_say(case, found, judged, open_checks),
        decisive=tuple(finding.id for finding in decisive),
        done_well=tuple(
            _sentence(case, finding)
            for finding in found
            if finding.outcome is Outcome.WITHIN and not finding.remarks and finding.id not in _TELLS_ONLY
        ),
    )


def _told_first(finding: Finding) -> int:
    return _TOLD_FIRST.index(finding.check) if finding.check in _TOLD_FIRST else len(_TOLD_FIRST)


MOST_NAMED = 8
"""Ours: so many open functions are named in a headline; of more it tells the number, and the chapter of what may not be
said names each. [functions]"""

_TOLD_FIRST = ("live-pins", "wiring", "earth-resistance", "pilot-insulation", "live-access")
"""Of decisive findings what kills first is told first: live pins, an open earth, mains on the pilot, a live part."""

_TELLS_ONLY = ("coding.band", "pilot-meaning.zone", "plugged-in-asking.output", "wake-up.output", "restart.by-itself")
"""What these findings tell is no merit: a lead may well say 32 A that bears 16 A."""


def _name(case: CaseDescription) -> str:
    return f"{case.specimen.make} {case.specimen.model}"


def basis_of(finding: Finding) -> Basis:
    """Return what the statement of a finding rests on.

    Parameters
    ----------
    finding : Finding
        The finding.

    Returns
    -------
    Basis
        Inferred where it was reckoned for what was not tried, or is an estimate of what the metal is; else measured
        with a number and observed without one.
    """
    if finding.reckoned or finding.metal is not None:
        return Basis.INFERRED
    return Basis.MEASURED if finding.quantity is not None else Basis.OBSERVED


def _of(case: CaseDescription, reach: Reach | None) -> str:
    if reach is Reach.CONSTRUCTION:
        return f"Any unit built like this {_name(case)}: "
    return f"On this specimen of the {_name(case)}: "


def _sentence(case: CaseDescription, finding: Finding) -> Sentence:
    return Sentence(text=_reached(case, finding), basis=basis_of(finding), findings=(finding.id,))


def _reached(case: CaseDescription, finding: Finding) -> str:
    """Say what holds by construction of every unit, and the number of the one that was measured."""
    number = finding.statement.removeprefix(finding.plain).strip()
    if finding.reach is Reach.CONSTRUCTION and finding.quantity is not None and finding.plain and number:
        plain = _within_sentence(finding.plain)
        return f"{_of(case, Reach.CONSTRUCTION)}{plain} {_of(case, Reach.SPECIMEN)}{_within_sentence(number)}"
    if finding.reach is Reach.CONSTRUCTION and finding.quantity is not None and finding.transfers:
        built = f"On this specimen of the {_name(case)}, whose construction any unit built like it shares: "
        return built + _within_sentence(finding.statement)
    where = "" if finding.transfers else f"found on {_FED[finding.supply.split(', ')[0]]}, not on the closed unit: "
    return _of(case, finding.reach) + where + _within_sentence(finding.statement)


_FED = {"extra-low voltage": "an extra-low voltage supply", "board on bench supply": "the board, fed from the bench"}


def _absent(
    case: CaseDescription, functions: tuple[ProtectiveFunction, ...], findings: tuple[Finding, ...]
) -> tuple[Sentence, ...]:
    """Say which functions are not there: those that fell with another one together, the others each by its ground."""
    absent = [function for function in functions if function.state is FunctionState.SHOWN_ABSENT]
    fallen: dict[tuple[str, Reach | None], list[ProtectiveFunction]] = {}
    for function in absent:
        if function.because.startswith(WITHOUT_PARENT):
            fallen.setdefault((function.because, function.reach), []).append(function)
    own = tuple(
        _function_sentence(case, function, findings)
        for function in absent
        if not function.because.startswith(WITHOUT_PARENT)
    )
    return own + tuple(_fallen_sentence(case, together) for together in fallen.values())


def _function_sentence(case: CaseDescription, function: ProtectiveFunction, findings: tuple[Finding, ...]) -> Sentence:
    ground = next((finding for finding in findings if finding.statement == function.because), None)
    # the ground is a sentence of its own already
    why = f": see '{_within_sentence(ground.title)}'." if ground is not None else f". {function.because}"
    return Sentence(
        text=f"{_of(case, function.reach)}the function '{function.title}' is not there{why}{practice_of(function)}",
        basis=Basis.INFERRED,
        findings=function.findings,
    )


def _fallen_sentence(case: CaseDescription, together: list[ProtectiveFunction]) -> Sentence:
    names = [f"'{function.title}'" for function in together]
    listed = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    are = "the function {0} is not there; it needs" if len(names) == 1 else "the functions {0} are not there; they need"
    needed = together[0].because.removeprefix(WITHOUT_PARENT).removesuffix(" is absent.")
    return Sentence(
        text=f"{_of(case, together[0].reach)}{are.format(listed)} {needed}, which is absent.",
        basis=Basis.INFERRED,
        findings=tuple(dict.fromkeys(name for function in together for name in function.findings)),
    )


def _titles(titled: Iterable[Finding | NotTested | ProtectiveFunction]) -> str:
    return ", ".join(_within_sentence(one.title) for one in titled)


def _within_sentence(text: str) -> str:
    """Return a text as it stands inside a sentence: its first letter small, but not that of a symbol."""
    return text if text[1:2].isupper() or not text[1:2].strip() else text[:1].lower() + text[1:]


def _undecided(findings: tuple[Finding, ...]) -> tuple[Sentence, ...]:
    open_ones = [finding for finding in findings if finding.outcome is Outcome.UNDECIDED]
    if not open_ones:
        return ()
    titles = _titles(open_ones)
    return (
        Sentence(
            text=f"Tried, but too uncertain to say: {titles}.",
            basis=Basis.INFERRED,
            findings=tuple(finding.id for finding in open_ones),
        ),
    )


def beside_functions(finding: Finding) -> bool:
    """Say whether a finding speaks against a unit though no protective function hangs on it, such as a loose cord.

    Parameters
    ----------
    finding : Finding
        The finding.

    Returns
    -------
    bool
        Whether it is beyond what is asked, on the closed unit, as a duty.
    """
    return finding.outcome is Outcome.BEYOND and finding.duty and finding.transfers and not finding.functions


def _headline(
    case: CaseDescription,
    decisive: tuple[Finding, ...],
    findings: tuple[Finding, ...],
    functions: tuple[ProtectiveFunction, ...],
) -> Sentence:
    name = _name(case)
    if decisive:
        reasons = " ".join(dict.fromkeys(finding.plain or finding.statement for finding in decisive))
        return Sentence(
            text=f"{name}: advised against. {reasons}",
            basis=Basis.INFERRED,
            findings=tuple(finding.id for finding in decisive),
        )
    wanting = [f for f in functions if f.duty and f.state in (FunctionState.SHOWN_ABSENT, FunctionState.FAULTY)]
    open_ones = [function for function in functions if function.state is FunctionState.NOT_SHOWN]
    beside = [one for one in findings if beside_functions(one)]
    if wanting or beside:
        listed = [f"{_within_sentence(function.title)}: {_STATE_WORD[function.state]}" for function in wanting]
        listed += [_within_sentence(finding.title) for finding in beside]
        grounds = [*(name for function in wanting for name in function.findings), *(one.id for one in beside)]
        return Sentence(
            text=f"{name}: not recommended until these findings are answered ({'; '.join(listed)}).",
            basis=Basis.INFERRED,
            findings=tuple(dict.fromkeys(grounds)),
        )
    if not any(finding.outcome is Outcome.WITHIN for finding in findings):
        tried = [finding.id for finding in findings if finding.outcome is Outcome.UNDECIDED]
        so_far = "what was tried decides nothing yet" if tried else "nothing was tested yet"
        return Sentence(text=f"{name}: {so_far}, so nothing can be said.", basis=Basis.OBSERVED, findings=tuple(tried))
    tail = f"; not shown yet: {_open(open_ones, len(functions))}" if open_ones else ""
    return Sentence(
        text=f"{name}: no objection found in the tests done so far{tail}.",
        basis=Basis.INFERRED,
        findings=tuple(finding.id for finding in findings if finding.outcome is Outcome.WITHIN),
    )


def _open(open_ones: list[ProtectiveFunction], count: int) -> str:
    """Name the functions that are open where they are few, else count them: nobody reads a headline of twenty names."""
    if len(open_ones) <= MOST_NAMED:
        return _titles(open_ones)
    return f"{len(open_ones)} of {count} protective functions"


def _with_unused(headline: Sentence, problems: tuple[Problem, ...]) -> Sentence:
    """Say in the headline that something given could not be used: what was left out may have been the worst of it."""
    if not problems:
        return headline
    one = len(problems) == 1
    said = "One thing given was" if one else f"{len(problems)} things given were"
    return replace(
        headline, text=f"{headline.text} {said} not used and had no part in this: see what could not be used."
    )


_STATE_WORD = {FunctionState.SHOWN_ABSENT: "absent", FunctionState.FAULTY: "faulty"}


def _findings(count: int) -> str:
    return "one finding is" if count == 1 else f"{count} findings are"


def _may_not_say(
    case: CaseDescription,
    findings: tuple[Finding, ...],
    functions: tuple[ProtectiveFunction, ...],
    not_tested: tuple[NotTested, ...],
) -> tuple[str, ...]:
    said = [
        (
            f"That other specimens of the {_name(case)} have the same values: one was measured. Only what holds by "
            "construction may be said of any unit built like it."
        ),
        "That the unit meets or breaks a standard or a law: nobody here can decide that.",
    ]
    weak = [f for f in findings if f.limit is not None and f.limit.standing is not Standing.STANDARD]
    if weak:
        said.append(
            f"That the unit breaks a limit of a standard: {_findings(len(weak))} judged against limits known from "
            "secondary texts, memory or declarations. Say the measured value, the limit as known, and how it is known."
        )
    open_ones = [function for function in functions if function.state is FunctionState.NOT_SHOWN]
    if open_ones:
        titles = _titles(open_ones)
        said.append(f"That these work, or that they do not: {titles}. They were not shown either way.")
    if not_tested:
        said.append(f"Anything about what was not tested: {_titles(not_tested)}.")
    return tuple(said)
