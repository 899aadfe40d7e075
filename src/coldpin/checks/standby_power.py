"""What an idle unit draws, where the meter is known to measure so small a load."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.cautions import LIVE_CAUTIONS
from coldpin.checks.check import Check, Level, Need, Procedure, always
from coldpin.checks.event_marks import parse_price
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import judged, worst_entry
from coldpin.checks.readings import Side, condition, mean, readings
from coldpin.errors import EntryError, InputError
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.session import StandbyReading
from coldpin.session.standby import SmallLoadAccuracy, refuse_unstated, standby_reading
from coldpin.standards.accuracy import AccuracyStatement, parse_accuracy
from coldpin.standards.session import idle_limit

WORD = "standby power"
NEED = Need(shows=WORD)
TITLE = "Power of the idle unit"


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Place the power of the idle unit beside common practice, and say what it comes to in a year.

    Parameters
    ----------
    bench : BenchEvidence
        With a reading.

    Returns
    -------
    tuple of Finding
        One finding.

    Raises
    ------
    EntryError
        A reading cannot be read, or the meter is not known to measure so small a load.
    """
    return (worst_entry(_judge_one(bench, entry) for entry in bench.showing(WORD)),)


def standby_told(bench: BenchEvidence, entry: Entry) -> StandbyReading:
    """Return what an idle unit draws by one entry, and what that comes to in a year.

    Parameters
    ----------
    bench : BenchEvidence
        With the meter.
    entry : Entry
        A reading of the idle unit.

    Returns
    -------
    StandbyReading
        Power, yearly energy and cost.

    Raises
    ------
    EntryError
        The reading cannot be read, or the meter is not known to measure so small a load.
    """
    shown = readings(bench, entry)
    if any(reading.side is not Side.VALUE for reading in shown):
        raise EntryError.of(
            entry.id,
            f"a reading beyond the meter's range ({', '.join(reading.text for reading in shown)}) is no power: use a "
            "meter that shows so small a load, or count energy over a long time",
        )
    found = mean(shown).quantity
    factor, holds_from, holds_factor = (
        condition(entry, name, unit)
        for name, unit in (
            ("power factor", "1"),
            ("accuracy from power", "W"),
            ("accuracy from power factor", "1"),
        )
    )
    try:
        stated = SmallLoadAccuracy(
            statement=_statement(bench, entry) if found.u is not None else None,
            from_power=None if holds_from is None else holds_from.value,
            from_power_factor=None if holds_factor is None else holds_factor.value,
        )
        refuse_unstated(stated, found.value, None if factor is None else factor.value)
        assert factor is not None, "refused without a power factor"
        price, currency = parse_price(text) if (text := entry.conditions.get("price", "")) else (None, "")
        return standby_reading(
            found,
            bench.book,
            power_factor=factor.value,
            method=entry.conditions.get("method") or "read off",
            price=price,
            currency=currency,
        )
    except InputError as error:
        raise EntryError.of(entry.id, str(error)) from error


def _judge_one(bench: BenchEvidence, entry: Entry) -> Finding:
    told = standby_told(bench, entry)
    finding = Finding(
        id="standby-power.mean",
        check="standby-power",
        title=TITLE,
        statement=told.statement,
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(),
        duty=False,
        evidence=(entry.id,),
        remarks=told.remarks,
    )
    return replace(judged(finding, told.power_w, idle_limit(bench.book)), statement=told.statement)


def _statement(bench: BenchEvidence, entry: Entry) -> AccuracyStatement | None:
    """Return what the maker states for a power; a reading that states its own limits is not enough."""
    instrument = bench.instruments.get(entry.instrument)
    text = "" if instrument is None else instrument.statements.get("power", "")
    return parse_accuracy(text) if text else None


CHECK = Check(
    id="standby-power",
    title=TITLE,
    question="What does the unit draw when it is plugged in and no car is there?",
    needs=(NEED,),
    bench=Procedure(
        level=Level.LIVE,
        instrument=(
            "power meter whose accuracy is stated at some tenths of a watt and a power factor of 0.1: most plug-in "
            "meters state neither"
        ),
        minutes=20,
        cautions=LIVE_CAUTIONS,
        steps=(
            "Plug the unit in through the meter, nothing connected; wait until display and radio have gone to rest.",
            "Read power, voltage and current for five minutes; the power factor is power over volts times amperes.",
            (
                "Where it ticks or wanders by more than a twentieth, let the meter count energy for a day or more, or "
                "log it, and write down the mean."
            ),
            "Write down from which power and power factor on the meter's accuracy is stated.",
        ),
        hold_points=("Wiring map, earth resistance and insulation are recorded and nothing in them forbids power.",),
        repeats=1,
        transfers="Holds for this specimen with its settings: a radio that looks for a network draws more.",
    ),
    limits=("standby.idle", "standby.uncertainty", "standby.steady"),
    run=run,
    bears=(),
    applies=always,
)
