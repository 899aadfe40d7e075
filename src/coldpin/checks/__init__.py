"""Checks: the only place where evidence meets formula. One record per check; ours stand in one tuple."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache
from importlib.metadata import entry_points

from coldpin.checks import (
    bridging_parts,
    cable_comparison,
    cable_rating,
    coding,
    conductor_joints,
    conductor_metal,
    conductor_resistance,
    construction,
    country,
    current_path,
    current_setting,
    diode,
    duty,
    earth_continuity,
    earth_distance,
    earth_loss,
    earth_resistance,
    edges,
    electric_strength,
    fault_loop,
    fault_state,
    fault_withstand,
    floating_parts,
    glitches,
    heating,
    held_contact,
    ingress_claim,
    insulation_resistance,
    length_variants,
    live_access,
    live_pins,
    live_states,
    low_voltage_distance,
    markings,
    offer_followed,
    offer_steady,
    offered_current,
    oscillator,
    overload,
    parts_inside,
    pilot_distance,
    pilot_insulation,
    pilot_levels,
    pilot_short,
    plug_discharge,
    plug_practice,
    plugged_in,
    pole_distance,
    recognition,
    residual_current,
    ripple,
    section_marks,
    session_current,
    session_interruption,
    session_stop,
    socket_release,
    source_resistance,
    standby_power,
    supply_return,
    surface_distance,
    switching,
    touch_current,
    unused_pins,
    ventilation,
    voltage_drop,
    wake_up,
    wiring,
    withdrawal,
)
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, Transfer
from coldpin.checks.detection import measured
from coldpin.checks.evidence import BenchEvidence, BoardEvidence, LogEvidence, PilotCapture, ResidualEvidence
from coldpin.checks.supply import with_supply
from coldpin.checks.typed_twice import ASK
from coldpin.errors import EntryError, InputError, UnknownName
from coldpin.records.assessment import Method, NotTested, Problem
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.standards.book import Book
from coldpin.standards.table import needed
from coldpin.standards.wording import number_text

__all__ = [
    "CHECKS",
    "Bearing",
    "BenchEvidence",
    "Check",
    "CheckResults",
    "Level",
    "Need",
    "BoardEvidence",
    "LogEvidence",
    "PilotCapture",
    "Procedure",
    "ResidualEvidence",
    "Transfer",
    "all_checks",
    "find_check",
    "method",
    "run_checks",
    "stop_limits",
]

_RECORDS: tuple[Check, ...] = (
    markings.CHECK,
    wiring.CHECK,
    earth_resistance.CHECK,
    live_access.CHECK,
    ingress_claim.CHECK,
    pilot_insulation.CHECK,
    insulation_resistance.HOUSING_CHECK,
    insulation_resistance.CONTACT_CHECK,
    cable_rating.CHECK,
    coding.CODED,
    coding.CODING_PRINT,
    section_marks.PRINT_CHECK,
    section_marks.CODING_CHECK,
    conductor_resistance.CHECK,
    conductor_joints.CHECK,
    voltage_drop.CHECK,
    fault_withstand.CHECK,
    overload.CHECK,
    current_path.CHECK,
    plug_practice.CHECK,
    length_variants.CHECK,
    earth_continuity.CHECK,
    heating.TEMPERATURE_RISE,
    heating.PLUG_HEATING,
    heating.CONDUCTOR_HOT,
    cable_comparison.CHECK,
    fault_loop.CHECK,
    live_pins.CHECK,
    supply_return.UNCOUPLED_CHECK,
    pilot_levels.LEVELS,
    ripple.CHECK,
    glitches.CHECK,
    edges.CHECK,
    source_resistance.CHECK,
    oscillator.FREQUENCY,
    oscillator.IDLE,
    duty.DUTY,
    duty.MEANING,
    offer_steady.STEADY,
    offer_steady.CHANGES,
    current_setting.CHECK,
    offered_current.PLUG,
    offered_current.RATING,
    country.CHECK,
    diode.DIODE,
    diode.BEFORE_CLOSING,
    recognition.BOUNDARIES,
    recognition.THRESHOLDS,
    plugged_in.CHECK,
    wake_up.CHECK,
    live_states.CHECK,
    switching.CLOSING,
    switching.OPENING,
    switching.UNPLUGGED,
    ventilation.CHECK,
    withdrawal.CHECK,
    pilot_short.CHECK,
    diode.LOST,
    fault_state.CHECK,
    supply_return.RESTART,
    socket_release.CHECK,
    earth_loss.LOST,
    earth_loss.MISSING,
    residual_current.ALTERNATING,
    residual_current.PULSATING,
    residual_current.SMOOTH,
    held_contact.CHECK,
    plug_discharge.CHECK,
    touch_current.CHECK,
    standby_power.CHECK,
    session_current.CHECK,
    offer_followed.CHECK,
    session_interruption.CHECK,
    session_stop.CHECK,
    conductor_metal.CHECK,
    pilot_distance.CHECK,
    low_voltage_distance.CHECK,
    bridging_parts.CHECK,
    floating_parts.CHECK,
    unused_pins.CHECK,
    pole_distance.CHECK,
    earth_distance.CHECK,
    surface_distance.CHECK,
    parts_inside.CHECK,
    construction.CHECK,
    touch_current.IMPEDANCE_CHECK,
    electric_strength.CHECK,
)

CHECKS: tuple[Check, ...] = tuple(measured(check) for check in _RECORDS)
"""Our checks, in the order in which they may be done: dead before live; their bearing measured where it was."""

NO_SUCH_THING = "what was recorded shows no such thing"
"""Why a check was not answered that had what it needs."""

GROUP = "coldpin.checks"
"""Entry-point group by which other packages add checks: each entry is a tuple of :class:`Check`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckResults:
    """What all checks found, what was not tested and why, and what could not be used."""

    findings: tuple[Finding, ...]
    not_tested: tuple[NotTested, ...]
    problems: tuple[Problem, ...]


