"""In which order the work may be done, and what stops it: hold points by the findings they wait for.

Dead before live, extra-low voltage before the mains with the same question, the vehicle simulator before a car, the
whole unit before the opened one, what destroys it last. A hold point is passed where its findings are within; beyond
stops the work, and undecided is not passed. It reminds whoever works; it switches nothing off.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from coldpin.checks import all_checks
from coldpin.conclusion.functions import MAP, MISSING, NOT_APPLICABLE
from coldpin.records.finding import Finding, Outcome
from coldpin.records.plan import Stage, TestOption

ORDER = tuple(Stage)
"""The stages as they may follow each other."""

COMES_FIRST: Mapping[Stage, tuple[Stage, ...]] = {
    Stage.DEAD: (),
    Stage.EXTRA_LOW_VOLTAGE: (),
    Stage.MAINS: (Stage.DEAD,),
    Stage.SIMULATOR: (Stage.DEAD,),
    Stage.CAR: ORDER[: ORDER.index(Stage.CAR)],
    Stage.OPENED: ORDER[: ORDER.index(Stage.OPENED)],
    Stage.DESTRUCTIVE: ORDER[: ORDER.index(Stage.DESTRUCTIVE)],
}
"""Stages whose tests, so far as they are worth it and allowed, are all done before one of a stage begins.

