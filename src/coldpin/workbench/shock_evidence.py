"""What a person would get from a specimen: findings that say where a voltage or a current is, taken to the zones."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from coldpin.checks import BenchEvidence
from coldpin.checks.lead_way import lead_core
from coldpin.checks.supply_path import known_feeds
from coldpin.copper.fault_withstand import LINE
from coldpin.protection.body_current import zone_place
from coldpin.protection.body_telling import body_current
from coldpin.protection.earth_continuity import fault_touch_voltage
from coldpin.protection.mains_on_pilot import mains_on_pilot
from coldpin.quantity import format_value, in_unit
from coldpin.records.body_current import BodyCurrent, Kind, Zone
from coldpin.records.finding import Finding, Outcome
from coldpin.records.function import FunctionState, ProtectiveFunction
from coldpin.records.shock import ShockCase, ShockEvidence, ZoneLine
from coldpin.standards.body_current import ZONES, zone_curves, zone_effect
from coldpin.standards.book import Book
from coldpin.standards.disconnection import disconnection_time
from coldpin.standards.table import needed
from coldpin.standards.voltage_drop import supply_voltage
from coldpin.workbench.cable_evidence import usable

TRIPPED = tuple(f"residual-alternating.{row}" for row in ("threshold", "raised", "high"))
"""The findings that time the unit's own residual current protection; all of them, for a body draws any current."""

LIVE = "live-pins.uncoupled"
REACHED = ("live-access.finger", "live-access.wire")
NOTHING_BREAKS = "nothing is shown to break it"
UPSTREAM = "A residual-current device before the socket may break it sooner; this specimen is not what shows that."
READ = ("touch-current.metal", "touch-current.housing", "touch-current.reckoned")
TOLD = {
    "touch-current.metal": "The car's body with its earth lost, as read",
    "touch-current.housing": "The housing, as read",
    "touch-current.reckoned": "The car's body with its earth lost, reckoned from the capacitors found",
}
ON_PILOT = "pilot-separation"


def shock_evidence(
    bench: BenchEvidence, findings: Iterable[Finding], functions: Iterable[ProtectiveFunction]
) -> ShockEvidence:
    """Return what a person would get from a specimen.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence of the case.
    findings : iterable of Finding
        What the checks found.
    functions : iterable of ProtectiveFunction
        How the protective functions stand.

    Returns
    -------
    ShockEvidence
        The comparison with a live pole, then each case that a finding gives rise to.
    """
    by_id, states = {finding.id: finding for finding in findings}, {one.id: one.protecting for one in functions}
    return next(iter(usable(bench, lambda spared: (_shock(spared, by_id, states),))), ShockEvidence())


def _shock(bench: BenchEvidence, findings: Mapping[str, Finding], states: Mapping[str, FunctionState]) -> ShockEvidence:
    book = bench.book
    curves = zone_curves(book, Kind.AC)
    cases = (
        *_comparison(book, findings, states),
        *_live(book, findings),
        *_on_pilot(book, findings),
        *_read(book, findings),
        *_fault(bench, findings),
    )
    limits = {limit.id: limit for case in cases if case.body is not None for limit in case.body.limits}
    limits |= {point.id: point for curve in curves for point in curve.limits}
    return ShockEvidence(
        cases=cases,
        curves=tuple(
            ZoneLine(
                name=curve.name,
                durations_s=curve.durations,
                currents_ma=curve.currents,
                standing=max((point.standing for point in curve.limits), key=_UNSURE.index),
            )
            for curve in curves
        ),
        limits=tuple(limits.values()),
    )


_UNSURE = ("standard", "read", "memory", "common practice")
"""Standings, the surest first."""


def _of_body(
    name: str,
    title: str,
    body: BodyCurrent,
    *,
    broken_by: str = NOTHING_BREAKS,
    findings: tuple[Finding, ...] = (),
    comparison: bool = False,
    remarks: tuple[str, ...] = (),
) -> ShockCase:
    median = next(one for one in body.by_percentile if one.percentile != body.percentile)
    return ShockCase(
        id=name,
        title=title,
        rests="inferred",
        current_ma=body.reference_current_ma,
        median_ma=median.reference_current_ma,
        time_s=body.time_s,
        broken_by=broken_by,
        zone=body.zone,
        median_zone=median.zone,
        effect=body.effect,
        findings=tuple(finding.id for finding in findings),
        entries=tuple(dict.fromkeys(entry for finding in findings for entry in finding.evidence)),
        body=body,
        comparison=comparison,
        remarks=remarks,
    )


def trip_time(findings: Mapping[str, Finding], states: Mapping[str, FunctionState]) -> float | None:
    """Return after what time the unit's own residual current protection is shown to have broken a current.

    Parameters
    ----------
    findings : mapping of str to Finding
        By id.
    states : mapping of str to FunctionState
        By id of the function: how it stands for what it protects from.

    Returns
    -------
    float or None
        The longest time that was read at any of the currents asked, at the upper end of its interval; None where the
        function is not shown, or a time is not known. [s]
    """
    if states.get("residual-current") is not FunctionState.SHOWN:
        return None
    times = []
    for name in TRIPPED:
        finding = findings.get(name)
        if finding is None or finding.outcome is not Outcome.WITHIN or finding.quantity is None:
            return None
        time = in_unit(finding.quantity, "s")
        times.append(time.value if time.high is None else time.high)
    return max(times)