@cache
def all_checks() -> tuple[Check, ...]:
    """Return our checks and those that other packages add.

    Returns
    -------
    tuple of Check
        Ours first.

    Raises
    ------
    InputError
        Two checks have one id.
    """
    added = [check for entry in entry_points(group=GROUP) for check in entry.load()]
    checks = (*CHECKS, *added)
    ids = [check.id for check in checks]
    twice = sorted({name for name in ids if ids.count(name) > 1})
    if twice:
        raise InputError(f"two checks have one id: {', '.join(twice)}; take one of the packages out that add them")
    return checks


def find_check(name: str) -> Check:
    """Return a check by its id.

    Parameters
    ----------
    name : str
        The id.

    Returns
    -------
    Check
        The record.

    Raises
    ------
    UnknownName
        There is none; the message lists them.
    """
    by_id = {check.id: check for check in all_checks()}
    if name not in by_id:
        raise UnknownName.among("check", name, by_id)
    return by_id[name]


def run_checks(bench: BenchEvidence, checks: Iterable[Check] | None = None) -> CheckResults:
    """Run every check that applies and has what it needs; say of the others why they were not run.

    An entry that cannot be used is set aside and listed under ``problems`` by its id: it costs itself only, and the
    check runs on the rest. Where something else cannot be read (a claim of the case) the check counts as not tested.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence of one case.
    checks : iterable of Check, optional
        Which; all of them where left out.

    Returns
    -------
    CheckResults
        Findings in the order of the checks, what was not tested, problems.
    """
    findings: list[Finding] = []
    not_tested: list[NotTested] = []
    problems: list[Problem] = []
    for check in all_checks() if checks is None else checks:
        reason = check.applies(bench.case.unit)
        missing = _missing(bench, check)
        if reason:
            findings.append(_not_applicable(check, reason))
        elif missing:
            not_tested.append(NotTested(check=check.id, title=check.title, why=_why(bench, check), needs=missing))
        else:
            aside: list[EntryError] = []
            try:
                made = _run(bench, check, aside)
            except InputError as error:
                problems.append(Problem(where=f"check '{check.id}'", what=str(error)))
                not_tested.append(
                    NotTested(check=check.id, title=check.title, why=f"evidence could not be used: {error}", needs=())
                )
                continue
            finally:
                problems.extend(Problem(where=f"entry {error.entry}", what=error.problem) for error in aside)
            findings.extend(made)
            if not made:
                not_tested.append(_nothing_found(check, aside))
    return CheckResults(findings=tuple(findings), not_tested=tuple(not_tested), problems=tuple(dict.fromkeys(problems)))


