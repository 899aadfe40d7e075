"""The plan of the bench from here on, and its sheet: the advice followed in thought, as if nothing were found."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path

from coldpin.casefile.storage import write_over
from coldpin.checks import Check, stop_limits
from coldpin.checks.bench_tests import find_test
from coldpin.checks.cautions import GENERAL
from coldpin.conclusion import advise
from coldpin.conclusion.next_test import done, suppose_within
from coldpin.conclusion.safety_order import known
from coldpin.quantity import format_quantity
from coldpin.records.assessment import Assessment
from coldpin.records.case import CaseDescription
from coldpin.records.finding import Outcome
from coldpin.records.plan import (
    BenchPlan,
    NextTest,
    PlannedTest,
    RankedTest,
    SimulatorSetting,
    Stage,
    TestOption,
    place_of,
)
from coldpin.records.vehicle_simulator import Network, VehicleSimulator
from coldpin.report.bench_sheet import build_bench_sheet
from coldpin.report.pdf import render_pdf
from coldpin.report.simulator_sheet import position_cells
from coldpin.standards.book import load_book
from coldpin.standards.editions import Edition
from coldpin.workbench.advising import advise_on, fault_modes, ids_of_tests, not_working, options_of, so_far
from coldpin.workbench.bench_boxes import boxes_of, claims_box
from coldpin.workbench.drafting import assessment_of
from coldpin.workbench.simulator_plan import plan_vehicle_simulator

USED_BY = {
    "live-pins": ("A", "B", "C"),
    "supply-return": ("A", "C"),
    "pilot-levels": ("A", "B", "C", "D"),
    "diode-before-closing": ("C, diode bridged", "C"),
    "recognition-boundaries": ("C", "B low", "B high", "C low", "C high"),
    "ventilation": ("B", "C", "D"),
    "pilot-short": ("C", "C, 80 Ω across", "short behind diode"),
    "diode-loss": ("C", "C, diode bridged"),
    "opening-unplugged": ("C", "A"),
    "opening": ("B", "C"),
    "closing": ("B", "C"),
    "wake-up": ("B", "C"),
    "earth-loss": ("C",),
    "earth-missing": ("C",),
    "offer-withdrawal": ("C",),
    "offer-interval": ("B",),
    "restart": ("C",),
    "residual-alternating": ("C",),
    "residual-pulsating": ("C",),
    "residual-smooth": ("C",),
    "touch-current": ("A", "C"),
    "plug-discharge": (),
    "standby-power": (),
}
"""Positions of the vehicle simulator that a test sets, where these are not A, B and C."""

USUAL = ("A", "B", "C")

NOTES = (
    "The plan supposes that no test finds anything. Each entry makes it an old one: 'coldpin plan' computes it anew.",
    "A tick is a reminder, not an interlock: nothing here switches anything off.",
)


def plan_bench(
    folder: Path | str,
    *,
    minutes: int | None = None,
    one_place: bool = False,
    without: Iterable[str] = (),
    progress: Callable[[float], None] | None = None,
) -> BenchPlan:
    """Plan the tests of a case from here on. Nothing is written.

    Parameters
    ----------
    folder : Path or str
        The case.
    minutes : int, optional
        No test begins that would end later than this; all where left out. [min]
    one_place : bool
        Whether the plan ends where the work changes: from without the mains to with it, to a car, to the opened unit.
    without : iterable of str
        Tests or checks that are not to be done, by id.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.

    Returns
    -------
    BenchPlan
        The tests in their order, with cautions, hold points, stop values and boxes.

    Raises
    ------
    CaseError
        The case itself cannot be read.
    UnknownName
        There is no such test.
    """
    left_out = ids_of_tests(without)
    whole = plan_after(assessment_of(folder, progress=progress), folder=str(folder), without=left_out)
    return shortened(whole, minutes=minutes, one_place=one_place)


def plan_after(
    assessment: Assessment,
    *,
    folder: str,
    without: Iterable[str] = (),
    progress: Callable[[float], None] | None = None,
) -> BenchPlan:
    """Plan the tests after an assessment, all of them.

    Parameters
    ----------
    assessment : Assessment
        The case as it stands.
    folder : str
        The case, as it is typed into the lines of the boxes.
    without : iterable of str
        Ids of tests that are not to be done.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.

    Returns
    -------
    BenchPlan
        The tests in their order.
    """
    left_out = tuple(without)
    steps, last = _followed(assessment, left_out, progress=progress)
    simulator = plan_vehicle_simulator(edition=Edition(assessment.edition))
    planned: list[PlannedTest] = []
    for ranked, option in steps:
        until = ranked.minutes + (planned[-1].until_minutes if planned else 0)
        planned.append(_planned(ranked, option, len(planned) + 1, until, assessment, simulator, folder=folder))
    now = advise_on(assessment, without=left_out)
    return BenchPlan(
        schema="coldpin.plan/1",
        case=assessment.title,
        folder=folder,
        stands_at=max((entry.recorded for entry in assessment.entries), default=""),
        conclusion_now=so_far(assessment),
        minutes=sum(ranked.minutes for ranked, _ in steps),
        tests=tuple(planned),
        left_out=0,
        because=now.because if not steps else last.because,
        stopped=now.stopped,
        cautions=GENERAL,
        simulator=f"Levels at a nominal generator, {simulator.edition_title}; prove the simulator by meter before use: "
        "coldpin vehicle-simulator.",
        notes=(made_from(assessment), *NOTES),
        problems=assessment.problems,
    )


def shortened(plan: BenchPlan, *, minutes: int | None = None, one_place: bool = False) -> BenchPlan:
    """Return the beginning of a plan: what fits into the time, or what is done before the work changes its place.

    Parameters
    ----------
    plan : BenchPlan
        The whole plan.
    minutes : int, optional
        No test begins that would end later than this; all where left out. [min]
    one_place : bool
        Whether the plan ends where the work changes: from without the mains to with it, to a car, to the opened unit.

    Returns
    -------
    BenchPlan
        With the count of the tests that are left out.
    """
    fitting: list[PlannedTest] = []
    for test in plan.tests:
        if minutes is not None and test.until_minutes > minutes:
            break
        if one_place and place_of(test.stage) is not place_of(plan.tests[0].stage):
            break
        fitting.append(test)
    return replace(
        plan,
        tests=tuple(fitting),
        minutes=fitting[-1].until_minutes if fitting else 0,
        left_out=plan.left_out + len(plan.tests) - len(fitting),
    )


def made_from(assessment: Assessment) -> str:
    """Say from what record a plan was made, so that a sheet is not taken for one of another day.

    Parameters
    ----------
    assessment : Assessment
        The case as it stands.

    Returns
    -------
    str
        One sentence.
    """
    entries = assessment.entries
    version = f"coldpin {assessment.program_version}"
    if not entries:
        return f"Made by {version} from a record without entries."
    last = max(entries, key=lambda entry: entry.recorded)
    count = "1 entry" if len(entries) == 1 else f"{len(entries)} entries"
    return f"Made by {version} from {count}, the last of them {last.id}."


def next_with_steps(
    folder: Path | str, *, without: Iterable[str] = (), progress: Callable[[float], None] | None = None
) -> tuple[NextTest, PlannedTest | None]:
    """Say which test of a case to do next, and how it is done. Nothing is written.

    Parameters
    ----------
    folder : Path or str
        The case.
    without : iterable of str
        Tests or checks that are not to be done, by id.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.

    Returns
    -------
    tuple of NextTest and PlannedTest
        The advice, and the test with cautions, steps and boxes; None where no test is worth it.

    Raises
    ------
    CaseError
        The case itself cannot be read.
    UnknownName
        There is no such test.
    """
    left_out = ids_of_tests(without)
    return next_after(assessment_of(folder, progress=progress), folder=str(folder), without=left_out)


def next_after(
    assessment: Assessment, *, folder: str, without: Iterable[str] = ()
) -> tuple[NextTest, PlannedTest | None]:
    """Say which test to do next after an assessment, and how it is done.

    Parameters
    ----------
    assessment : Assessment
        The case as it stands.
    folder : str
        The case, as it is typed into the lines of the boxes.
    without : iterable of str
        Ids of tests that are not to be done.

    Returns
    -------
    tuple of NextTest and PlannedTest
        The advice, and the test with cautions, steps and boxes; None where no test is worth it.
    """
    told = advise_on(assessment, without=without)
    if told.next is None:
        return told, None
    option = next(one for one in options_of(assessment) if one.test == told.next.test)
    simulator = plan_vehicle_simulator(edition=Edition(assessment.edition))
    return told, _planned(told.next, option, 1, told.next.minutes, assessment, simulator, folder=folder)


def write_bench_sheet(plan: BenchPlan, path: Path | str) -> Path:
    """Write a plan as PDF, to be taken to the bench and written on.

    Parameters
    ----------
    plan : BenchPlan
        What :func:`plan_bench` returned.
    path : Path or str
        The file.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    StorageError
        The disk refuses it, or the folder is not there.
    """
    target = Path(path)
    write_over(target, sheet_of(plan), what="the bench sheet")
    return target


def sheet_of(plan: BenchPlan) -> bytes:
    """Return a plan as PDF, to be taken to the bench and written on.

    Parameters
    ----------
    plan : BenchPlan
        What :func:`plan_bench` returned.

    Returns
    -------
    bytes
        The PDF.
    """
    return render_pdf(build_bench_sheet(plan))


def _followed(
    assessment: Assessment, without: tuple[str, ...], *, progress: Callable[[float], None] | None = None
) -> tuple[list[tuple[RankedTest, TestOption]], NextTest]:
    """Follow the advice, each test supposed to find nothing, until no test is worth it."""
    chances = not_working(load_book().with_own(assessment.case.constants))
    unit, findings, options = assessment.case.unit, assessment.findings, options_of(assessment)
    steps: list[tuple[RankedTest, TestOption]] = []
    while True:
        if progress:
            progress(len(steps) / len(options))
        told = advise(unit, findings, options, chances, fault_modes(), without=without)
        if told.next is None:
            return steps, told
        option = next(one for one in options if one.test == told.next.test)
        steps.append((told.next, option))
        supposed = suppose_within(option, known(findings))
        ids = {finding.id for finding in supposed}
        kept = (one for one in findings if one.id not in ids or one.outcome is not Outcome.UNDECIDED)
        findings = (*kept, *supposed)
        options = tuple(done(one) if one is option else one for one in options)


def _planned(
    ranked: RankedTest,
    option: TestOption,
    number: int,
    until: int,
    assessment: Assessment,
    simulator: VehicleSimulator,
    *,
    folder: str,
) -> PlannedTest:
    test = find_test(ranked.test)
    procedure = test.procedure
    limits = stop_limits(procedure.stop_limits, load_book().with_own(assessment.case.constants))
    claims = _claims_asked(test.checks, option, assessment.case)
    boxes = (
        ()
        if option.claims
        else boxes_of(
            test, assessment.case.unit, option.open or option.checks, folder=folder, who=assessment.case.tester
        )
    )
    with_simulator = ranked.stage is Stage.SIMULATOR or test.id == "live-pins"
    return PlannedTest(
        number=number,
        test=ranked.test,
        title=ranked.title,
        question=ranked.question,
        why=_tells(ranked),
        stage=ranked.stage,
        live=test.live,
        minutes=ranked.minutes,
        until_minutes=until,
        instrument=procedure.instrument,
        cautions=procedure.cautions,
        hold_points=procedure.hold_points,
        steps=_steps(claims, option, procedure.steps),
        stop_values=(*procedure.stop_values, *limits),
        repeats=procedure.repeats,
        transfers=procedure.transfers,
        simulator=_settings(simulator, USED_BY.get(test.id, USUAL)) if with_simulator else (),
        claims=option.claims,
        boxes=(*((claims_box(claims),) if claims else ()), *boxes),
    )


def _tells(ranked: RankedTest) -> str:
    told = f"Tells {', '.join(ranked.would_answer)}." if ranked.would_answer else ""
    alone = "What it finds may conclude alone." if ranked.concludes_alone else ""
    return " ".join(part for part in (told, alone) if part)


def _claims_asked(checks: tuple[Check, ...], option: TestOption, case: CaseDescription) -> tuple[str, ...]:
    """Return the claims that the open checks of a test read and that the case does not hold yet."""
    asked = dict.fromkeys(
        need.claim
        for check in checks
        if check.id in option.open
        for need in (*check.needs, *check.any_of)
        if need.claim
    )
    return option.claims or tuple(name for name in asked if not getattr(case.claims, name))


def _steps(claims: tuple[str, ...], option: TestOption, steps: tuple[str, ...]) -> tuple[str, ...]:
    if option.claims:
        return ("Read plate, print and papers, and write into case.toml what is asked below.",)
    return (*steps, "Write into case.toml, too, what stands on the specimen.") if claims else steps


def _settings(simulator: VehicleSimulator, names: tuple[str, ...]) -> tuple[SimulatorSetting, ...]:
    by_name = {position.name: position for position in simulator.positions}
    networks = {network.name: network for network in simulator.networks}
    made = []
    for position in (by_name[name] for name in names if name in by_name):
        parts = [_network(networks[name]) for name in position.behind]
        parts += [f"{_network(networks[name])} across" for name in position.across]
        parts += ["bridged behind the diode"] if position.shorted_behind else []
        name, _, diode, high, low, meter, _, asks = position_cells(position)
        made.append(
            SimulatorSetting(
                position=name,
                resistors=", ".join(parts) or "nothing",
                diode=diode,
                meter=meter,
                high_v=high,
                low_v=low,
                asks=asks,
            )
        )
    return tuple(made)


def _network(network: Network) -> str:
    return f"{network.name} {format_quantity(network.resistance)}"