What can be asked at extra-low voltage is asked there before the same is asked on the mains; an hour of heating need not
go before a reading on the mains that asks something else, but it goes before a car.
"""

BEFORE_MAINS = (
    "wiring.earth-through",
    "wiring.neutral-earth",
    "wiring.live-earth",
    "wiring.pilot-alone",
    "wiring.switched",
    "earth-resistance.value",
    "pilot-insulation.value",
    "housing-insulation.value",
)
"""What must be within before the mains is put on: wiring map, earth resistance, insulation."""

BEFORE_SIMULATOR = ("live-pins.uncoupled",)
"""What must be within before anything is coupled to a live unit."""

HOLD_POINTS = frozenset((*BEFORE_MAINS, *BEFORE_SIMULATOR))
"""What is measured again while it is undecided, before anything that does not wait for it is opened or destroyed."""

FORBIDS_MAINS = ("conductor-resistance.", "construction.opening", "construction.wires")
"""How the ids of findings begin that say "no power" where they are beyond; asked or not."""

FORBIDS_LOAD = (
    "conductor-joints.",
    "temperature-rise.",
    "plug-heating.",
    "conductor-hot-resistance.",
    "coding.",
    "offer-",
)
"""How the ids of findings begin that forbid the current of a car where they are beyond; asked or not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What is known: the worst outcome of each finding that holds for the closed unit, and the checks set aside.

    ``low`` are ids of what was read on another supply than the mains and is undecided.
    """

    worst: Mapping[str, Outcome]
    titles: Mapping[str, str]
    beyond: tuple[str, ...]
    aside: frozenset[str]
    decisive: tuple[str, ...]
    low: frozenset[str] = frozenset()

    def within(self, name: str) -> bool:
        """Say whether a finding is within, or of a check that does not apply.

        Parameters
        ----------
        name : str
            Id of the finding.

        Returns
        -------
        bool
            False where it is open, undecided or beyond.
        """
        return self.worst.get(name) is Outcome.WITHIN or self.put_aside(name)

    def answered(self, name: str) -> bool:
        """Say whether there is an answer at all, if only "undecided".

        Parameters
        ----------
        name : str
            Id of the finding.

        Returns
        -------
        bool
            True also where its check does not apply.
        """
        return name in self.worst or self.put_aside(name)

    def undecided(self, name: str) -> bool:
        """Say whether a finding was measured and is too uncertain to say.

        Parameters
        ----------
        name : str
            Id of the finding.

        Returns
        -------
        bool
            False where it is open, within or beyond.
        """
        return self.worst.get(name) in (Outcome.UNDECIDED, Outcome.NOT_TESTED)

    def put_aside(self, name: str) -> bool:
        """Say whether a finding is of a check that does not apply to such a unit.

        Parameters
        ----------
        name : str
            Id of the finding.

        Returns
        -------
        bool
            True where there is nothing to ask.
        """
        return name.split(".")[0] in self.aside


_GRAVER = {Outcome.BEYOND: 2, Outcome.UNDECIDED: 1, Outcome.NOT_TESTED: 1, Outcome.WITHIN: 0}


def known(findings: Iterable[Finding]) -> Known:
    """Gather what is known from the findings.

    Parameters
    ----------
    findings : iterable of Finding
        All findings of the case.

    Returns
    -------
    Known
        The worst outcome of each. What does not hold for the closed unit is left out, and so is what another supply
        left undecided: it says nothing of the unit on its mains.
    """
    worst: dict[str, Outcome] = {}
    titles: dict[str, str] = {}
    beyond: list[str] = []
    aside: set[str] = set()
    low: set[str] = set()
    decisive: list[str] = []
    for finding in findings:
        if finding.outcome is Outcome.UNDECIDED and finding.supply:
            low.add(finding.id)
            continue
        if finding.outcome is Outcome.NOT_APPLICABLE:
            if finding.id == f"{finding.check}.{NOT_APPLICABLE}":
                aside.add(finding.check)
            else:
                worst.setdefault(finding.id, Outcome.WITHIN)
            continue
        if not finding.transfers:
            continue
        held = worst.get(finding.id)
        if held is None or _GRAVER[finding.outcome] > _GRAVER[held]:
            worst[finding.id] = finding.outcome
        titles.setdefault(finding.id, finding.title)
        if finding.outcome is Outcome.BEYOND:
            beyond.append(finding.id)
            if finding.decisive:
                decisive.append(finding.id)
    return Known(
        worst=worst,
        titles=titles,
        beyond=tuple(dict.fromkeys(beyond)),
        aside=frozenset(aside),
        decisive=tuple(dict.fromkeys(decisive)),
        low=frozenset(low),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """What stands before a test: findings still ``wanted``, ``undecided`` ones, and hold points that ``failed``.

    The first two are ids, the last is in words: what failed stops the work, what is undecided is measured again.
    """

    wanted: tuple[str, ...]
    failed: tuple[str, ...]
    undecided: tuple[str, ...] = ()

    @property
    def clear(self) -> bool:
        """Whether nothing stands before it."""
        return not (self.wanted or self.failed or self.undecided)


def left_open(options: Iterable[TestOption], seen: Known, without: Collection[str]) -> tuple[TestOption, ...]:
    """Return the tests left out without which a hold point stays open: no other test that is left can pass it.

    Parameters
    ----------
    options : iterable of TestOption
        All tests that such a unit can be put to.
    seen : Known
        What is known.
    without : collection of str
        Ids of the tests that are not to be done.

    Returns
    -------
    tuple of TestOption
        None where every hold point is within, beyond (which stops the work by itself), or can still be read.
    """
    found: dict[str, TestOption] = {}
    for name in (*BEFORE_MAINS, *BEFORE_SIMULATOR):
        if seen.within(name) or (seen.answered(name) and not seen.undecided(name)):
            continue
        # what is needless once the map is within can fail a hold point and not pass it
        answering = [option for option in options if name in option.answers and not option.needless_after]
        if answering and all(option.test in without for option in answering):
            found.update((option.test, option) for option in answering)
    return tuple(found.values())


def waits_for(option: TestOption) -> tuple[str, ...]:
    """Return the findings that must be within before a test begins.

    Parameters
    ----------
    option : TestOption
        The test.

    Returns
    -------
    tuple of str
        Ids; none for dead work that asks for nothing itself.
    """
    coupled = option.live and option.stage not in (Stage.MAINS, Stage.EXTRA_LOW_VOLTAGE)
    asked = (*(BEFORE_MAINS if option.live else ()), *(BEFORE_SIMULATOR if coupled else ()), *option.after)
    return tuple(name for name in dict.fromkeys(asked) if name not in option.answers)


def stands_before(option: TestOption, seen: Known) -> Held:
    """Return what stands before a test.

    Parameters
    ----------
    option : TestOption
        The test.
    seen : Known
        What is known.

    Returns
    -------
    Held
        Findings that are wanted or undecided, and hold points that failed.
    """
    wanted: list[str] = []
    undecided: list[str] = []
    failed: list[str] = list(forbidden(option, seen))
    for name in waits_for(option):
        if seen.within(name):
            continue
        if name not in seen.worst:
            wanted.append(name)
        elif seen.undecided(name):
            undecided.append(name)
        else:
            failed.append(f"'{seen.titles[name]}' is beyond")
    return Held(wanted=tuple(wanted), failed=tuple(dict.fromkeys(failed)), undecided=tuple(undecided))


def forbidden(option: TestOption, seen: Known) -> tuple[str, ...]:
    """Return the findings that forbid a test, in words.

    Parameters
    ----------
    option : TestOption
        The test.
    seen : Known
        What is known.

    Returns
    -------
    tuple of str
        Empty for work without the mains.
    """
    if not option.live:
        return ()
    starts = (*FORBIDS_MAINS, *(FORBIDS_LOAD if option.stage is Stage.CAR else ()))
    names = [name for name in seen.beyond if name.startswith(starts) or name in _no_power(seen)]
    return tuple(dict.fromkeys(f"'{seen.titles[name]}' is beyond" for name in names))


def _no_power(seen: Known) -> tuple[str, ...]:
    """Return what concludes alone, but for an offer that is too high, which harms nobody while no car draws it."""
    return tuple(name for name in seen.decisive if not name.startswith("offer-"))


def failed_hold_points(seen: Known) -> tuple[str, ...]:
    """Return the hold points before the mains that failed, in words.

    Parameters
    ----------
    seen : Known
        What is known.

    Returns
    -------
    tuple of str
        Empty where none failed.
    """
    asked = (*BEFORE_MAINS, *_no_power(seen))
    named = [name for name in seen.beyond if name in asked or name.startswith(FORBIDS_MAINS)]
    return tuple(dict.fromkeys(f"No work with the mains: '{seen.titles[name]}' is beyond." for name in named))


def what(name: str) -> str:
    """Say in words what a finding asks for.

    Parameters
    ----------
    name : str
        Id of a finding.

    Returns
    -------
    str
        Such as "the earth resistance"; where there are no words for it, the title of its check.

    Examples
    --------
    >>> what("earth-resistance.value")
    'the earth resistance'
    >>> what("markings.plate")
    "the answer of 'Markings and papers'"
    """
    said = MISSING.get(name, MAP if name.startswith("wiring.") else "")
    check = name.split(".")[0]
    return said or f"the answer of '{next((one.title for one in all_checks() if one.id == check), check)}'"