def _run(bench: BenchEvidence, check: Check, aside: list[EntryError]) -> tuple[Finding, ...]:
    """Run a check on the entries that it can use; the others go into ``aside``, one after the other."""
    left = bench
    while not _missing(left, check):
        try:
            return tuple(_asking(left, with_supply(left, check, finding)) for finding in check.run(left))
        except EntryError as error:
            if all(entry.id != error.entry for entry in left.entries):
                raise
            aside.append(error)
            left = left.without(error.entry)
    return ()


def _asking(bench: BenchEvidence, finding: Finding) -> Finding:
    """Ask of the operations behind a finding that were left out as they are there twice."""
    asked = tuple(
        ASK.format(first=first, again=again)
        for again, first in bench.typed_twice.items()
        if first in finding.evidence and again not in finding.evidence
    )
    return replace(finding, remarks=(*finding.remarks, *asked)) if asked else finding


def _nothing_found(check: Check, aside: list[EntryError]) -> NotTested:
    if aside:
        why = f"evidence could not be used: {'; '.join(str(error) for error in aside)}"
        return NotTested(check=check.id, title=check.title, why=why, needs=())
    needs = tuple(need.describe() for need in (*check.needs, *check.any_of))
    return NotTested(check=check.id, title=check.title, why=NO_SUCH_THING, needs=needs)


def _missing(bench: BenchEvidence, check: Check) -> tuple[str, ...]:
    """Name what is missing; of things of which one serves, all in one line."""
    missing = tuple(need.describe() for need in check.needs if not bench.has(need))
    if check.any_of and not any(bench.has(need) for need in check.any_of):
        return (*missing, " or ".join(need.describe() for need in check.any_of))
    return missing


def _why(bench: BenchEvidence, check: Check) -> str:
    """Tell evidence that does not serve from none at all."""
    asked = (*check.needs, *check.any_of)
    recorded = any(need.shows and bench.showing(need.shows) for need in asked if not bench.has(need))
    return "recorded, but not under the conditions it needs" if recorded else "nothing recorded yet"


def _not_applicable(check: Check, reason: str) -> Finding:
    return Finding(
        id=f"{check.id}.not-applicable",
        check=check.id,
        title=check.title,
        statement=f"Does not apply: {reason}.",
        outcome=Outcome.NOT_APPLICABLE,
        reach=Reach.CONSTRUCTION,
        functions=tuple(bearing.function for bearing in check.bears),
    )


def method(check: Check, book: Book) -> Method:
    """Return how a check is done, for a report.

    Parameters
    ----------
    check : Check
        The check.
    book : Book
        The constants, for its stop values.

    Returns
    -------
    Method
        Level, instrument, steps, cautions, hold points, stop values, repeats.

    Raises
    ------
    InputError
        An own value of the case leaves a stop value without its number.
    """
    return Method(
        check=check.id,
        title=check.title,
        level=str(check.bench.level),
        instrument=check.bench.instrument,
        steps=check.bench.steps,
        cautions=check.bench.cautions,
        hold_points=check.bench.hold_points,
        transfers=check.bench.transfers,
        stop_values=(*check.bench.stop_values, *stop_limits(check.bench.stop_limits, book)),
        repeats=check.bench.repeats,
    )


def stop_limits(ids: tuple[str, ...], book: Book) -> tuple[str, ...]:
    """Tell the limits at which a test is to be stopped, each with its number and source.

    Parameters
    ----------
    ids : tuple of str
        As :attr:`Procedure.stop_limits` names them.
    book : Book
        The constants.

    Returns
    -------
    tuple of str
        One sentence each, lowest temperature first, then the rises over the air.

    Raises
    ------
    UnknownName
        There is no such limit.
    InputError
        An own value of the case leaves a limit without its number.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> stop_limits(("accessory.rise.household",), load_book())[0]
    'Stop at 45 K over the air: rise of a household plug and socket-outlet of 16 A, Schuko and its relatives (...).'
    """
    found = sorted((book.limit(one) for one in ids), key=lambda one: (one.unit == "K", needed(one, "maximum")))
    return tuple(
        f"Stop at {number_text(needed(one, 'maximum'), one.unit)}{' over the air' if one.unit == 'K' else ''}: "
        f"{one.title} ({one.source}, standing: {one.standing})."
        for one in found
    )