def _comparison(
    book: Book, findings: Mapping[str, Finding], states: Mapping[str, FunctionState]
) -> Iterator[ShockCase]:
    volts = supply_voltage(book)
    yield _of_body(
        "comparison",
        f"For comparison: a live pole of {format_value(volts, 'V')} in the hand",
        body_current(book, voltage=volts),
        comparison=True,
    )
    time = trip_time(findings, states)
    if time is not None:
        yield _of_body(
            "own-device",
            "A live wire behind this unit in the hand, its residual current protection as timed",
            body_current(book, voltage=volts, time=time),
            broken_by=f"the unit's own protection, at the slowest in {format_value(float(f'{time:.2g}'), 's')}",
            findings=tuple(findings[name] for name in TRIPPED),
            remarks=(
                (
                    "It holds for a current that flows to earth. Between line and neutral no residual-current device "
                    "sees a person."
                ),
            ),
        )


def _live(book: Book, findings: Mapping[str, Finding]) -> Iterator[ShockCase]:
    live = findings.get(LIVE)
    if live is not None and live.outcome is Outcome.BEYOND and live.transfers:
        read = live.quantity
        on_mains = read is not None and read.value > 0.0 and not live.supply
        volts = in_unit(read, "V").value if on_mains and read is not None else supply_voltage(book)
        yield _of_body(
            "live-pin",
            "A pin of the uncoupled connector in the hand",
            body_current(book, voltage=volts),
            findings=(live,),
            remarks=(UPSTREAM,),
        )
    for name in REACHED:
        reached = findings.get(name)
        if reached is not None and reached.outcome is Outcome.BEYOND and reached.decisive:
            yield _of_body(
                name,
                "A live part that a finger reaches" if name == REACHED[0] else "A live part that a wire reaches",
                body_current(book, voltage=supply_voltage(book)),
                findings=(reached,),
                remarks=(UPSTREAM,),
            )


def _on_pilot(book: Book, findings: Mapping[str, Finding]) -> Iterator[ShockCase]:
    """Reckon mains on the pilot where a finding says that little or nothing holds it off."""
    against = tuple(
        one
        for one in findings.values()
        if ON_PILOT in one.functions and one.outcome is Outcome.BEYOND and one.transfers
    )
    if not against:
        return
    through, past = mains_on_pilot(book, voltage=supply_voltage(book)).situations
    if_so = "If the mains got onto the pilot: "
    pin = "the pilot contact of the uncoupled connector"
    yield _of_body("pilot-through", f"{if_so}{pin}, {through.told}", through.contact, findings=against)
    yield _of_body("pilot-past", f"{if_so}{pin}, {past.told}", past.contact, findings=against)
    yield _of_body("pilot-body", f"{if_so}the car's body with its earth lost", through.car_body, findings=against)


def _read(book: Book, findings: Mapping[str, Finding]) -> Iterator[ShockCase]:
    """Place a touch current that was read, or reckoned from capacitors; where one was read that one is told."""
    curves = zone_curves(book, Kind.AC)
    for name in READ:
        finding = findings.get(name)
        if finding is None or finding.quantity is None or (name == READ[-1] and READ[0] in findings):
            continue
        read = in_unit(finding.quantity, "mA")
        current = read.value if read.high is None else read.high
        if not current > 0.0:
            continue
        place = int(zone_place(curves, current=current, duration=max(curve.durations[-1] for curve in curves)))
        zone = Zone(ZONES[Kind.AC][place])
        yield ShockCase(
            id=name,
            title=TOLD[name],
            rests="inferred" if finding.reckoned else "measured",
            current_ma=current,
            median_ma=None,
            time_s=None,
            broken_by=NOTHING_BREAKS,
            zone=zone,
            median_zone=None,
            effect=zone_effect(book, zone.value),
            findings=(finding.id,),
            entries=finding.evidence,
        )


def _fault(bench: BenchEvidence, findings: Mapping[str, Finding]) -> Iterator[ShockCase]:
    """Reckon a car whose body meets the line while its earth holds: what it rises to, until the device acts."""
    resistance, line = findings.get("earth-resistance.value"), lead_core(bench, LINE)
    if resistance is None or resistance.quantity is None or line is None:
        return
    earth = in_unit(resistance.quantity, "Ω").value
    if not earth > 0.0:
        return
    volts = fault_touch_voltage(voltage=supply_voltage(bench.book), line=line.resistance_20.value, earth=earth)
    rises = format_value(float(f"{volts:.3g}"), "V")
    loop = findings.get("fault-loop.disconnection")
    time, by = None, NOTHING_BREAKS
    if loop is not None and loop.outcome is Outcome.WITHIN:
        limits = [
            disconnection_time(bench.book, known.feed.device, system=known.feed.system) for known in known_feeds(bench)
        ]
        time = max((needed(limit, "maximum") for limit in limits), default=None)
        by = "the device before the socket, at the latest when it must" if time is not None else by
    grounds = (resistance, loop) if loop is not None and time is not None else (resistance,)
    yield _of_body(
        "earthed-fault",
        "The earthed body of a car in which line meets the body",
        body_current(bench.book, voltage=volts, time=time),
        broken_by=by,
        findings=grounds,
        remarks=(
            (
                f"Reckoned from line and earth of the lead, the body rises to {rises}; a breaker that acts at once is "
                "far quicker than it must be."
            ),
        ),
    )
