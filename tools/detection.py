"""Detection rates: a virtual bench trial on units and leads with each fault of the simulator, judged by every check.

Each unit is drawn within its parts' tolerances and goes through one trial: what a careful tester would record, with
captures from the virtual scope, and voltages by a virtual meter. A sound unit is tried with a sound lead on it and a
sound board in it, a lead with a fault on a sound unit, of which one short capture tells the offer; a unit with a fault
is tried by itself, and so are a board and a safeguard against residual currents. Times and answers (`FROM_TRUTH`) are
taken from the true course of the output: they show what the rule of a check makes of them, not what a tester would
see.

Run it to measure again; what is done is kept in the partial file, so that an interrupted run goes on where it stopped.
Threads of the linear algebra only get in the way of two processes::

    OPENBLAS_NUM_THREADS=1 python -m tools.detection --units 20 --sound 100 --processes 2
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
import tomlkit

from coldpin import __version__
from coldpin.checks import CHECKS, BenchEvidence, BoardEvidence, LogEvidence, PilotCapture, run_checks
from coldpin.checks.detection import DATA, OUTCOMES, SOUND
from coldpin.checks.recognition import boundaries
from coldpin.pilot import read_pilot
from coldpin.pilot.output import OutputSensor
from coldpin.quantity import parse_quantity
from coldpin.records.case import (
    CASE_FORMAT,
    Build,
    Cable,
    CaseDescription,
    Claims,
    Electronics,
    Specimen,
    UnitClass,
)
from coldpin.records.entry import Entry, EntryKind
from coldpin.records.finding import Finding, Outcome
from coldpin.records.instrument import Instrument
from coldpin.records.pilot import OutputKind
from coldpin.simulator import (
    FAULTS,
    VirtualScope,
    VirtualUnit,
    VirtualVehicle,
    draw_unit,
    set_up_bench,
    simulate_capture,
)
from coldpin.simulator.board_fault import BOARD_FAULTS, draw_sound_board
from coldpin.simulator.controller import follow, output_after
from coldpin.simulator.lead_fault import LEAD_FAULTS, LeadSpecimen, draw_lead
from coldpin.simulator.load import Schedule
from coldpin.simulator.residual import SAFEGUARD_FAULTS, draw_safeguard
from coldpin.standards.accuracy import ScopeAccuracy, parse_accuracy
from coldpin.standards.book import load_book
from coldpin.standards.editions import Edition
from tools.board_trial import BOARD_INSTRUMENTS, record_board
from tools.fault_functions import FUNCTIONS, MEANINGS
from tools.lead_trial import LEAD_INSTRUMENTS, record_charge, record_heating, record_lead
from tools.residual_trial import RESIDUAL_INSTRUMENTS, record_residual

NOMINAL = VirtualUnit(duty=26.67)
SCOPE = VirtualScope(
    full_scale=40.0,
    bits=12,
    noise=0.02,
    gain_limit=0.005,
    offset_limit=0.02,
    timebase_limit=50e-6,
    bandwidth=20e6,
    hum=0.0,
)
VERTICAL, TIMEBASE = "0.5 % of reading + 0.02 V", "50 ppm"
ACCURACY = ScopeAccuracy(
    vertical=parse_accuracy(VERTICAL), timebase=parse_accuracy(TIMEBASE), full_scale=40.0, id="scope", bandwidth=20e6
)
INSTRUMENTS = {
    **LEAD_INSTRUMENTS,
    **BOARD_INSTRUMENTS,
    **RESIDUAL_INSTRUMENTS,
    "scope": Instrument(name="scope", kind="scope", statements={"voltage": VERTICAL, "time": TIMEBASE}),
    "meter": Instrument(
        name="meter",
        kind="multimeter",
        statements={"voltage": "0.8 % + 3 digits, resolution 0.1 V", "resistance": "0.8 % + 2 digits, resolution 1 Ω"},
    ),
    "cursors": Instrument(name="scope's cursors", kind="scope", statements={"time": "2 ms"}),
}
CASE = CaseDescription(
    format=CASE_FORMAT,
    title="Virtual unit",
    specimen=Specimen(make="Skerrow", model="16"),
    unit=UnitClass(
        charging_mode=2,
        build=Build.PORTABLE,
        cable=Cable.ATTACHED,
        electronics=Electronics.IN_CABLE,
        connector="type 2",
    ),
    claims=Claims(plug="CEE 7/4", rated_current="16 A", declared_current="16 A", rated_voltage="230 V"),
)
SIGNAL: Schedule = ((0.05, "A"), (0.08, "B"), (0.05, "C"), (0.03, "B"))
BESIDE: Schedule = ((0.2, "A"), (0.4, "B"), (0.6, "C"), (0.4, "B"), (0.6, "C"), (0.4, "A"))
UNOFFERED: Schedule = (
    *((0.1, "A"), (0.2, "B"), (0.4, "C"), (0.3, "B")),
    *((seconds, f"{load}, offer withdrawn") for seconds, load in ((0.2, "B"), (0.6, "C"))),
)
REPEATS = 5
COUPLED = 1.0
"""Volts that couple across open contacts, as a meter of low impedance shows them."""


@dataclass
class Trial:
    """One virtual trial: what is recorded, with the bench's own errors."""

    unit: VirtualUnit
    vehicle: VirtualVehicle
    rng: np.random.Generator
    entries: list[Entry] = field(default_factory=list)
    captures: list[PilotCapture] = field(default_factory=list)
    logs: list[LogEvidence] = field(default_factory=list)
    boards: list[BoardEvidence] = field(default_factory=list)
    lead: LeadSpecimen | None = None

    def record(self, shows: str, *, kind: EntryKind = EntryKind.READING, **more: object) -> Entry:
        """Write an entry down."""
        when = "2026-05-02T10:00:00+00:00"
        name = f"e{len(self.entries):02d}"
        made = Entry(id=name, kind=kind, shows=shows, made=when, recorded=when, who="Ines", **more)  # type: ignore[arg-type]  # fields by name
        self.entries.append(made)
        return made

    def volts(self, shows: str, schedule: Schedule, **conditions: str) -> None:
        """Read the output at the end of a schedule through a low-impedance input."""
        true = output_after(self.unit, self.vehicle, schedule) + COUPLED
        read = true * (1.0 + self.rng.uniform(-0.006, 0.006)) + self.rng.uniform(-0.2, 0.2)
        stated = {"supply": "mains", "input": "low impedance", **conditions}
        self.record(
            shows, readings=(f"{abs(read):.1f} V",), instrument="meter", conditions=stated, supply_voltage="230 V"
        )

    def times(self, shows: str, before: Schedule, step: tuple[float, str], *, closes: bool = False) -> None:
        """Time an operation several times: the last step's beginning until the output follows."""
        texts = [self._time(before, step, closes=closes, started=repeat) for repeat in range(REPEATS)]
        stated = {"load current": "none"}
        if told := tuple(text for text in texts if text):
            self.record(shows, readings=told, instrument="cursors", conditions=stated)

    def _time(self, before: Schedule, step: tuple[float, str], *, closes: bool, started: int) -> str:
        # a relay that sticks now and then does so at its third opening: earlier operations go before
        earlier: Schedule = ((0.2, "B"), (0.3, "C")) * started
        schedule = (*earlier, *before, step)
        course = follow(self.unit, self.vehicle, schedule, rng=self.rng)
        change = sum(seconds for seconds, _ in schedule[:-1])
        if not closes and not any(c.energised for c in course.conditions if c.start < change <= c.end):
            return ""
        live = [(c.start, c.end) for c in course.conditions if c.energised and c.end > change]
        if closes:
            followed = min((start for start, _ in live if start >= change), default=None)
        else:
            end = max((end for _, end in live), default=change)
            followed = None if end >= change + step[0] else end
        if followed is None:
            return f"> {step[0]:g} s"
        return f"{max(0.0, followed - change + self.rng.uniform(-1e-3, 1e-3)):.4f} s"

    def capture(self, schedule: Schedule, interval: float, *, output: bool, **conditions: str) -> None:
        """Capture the pilot, with the output beside it or not."""
        seed = int(self.rng.integers(2**31))
        taken = simulate_capture(
            self.unit,
            self.vehicle,
            schedule,
            set_up_bench(SCOPE, seed=seed),
            seed=seed,
            sample_interval=interval,
            with_output=output,
        )
        sensor = OutputSensor(kind=OutputKind.MAINS, delay=parse_quantity("2 ms ± 2 ms", "s")) if output else None
        stated = {"load": "steps", "diode": "present", **conditions}
        made = self.record("pilot capture", kind=EntryKind.EVIDENCE, instrument="scope", conditions=stated)
        reading = read_pilot(
            taken.waveform, book=load_book(), edition=Edition.IEC_3, accuracy=ACCURACY, sensor=sensor, exact=False
        )
        self.captures.append(PilotCapture(entry=made, reading=reading))

    def evidence(self) -> BenchEvidence:
        """Return what was recorded, as the checks see it."""
        marked = CASE.claims if self.lead is None else replace(CASE.claims, cable_print=self.lead.cable_print)
        return BenchEvidence(
            case=replace(CASE, claims=marked),
            edition=Edition.IEC_3,
            book=load_book(),
            entries=tuple(self.entries),
            instruments=INSTRUMENTS,
            captures=tuple(self.captures),
            logs=tuple(self.logs),
            boards=tuple(self.boards),
        )


