"""What the pilot tells the car: levels, frequency, duty cycle, and the diode."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from coldpin.checks.cautions import LIVE_CAUTIONS, SCOPE_EARTH
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, with_pilot
from coldpin.checks.evidence import BenchEvidence, PilotCapture, claimed
from coldpin.checks.judging import judged, placed, worst
from coldpin.checks.live_pins import judge_diode_shorted
from coldpin.errors import CaseError, InputError
from coldpin.pilot.duty_cycle import duty_for_current
from coldpin.quantity import Quantity, format_quantity, parse_quantity
from coldpin.records.finding import Finding, Limit, Outcome, PilotLevels, Reach, Standing
from coldpin.records.pilot import Diode, Meaning, Run, State
from coldpin.standards.pilot import duty_segments, generator, state_windows

NEED = Need(shows="pilot capture", conditions={"diode": ("present", "")})

PILOT_BENCH = Procedure(
    level=Level.LIVE,
    instrument="oscilloscope with stated accuracy, earthed; vehicle simulator in an insulating box",
    minutes=15,
    cautions=(*LIVE_CAUTIONS, SCOPE_EARTH),
    steps=(
        (
            "Connect the vehicle simulator; probe on pilot, clip on the connector's earth. Put the whole pilot, some "
            "-13 V to 13 V, on the screen."
        ),
        (
            "Capture at 250 thousand samples a second or more: nothing connected, then B, C, B, nothing, half a "
            "second each."
        ),
        "Save the capture as text and file it with its conditions: load, diode, setting, volts over the full screen.",
    ),
    hold_points=("The earth is proved, and nothing is live with nothing connected.",),
    repeats=1,
    transfers=(
        "Frequency and duty measured on the opened board from an isolated bench supply transfer; levels only where the "
        "board's own converter makes them, for they follow the supply. Levels at the end of the closed unit's cable "
        "are those the car sees."
    ),
)

DIODE_BENCH = replace(
    PILOT_BENCH,
    steps=(
        *PILOT_BENCH.steps,
        (
            "Then, with the unit off, set the vehicle simulator to C with its diode shorted and a two-pole tester at "
            "the power pins, nothing else. Switch on, wait ten seconds, read, switch off."
        ),
        "Set the simulator to C with its diode and read again: a unit that never switches on shows nothing.",
    ),
    stop_values=("Mains at the power pins with the diode shorted: switch off, the question is answered.",),
)


@dataclass(frozen=True, slots=True)
class _Seen:
    capture: PilotCapture
    run: Run

    @property
    def levels(self) -> PilotLevels:
        return PilotLevels(
            evidence=self.capture.entry.id, state=self.run.state, start_s=self.run.start_s, end_s=self.run.end_s
        )


def _runs(bench: BenchEvidence, states: Iterable[State] | None = None) -> Iterator[_Seen]:
    wanted = None if states is None else set(states)
    for capture in bench.captures:
        if capture.condition("diode", "present") != "present":
            continue
        for run in capture.reading.runs:
            if wanted is None or run.state in wanted:
                yield _Seen(capture, run)


UNSTATED = "the accuracy of the instrument is not stated: name it in the entry, and its accuracy in shelf.toml"

LASTING = 0.02
"""Shorter stretches without a state are taken as a change from one to the next: twenty cycles of the oscillator. [s]"""

PRINTED_DECIMALS = 3
"""Decimals of a duty cycle in per cent to which a limit is rounded: a hundredth of what any instrument here tells."""

OSCILLATING = (State.A2, State.B2, State.C2, State.D2)


def _bare(check: str, name: str, title: str, function: str, seen: _Seen) -> Finding:
    return Finding(
        id=f"{check}.{name}",
        check=check,
        title=title,
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(function,),
        evidence=(seen.capture.entry.id,),
        levels=(seen.levels,),
    )


def _stated(bench: BenchEvidence, seen: _Seen, quantity: Quantity, measures: str) -> Quantity:
    """Take a figure of an instrument that states no accuracy for what it is: not for a perfect one."""
    instrument = bench.instruments.get(seen.capture.entry.instrument)
    if instrument is not None and instrument.statements.get(measures):
        return quantity
    return Quantity(quantity.value, None, quantity.unit, why=UNSTATED)


def _worst_level(subject: str, found: list[tuple[Finding, Quantity]], limit: Limit) -> list[Finding]:
    return [placed(subject, worst(judged(finding, quantity, limit) for finding, quantity in found))] if found else []


def run_levels(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the open high level, the low level and the plateau of every state seen, the worst run of each.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one decoded capture with the diode present.

    Returns
    -------
    tuple of Finding
        One for each level that was seen, undecided where the captures show no state at all.
    """
    rails = generator(bench.book, bench.edition)
    check, function = "pilot-levels", "pilot-signal"
    findings: list[Finding] = []
    highs = [
        (
            _bare(check, "high-open", "High level, nothing connected", function, seen),
            _stated(bench, seen, level, "voltage"),
        )
        for seen in _runs(bench, (State.A1, State.A2))
        if (level := seen.run.high_v) is not None
    ]
    findings += _worst_level("The pilot's high level with nothing connected", highs, rails.high_open)
    lows = [
        (
            _bare(check, "low", "Low level while the oscillator runs", function, seen),
            _stated(bench, seen, level, "voltage"),
        )
        for seen in _runs(bench, OSCILLATING)
        if (level := seen.run.low_v) is not None
    ]
    findings += _worst_level("The pilot's low level", lows, rails.low_open)
    for window in state_windows(bench.book, bench.edition):
        if window.level != "high" or window.letter not in ("B", "C", "D"):
            continue
        plateaus = [
            (
                _bare(check, f"state-{window.letter.lower()}", f"Level in state {window.letter}", function, seen),
                _stated(bench, seen, level, "voltage"),
            )
            for seen in _runs(bench)
            if seen.run.state.startswith(window.letter) and (level := seen.run.high_v) is not None
        ]
        findings += _worst_level(f"The pilot's level in state {window.letter}", plateaus, window.limit)
    findings = [_told_of_supply(bench, finding) for finding in findings]
    findings += _stateless(check, function, bench)
    return tuple(findings) or (_nothing_seen(bench, check, "levels", "Pilot levels", function),)


