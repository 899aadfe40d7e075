"""Residual currents: does the unit switch off in time, at which current, and does it hold where it must."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from coldpin.checks.check import Bearing, Check, Need, Procedure, Transfer, always
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import budget_lines
from coldpin.checks.residual_bench import ALTERNATING_BENCH, PULSATING_BENCH, SMOOTH_BENCH
from coldpin.checks.residual_device import JudgedDevice, device_of
from coldpin.checks.residual_operations import trip_operations
from coldpin.protection.trip_test import judge_trips, never_acted
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.residual_words import RESIDUAL_CAPTURE, TRIP_CURRENT, TRIP_TIME
from coldpin.records.trip_test import ResidualKind, RowRole, TripPlacement, TripTest
from coldpin.standards.residual_current import HELD

ON_MAINS = Transfer(why="its contacts were not seen to open on the mains")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """One form of residual current: the check, the function it bears on, and how it is called."""

    kind: ResidualKind
    check: str
    title: str
    question: str
    bench: Procedure
    limits: tuple[str, ...]
    bears: Bearing


_ASKED = (
    _Asked(
        kind=ResidualKind.ALTERNATING,
        check="residual-alternating",
        title="Alternating residual current",
        question="Does it switch off in time when alternating current flows to earth, and hold at half the rated one?",
        bench=ALTERNATING_BENCH,
        limits=(
            *("residual-current.general.", "residual-current.in-cable.", "residual-current.half"),
            *("residual-current.inverse.", "residual-current.class-a.", "residual-current.ccid20."),
        ),
        bears=Bearing(function="residual-current", within_if_works=0.97, within_if_not=0.1),
    ),
    _Asked(
        kind=ResidualKind.PULSATING,
        check="residual-pulsating",
        title="Pulsating direct residual current",
        question="Does it switch off in time when the current to earth comes in half waves of either polarity?",
        bench=PULSATING_BENCH,
        limits=("residual-current.pulsating.",),
        bears=Bearing(function="residual-pulsating", within_if_works=0.97, within_if_not=0.1),
    ),
    _Asked(
        kind=ResidualKind.SMOOTH,
        check="residual-smooth",
        title="Smooth direct residual current",
        question="Does it switch off at a smooth direct current of 6 mA, of either polarity, and hold at 3 mA?",
        bench=SMOOTH_BENCH,
        limits=("residual-current.smooth.", "residual-current.smooth-b."),
        bears=Bearing(function="residual-smooth", within_if_works=0.97, within_if_not=0.1),
    ),
)

LEFT = "The unit does not claim to see this: the installation must have the device then."


def trip_test(bench: BenchEvidence, kind: ResidualKind) -> TripTest | None:
    """Return the test of a specimen with one form of residual current.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    kind : ResidualKind
        The form.

    Returns
    -------
    TripTest or None
        None where nothing of it was recorded.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read, or one that is needed is missing.
    CaseError
        A claim cannot be read.
    InputError
        An own value of the case leaves a limit without its number.
    """
    operations = trip_operations(bench, kind)
    return judge_trips(operations, device_of(bench).device, kind, bench.book) if operations else None


def _run(asked: _Asked) -> Callable[[BenchEvidence], tuple[Finding, ...]]:
    def run(bench: BenchEvidence) -> tuple[Finding, ...]:
        test = trip_test(bench, asked.kind)
        if test is None:
            return ()
        judged = device_of(bench)
        if not test.placements:
            return (_told(asked, test, judged),)
        absent = never_acted(test)
        return tuple(_finding(asked, test, placed, judged, absent=absent) for placed in test.placements)

    return run


def _told(asked: _Asked, test: TripTest, judged: JudgedDevice) -> Finding:
    """Tell operations that no row asks for: at currents between rows, or of a form that need not be seen."""
    said = test.remarks or (f"No current that is asked of {judged.device.name} was put on.",)
    return Finding(
        id=f"{asked.check}.told",
        check=asked.check,
        title=asked.title,
        statement=" ".join(said),
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(),
        evidence=_entries(test),
        duty=False,
    )


def _finding(asked: _Asked, test: TripTest, placed: TripPlacement, judged: JudgedDevice, *, absent: bool) -> Finding:
    beyond = placed.outcome is Outcome.BEYOND
    acted = placed.worst is None or placed.worst.tripped
    entries = tuple(dict.fromkeys((*((placed.worst.entry,) if placed.worst else ()), *_entries(test))))
    duty = judged.duty(asked.kind)
    by = f"Judged as a device of {judged.device.name}: {judged.device.said_by}."
    return Finding(
        id=f"{asked.check}.{placed.row.name}",
        check=asked.check,
        title=f"{asked.title}, {placed.row.title}",
        statement=placed.statement,
        plain=_plain(asked, placed),
        outcome=placed.outcome,
        reach=Reach.SPECIMEN,
        functions=(asked.bears.function,) if duty or not beyond else (),
        quantity=placed.measured if acted or placed.row.role is RowRole.HOLD else None,
        answer="" if acted or placed.row.role is RowRole.HOLD else "did not act",
        limit=placed.limit,
        probability=placed.probability,
        rule="confidence",
        absence=absent and beyond and duty,
        evidence=entries,
        worst_of=max(placed.operations, 1),
        budget=budget_lines(placed.measured) if placed.measured is not None and acted else (),
        remarks=tuple(filter(None, (by, "" if duty else LEFT, judged.remark, *test.remarks, _all_told(placed)))),
        duty=duty,
        early=placed.early,
    )


def _entries(test: TripTest) -> tuple[str, ...]:
    return tuple(dict.fromkeys(operation.entry for operation in test.operations if operation.entry))


def _all_told(placed: TripPlacement) -> str:
    return f"{placed.operations} operations at this current." if placed.operations > 1 else ""


_FORMS = {
    ResidualKind.ALTERNATING: "alternating current leaks to earth",
    ResidualKind.PULSATING: "current leaks to earth in half waves",
    ResidualKind.SMOOTH: "smooth direct current leaks to earth",
}


def _plain(asked: _Asked, placed: TripPlacement) -> str:
    """Say a placement in one sentence for a lay viewer."""
    form = _FORMS[asked.kind]
    if placed.outcome is Outcome.UNDECIDED:
        return ""
    if placed.row.name == HELD:
        does = "stays on" if placed.outcome is Outcome.WITHIN else "switches off for nothing"
        return f"When a little {form}, as in ordinary use, it {does}."
    if placed.row.role is RowRole.RISE:
        where = "where it should" if placed.outcome is Outcome.WITHIN else "not where it should"
        return f"When {form} more and more, it switches off {where}."
    if placed.outcome is Outcome.WITHIN:
        return f"When {form}, it switches off in time."
    return f"When {form}, it does not switch off{' in time' if placed.worst is None or placed.worst.tripped else ''}."


def _check(asked: _Asked) -> Check:
    return Check(
        id=asked.check,
        title=asked.title,
        question=asked.question,
        needs=(),
        any_of=(
            Need(shows=TRIP_TIME[asked.kind]),
            Need(shows=TRIP_CURRENT[asked.kind]),
            Need(shows=RESIDUAL_CAPTURE, conditions={"form": ("", asked.kind.value)}),
        ),
        bench=asked.bench,
        limits=asked.limits,
        run=_run(asked),
        bears=(asked.bears,),
        figures=("times to trip",),
        transfer=ON_MAINS,
        applies=always,
    )


ALTERNATING, PULSATING, SMOOTH = (_check(asked) for asked in _ASKED)