def run_trial(fault: str, number: int, seed: int) -> BenchEvidence:
    """Go through one trial on one drawn unit.

    Parameters
    ----------
    fault : str
        A fault of the simulator, of units, leads, boards or safeguards, or :data:`SOUND`.
    number : int
        Which unit.
    seed : int
        Of the whole table.

    Returns
    -------
    BenchEvidence
        What a careful tester records of it.
    """
    rng = np.random.default_rng([seed, number, *fault.encode()])
    unit, vehicle = draw_unit(rng, unit=NOMINAL), VirtualVehicle()
    if fault in FAULTS:
        unit, vehicle = FAULTS[fault].applied(unit, vehicle)
    trial = Trial(unit, vehicle, rng)
    if fault == SOUND or fault in FAULTS:
        _unit(trial)
    if fault == SOUND or fault in LEAD_FAULTS:
        _lead(trial, fault)
    if fault == SOUND or fault in BOARD_FAULTS:
        drawn = draw_sound_board(trial.rng)
        record_board(trial, BOARD_FAULTS[fault].change(drawn) if fault in BOARD_FAULTS else drawn)
    if fault == SOUND or fault in SAFEGUARD_FAULTS:
        _residual(trial, fault, np.random.default_rng([seed, number, *fault.encode(), *RESIDUAL]))
    return trial.evidence()