def _told_of_supply(bench: BenchEvidence, finding: Finding) -> Finding:
    """Remark on levels of a board fed by a bench supply: they follow it."""
    supplies = {c.entry.supply_voltage for c in bench.captures if c.entry.id in finding.evidence}
    touch = bench.book.limit("touch.ac").maximum
    assert touch is not None, "a touch voltage has a largest value"
    low = sorted(text for text in supplies if text and _volts(text) < touch)
    if not low:
        return finding
    remark = f"Taken with {low[0]} from the bench, not from the mains: levels follow the supply of the board."
    return replace(finding, remarks=(*finding.remarks, remark))


def _volts(text: str) -> float:
    try:
        return parse_quantity(text, "V").value
    except InputError as error:
        raise CaseError(f"supply voltage {text!r} of a pilot capture: {error}") from error


def _stateless(check: str, function: str, bench: BenchEvidence) -> list[Finding]:
    """Find levels that belong to no state: a car would not know what it is told."""
    lost = [
        seen
        for seen in _runs(bench, (State.UNDEFINED,))
        if seen.run.end_s - seen.run.start_s >= LASTING and seen.run.high_v is not None
    ]
    if not lost:
        return []
    longest = max(lost, key=lambda seen: seen.run.end_s - seen.run.start_s)
    level = longest.run.high_v
    assert level is not None, "runs without a level were left out"
    return [
        replace(
            _bare(check, "no-state", "Level that belongs to no state", function, longest),
            quantity=level,
            outcome=Outcome.BEYOND,
            answer="no",
            worst_of=len(lost),
            statement=(
                f"For {longest.run.end_s - longest.run.start_s:.3g} s the pilot stood at {format_quantity(level)}, "
                "which belongs to no state: a car would not know what it is told."
            ),
        )
    ]


def _nothing_seen(bench: BenchEvidence, check: str, name: str, title: str, function: str) -> Finding:
    entry = bench.matching(NEED)[-1]
    return Finding(
        id=f"{check}.{name}",
        check=check,
        title=title,
        statement="The captures show no stretch in which this could be read.",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(function,),
        answer="cannot tell",
        evidence=(entry.id,),
    )