RESIDUAL = b"residual"
"""Makes the draws of the residual currents their own: they leave those of the rest of a trial as they are."""


def _residual(trial: Trial, fault: str, rng: np.random.Generator) -> None:
    """Put residual currents on a unit whose other parts are sound."""
    drawn = draw_safeguard(rng)
    record_residual(trial, SAFEGUARD_FAULTS[fault].change(drawn) if fault in SAFEGUARD_FAULTS else drawn, rng)


def _lead(trial: Trial, fault: str) -> None:
    """Try a lead on the unit; where the unit itself was not tried, a short capture tells its offer."""
    drawn = draw_lead(trial.rng)
    trial.lead = LEAD_FAULTS[fault].change(drawn) if fault in LEAD_FAULTS else drawn
    if not trial.captures:
        trial.capture(SIGNAL, 4e-6, output=False)
    record_lead(trial, trial.lead)
    record_heating(trial, trial.lead)
    record_charge(trial, trial.lead)


def _unit(trial: Trial) -> None:
    unit = trial.unit
    wired = ("PE > PE", "L > L1", "N > N") if unit.output == "always live" else ("PE > PE",)
    pairs = {f"{a} > {b}": "joined" if f"{a} > {b}" in wired else "open" for a in ("L", "N", "PE") for b in _PINS}
    trial.record("wiring map", kind=EntryKind.OBSERVATION, pairs=pairs)
    known = {"resistance B": "2740 Ω ± 0.1 %", "resistance C": "881.7 Ω ± 0.1 %"}
    trial.capture(SIGNAL, 1e-6, output=False, **known)
    trial.capture(BESIDE, 2e-5, output=True, event="unplugging")
    trial.capture(UNOFFERED, 2e-5, output=True, event="withdrawal of the offer")
    _voltages(trial)
    _times(trial)
    _answers(trial)


_PINS = ("L1", "N", "PE", "CP")


def _voltages(trial: Trial) -> None:
    plugged: Schedule = ((0.2, "A"), (0.3, "B"))
    trial.volts("output with nothing connected", ((1.0, "A"),))
    trial.volts("output in state B", (*plugged, (1.0, "B")))
    trial.volts("output in state C", (*plugged, (5.0, "C")))
    trial.volts("output in state D", (*plugged, (5.0, "D")))
    shorted: Schedule = ((0.2, "A"), (0.3, "B, diode shorted"), (5.0, "C, diode shorted"))
    trial.volts("output with the diode shorted", shorted)
    trial.volts("output when plugged in asking", ((0.2, "A"), (5.0, "C")))
    coming: Schedule = (*plugged, (5.0, "C"), (1.0, "C, supply off"))
    trial.volts("output in state C after the supply returned", (*coming, (5.0, "C")))
    _returning(trial, (*coming, (1.0, "A, supply off")))
    for boundary in boundaries(trial.evidence()):
        letter = boundary.word[0]
        ohms = boundary.fitted.replace(",", "").split()
        before: Schedule = ((0.2, "A"), (0.5, f"B {ohms[1]}"))
        after: Schedule = ((5.0, f"C {ohms[4]}"),) if letter == "C" else ((1.0, f"B {ohms[1]}"),)
        schedule = (*(before if letter == "B" else plugged), *after)
        seen: dict[str, str] = {}
        if letter == "B":
            last = follow(trial.unit, trial.vehicle, schedule, rng=trial.rng).conditions[-1]
            seen = {"oscillator": "running" if last.oscillating else "at rest"}
        trial.volts("output at a boundary resistance", schedule, boundary=boundary.word, **seen)


def _returning(trial: Trial, before: Schedule) -> None:
    """Read the largest voltage at the uncoupled pins from the moment the supply returns, three times."""
    stated = {"supply": "mains", "input": "low impedance"}
    for first in (before, ((1.0, "A, supply off"),), before):
        schedule: Schedule = (*first, (3.0, "A"))
        change = sum(seconds for seconds, _ in first)
        live = any(
            c.energised and c.end > change
            for c in follow(trial.unit, trial.vehicle, schedule, rng=trial.rng).conditions
        )
        read = f"{(230.0 if live else COUPLED) * (1.0 + trial.rng.uniform(-0.006, 0.006)):.1f} V"
        # an entry for each situation: the worst of all must decide, whichever was written down last
        trial.record("output when the supply returns", readings=(read,), instrument="meter", conditions=stated)


def _times(trial: Trial) -> None:
    charging: Schedule = ((0.3, "B"), (5.0, "C"))
    trial.times("closing time after B to C", ((0.3, "B"),), (6.0, "C"), closes=True)
    trial.times("opening time after C to B", charging, (6.0, "B"))
    trial.times("opening time after unplugging", charging, (6.0, "A"))
    trial.times("opening time after pilot short", charging, (10.0, "E"))
    trial.times("opening time after loss of earth", charging, (6.0, "C, PE open"))
    trial.times("opening time after loss of the diode", charging, (10.0, "C, diode shorted"))
    trial.times("opening time after withdrawal of the offer", charging, (10.0, "C, offer withdrawn"))


def _answers(trial: Trial) -> None:
    welded, _ = FAULTS["welded relay"].applied(trial.unit, trial.vehicle)
    welded = replace(welded, controller=trial.unit.controller)
    schedule: Schedule = ((0.2, "A"), (0.3, "B"), (5.0, "C"), (2.0, "B"))
    last = follow(welded, trial.vehicle, schedule, rng=trial.rng).conditions[-1]
    said = "no" if last.oscillating else "yes"
    trial.record("refusal with a contact held closed", kind=EntryKind.OBSERVATION, answer=said)
    without = tuple((seconds, f"{load}, supply earth open") for seconds, load in ((0.2, "A"), (0.5, "B"), (5.0, "C")))
    live = output_after(trial.unit, trial.vehicle, without) > COUPLED
    trial.record("refusal with no earth in the supply", kind=EntryKind.OBSERVATION, answer="no" if live else "yes")