def run_frequency(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the oscillator's frequency, the worst run.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one decoded capture with the diode present.

    Returns
    -------
    tuple of Finding
        One finding, undecided where no oscillation was seen.
    """
    limit = generator(bench.book, bench.edition).frequency
    found = [
        (_bare("pilot-frequency", "value", "Frequency", "pilot-signal", seen), _stated(bench, seen, frequency, "time"))
        for seen in _runs(bench, OSCILLATING)
        if (frequency := seen.run.frequency_hz) is not None
    ]
    if not found:
        return (_nothing_seen(bench, "pilot-frequency", "value", "Frequency", "pilot-signal"),)
    (finding,) = _worst_level("The pilot's frequency", found, limit)
    narrow = bench.book.limit("pilot.frequency.iec-2")
    assert finding.quantity is not None
    inside = finding.quantity.probability_within(narrow.minimum, narrow.maximum)
    outside = inside is not None and inside < 0.5
    remark = f"Outside the narrower {narrow.minimum:g} Hz to {narrow.maximum:g} Hz of {narrow.source}."
    return (replace(finding, remarks=(remark,)) if outside else finding,)


def run_duty(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the duty cycle against the one that stands for the declared current.

    Parameters
    ----------
    bench : BenchEvidence
        With a declared current and at least one decoded capture with the diode present.

    Returns
    -------
    tuple of Finding
        One finding, the worst run; undecided where no oscillation was seen.

    Raises
    ------
    CaseError
        The declared current cannot be read.
    """
    declared = claimed(bench, "declared_current", "A")
    assert declared is not None, "the check needs the declared current"
    tolerance = generator(bench.book, bench.edition).duty_tolerance
    assert tolerance.minimum is not None
    assert tolerance.maximum is not None
    nominal = round(duty_for_current(declared, duty_segments(bench.book)), PRINTED_DECIMALS)
    limit = replace(
        tolerance,
        title=f"duty cycle for {declared:g} A",
        unit="%",
        minimum=nominal + tolerance.minimum,
        nominal=nominal,
        maximum=nominal + tolerance.maximum,
    )
    found = [
        (_bare("pilot-duty", "value", "Duty cycle against the declared current", "current-offer", seen), duty)
        for seen in _runs(bench, OSCILLATING)
        if (duty := seen.run.duty_percent) is not None and not seen.capture.condition("setting")
    ]
    if not found:
        return (
            _nothing_seen(bench, "pilot-duty", "value", "Duty cycle against the declared current", "current-offer"),
        )
    return tuple(_worst_level(f"The duty cycle, {nominal:.2f} % being that of {declared:g} A,", found, limit))


def run_meaning(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Say what each duty cycle means to a vehicle, and whether it is one that must not be used.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one decoded capture with the diode present.

    Returns
    -------
    tuple of Finding
        One finding, the worst run; undecided where no oscillation was seen.
    """
    check, title = "pilot-meaning", "What the duty cycle means"
    judged_runs = []
    for seen in _runs(bench, OSCILLATING):
        offer, duty = seen.run.offered_current_a, seen.run.duty_percent
        if offer is None or duty is None:
            continue
        judged_runs.append(
            replace(
                _bare(check, "zone", title, "current-offer", seen),
                quantity=duty,
                outcome=Outcome.BEYOND if offer.meaning is Meaning.FORBIDDEN else Outcome.WITHIN,
                answer=str(offer.meaning),
                statement=_meaning_sentence(offer.meaning, duty, offer.current),
            )
        )
    return (worst(judged_runs),) if judged_runs else (_nothing_seen(bench, check, "zone", title, "current-offer"),)


def _meaning_sentence(meaning: Meaning, duty: Quantity, current: Quantity) -> str:
    said = format_quantity(duty)
    return {
        Meaning.CURRENT: f"A duty cycle of {said} tells the vehicle that it may draw {format_quantity(current)}.",
        Meaning.DIGITAL: f"A duty cycle of {said} asks the vehicle to talk digitally before it draws anything.",
        Meaning.NONE: f"A duty cycle of {said} offers no current.",
        Meaning.FORBIDDEN: f"A duty cycle of {said} lies where no unit may be: a vehicle takes it as no offer.",
    }[meaning]


def run_diode(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge whether the low level shows the diode, and whether the unit switches on without it.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one decoded capture with the diode present; a reading of the output with the diode shorted
        makes the second finding.

    Returns
    -------
    tuple of Finding
        One or two findings.
    """
    check, title = "pilot-diode", "Diode seen in the low level"
    outcomes = {Diode.PRESENT: Outcome.WITHIN, Diode.ABSENT: Outcome.BEYOND, Diode.UNKNOWN: Outcome.UNDECIDED}
    sentences = {
        Diode.PRESENT: (
            "Loaded by the vehicle simulator, the pilot stays low on its negative half: the diode can be seen."
        ),
        Diode.ABSENT: (
            "The negative half sinks with the load although the simulator has its diode: the signal has no negative "
            "supply of its own, or the simulator is wired wrongly."
        ),
        Diode.UNKNOWN: "The low level lies between that with a diode and that without: the diode cannot be told.",
    }
    seen_runs = [
        replace(
            _bare(check, "sign", title, "pilot-signal", seen),
            quantity=seen.run.low_v,
            outcome=outcomes[seen.run.diode],
            answer=str(seen.run.diode),
            statement=sentences[seen.run.diode],
        )
        for seen in _runs(bench, (State.B2, State.C2, State.D2))
    ]
    findings = [worst(seen_runs)] if seen_runs else [_nothing_seen(bench, check, "sign", title, "pilot-signal")]
    shorted = judge_diode_shorted(bench)
    return (*findings, shorted) if shorted else tuple(findings)


def declared_limit(title: str, maximum: float, by: str) -> Limit:
    """Return a limit that the specimen or its papers set themselves.

    Parameters
    ----------
    title : str
        What it limits.
    maximum : float
        The largest current. [A]
    by : str
        Who says so, as "the plate".

    Returns
    -------
    Limit
        With ``asserted_by`` set.
    """
    return Limit(
        id="declared",
        title=title,
        unit="A",
        maximum=maximum,
        source=by,
        standing=Standing.COMMON_PRACTICE,
        asserted_by=by,
    )


def _check(
    check: str,
    title: str,
    question: str,
    run: object,
    *,
    needs: tuple[Need, ...] = (NEED,),
    bench: Procedure = PILOT_BENCH,
    limits: tuple[str, ...],
    bears: tuple[Bearing, ...],
) -> Check:
    assert callable(run)
    return Check(
        id=check,
        title=title,
        question=question,
        needs=needs,
        bench=bench,
        limits=limits,
        run=run,
        bears=bears,
        figures=("state ribbon", "clean cycle"),
        applies=with_pilot,
    )


LEVELS = _check(
    "pilot-levels",
    "Pilot levels",
    "Are the pilot's levels those that a car expects, with nothing connected and in every state?",
    run_levels,
    limits=("pilot.high-open", "pilot.low-open", "pilot.window"),
    bears=(Bearing(function="pilot-signal", within_if_works=0.97, within_if_not=0.4),),
)
FREQUENCY = _check(
    "pilot-frequency",
    "Pilot frequency",
    "Does the oscillator run at its frequency?",
    run_frequency,
    limits=("pilot.frequency",),
    bears=(Bearing(function="pilot-signal", within_if_works=0.99, within_if_not=0.8),),
)
DUTY = _check(
    "pilot-duty",
    "Duty cycle against declared current",
    "Does the duty cycle stand for the current that the unit declares?",
    run_duty,
    needs=(NEED, Need(claim="declared_current")),
    limits=("pilot.duty-tolerance", "pilot.duty-segment"),
    bears=(Bearing(function="current-offer", within_if_works=0.97, within_if_not=0.4),),
)
MEANING = _check(
    "pilot-meaning",
    "Forbidden duty cycles",
    "What does the duty cycle mean to a car, and is it one that must not be used?",
    run_meaning,
    limits=("pilot.duty-zone",),
    bears=(Bearing(function="current-offer", within_if_works=0.99, within_if_not=0.8),),
)
DIODE = _check(
    "pilot-diode",
    "Diode",
    "Can the diode be seen in the low level, and does the unit switch on without one?",
    run_diode,
    bench=DIODE_BENCH,
    limits=("pilot.window.low", "touch.ac"),
    bears=(Bearing(function="vehicle-recognition", within_if_works=0.98, within_if_not=0.1),),
)