def outcomes_of(fault: str, number: int, seed: int) -> dict[str, str]:
    """Return what every check says of one unit: its worst finding, or that nothing was tested.

    Parameters
    ----------
    fault : str
        A fault of the simulator, or :data:`SOUND`.
    number : int
        Which unit.
    seed : int
        Of the whole table.

    Returns
    -------
    dict
        One of :data:`OUTCOMES` by the id of the check.
    """
    results = run_checks(run_trial(fault, number, seed))
    found: dict[str, list[Finding]] = {}
    for finding in results.findings:
        if finding.outcome is not Outcome.NOT_APPLICABLE:
            found.setdefault(finding.check, []).append(finding)
    return {check.id: _worst(found.get(check.id, ())) for check in CHECKS}


def _worst(findings: Sequence[Finding]) -> str:
    said = {finding.outcome.value for finding in findings}
    return next((one for one in ("beyond", "undecided", "within") if one in said), "not_tested")


def count(
    jobs: Mapping[str, int],
    seed: int,
    *,
    processes: int,
    done: dict[str, dict[str, list[int]]],
    keep: Callable[[], None],
) -> None:
    """Count the outcomes of every check over drawn units, for every fault that is not counted yet.

    Parameters
    ----------
    jobs : mapping
        How many units, by fault; :data:`SOUND` among them.
    seed : int
        Of the whole table.
    processes : int
        How many work at once.
    done : dict
        By fault and check: how many are within, beyond, undecided, not tested. It is completed.
    keep : callable
        Is called after each fault.
    """
    with ProcessPoolExecutor(processes) as pool:
        for fault, units in jobs.items():
            if fault in done:
                continue
            row: dict[str, list[int]] = {check.id: [0] * len(OUTCOMES) for check in CHECKS}
            for said in pool.map(outcomes_of, *zip(*((fault, number, seed) for number in range(units)), strict=True)):
                for check, outcome in said.items():
                    row[check][OUTCOMES.index(outcome)] += 1
            done[fault] = row
            keep()


def as_toml(table: Mapping[str, Mapping[str, Sequence[int]]], *, units: int, sound: int, seed: int) -> str:
    """Return the table as it is kept beside the checks.

    Parameters
    ----------
    table : mapping
        By fault and check.
    units : int
        How many units of each fault.
    sound : int
        How many without one.
    seed : int
        Of the whole table.

    Returns
    -------
    str
        TOML.
    """
    document = tomlkit.document()
    document.add(tomlkit.comment("Measured with the simulator by `python -m tools.detection`; never edited by hand."))
    document.add(tomlkit.comment("By fault and check: how many units were " + ", ".join(OUTCOMES) + "."))
    document["about"] = {"units": units, "sound_units": sound, "seed": seed, "program_version": __version__}
    document["functions"] = {fault: list(FUNCTIONS.get(fault, ())) for fault in table if fault != SOUND}
    document["meanings"] = {fault: MEANINGS[fault] for fault in table if fault != SOUND}
    document["counts"] = {fault: {name: list(row) for name, row in rows.items()} for fault, rows in table.items()}
    return tomlkit.dumps(document)


def all_faults() -> Iterator[str]:
    """Yield the sound unit and every fault of the simulator.

    Yields
    ------
    str
        A name.
    """
    yield SOUND
    yield from MEANINGS


def main() -> int:
    """Measure the table again and write it.

    Returns
    -------
    int
        0.
    """
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--units", type=int, default=20, help="of each fault")
    parser.add_argument("--sound", type=int, default=100, help="without a fault")
    parser.add_argument("--seed", type=int, default=20260502)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--partial", type=Path, default=Path(tempfile.gettempdir()) / "coldpin-detection.json")
    given = parser.parse_args()
    terms = [given.units, given.sound, given.seed, __version__]
    jobs = {fault: given.sound if fault == SOUND else given.units for fault in all_faults()}
    kept = json.loads(given.partial.read_text(encoding="utf-8")) if given.partial.exists() else {}
    done: dict[str, dict[str, list[int]]] = kept["counts"] if kept.get("terms") == terms else {}

    def keep() -> None:
        given.partial.write_text(json.dumps({"terms": terms, "counts": done}), encoding="utf-8")
        print(f"{len(done)} of {len(jobs)}", flush=True)

    count(jobs, given.seed, processes=given.processes, done=done, keep=keep)
    table = {fault: done[fault] for fault in jobs}
    DATA.write_text(as_toml(table, units=given.units, sound=given.sound, seed=given.seed), encoding="utf-8")
    given.partial.unlink(missing_ok=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
