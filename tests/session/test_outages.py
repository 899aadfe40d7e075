"""A gap in the log is not an outage: only the voltage beside it, or a mark, shows one."""

from __future__ import annotations

import json

import numpy as np
import pytest

from coldpin.quantity import Quantity
from coldpin.records.log import Log, LogQuantity
from coldpin.records.plain import to_json
from coldpin.records.session import EventMark, MarkKind, PhaseKind
from coldpin.session.outages import spacing_of, supply_absent
from coldpin.session.reading import Asked, read_session
from tests.session.charges import METER, column, kinds, level, log_of, lost


def with_gap(first: int, last: int, **more: bool) -> Log:
    """The steady part of a charge, with rows missing."""
    keep = np.ones(3000, np.bool_)
    keep[first:last] = False
    return log_of((level("steady", 1000.0, 16.0), lost(300.0), level("steady", 700.0, 16.0)), keep=keep, **more)


def test_a_gap_says_nothing_of_the_supply() -> None:
    """Rows missing from a steady draw are not recorded, and no outage."""
    told = read_session(with_gap(200, 500), Asked(meter=METER))

    assert kinds(told) == ["steady", "not recorded", "steady", "supply lost", "steady"]
    assert [outage.shown_by for outage in told.outages] == ["voltage"]
    assert told.phases[1].power_w.why == "nothing was recorded"


def test_a_gap_over_an_outage_is_not_one_by_itself() -> None:
    """A logger fed by the same socket leaves a hole; that the supply was lost in it is not known from it."""
    told = read_session(with_gap(995, 1310), Asked(meter=METER))

    assert kinds(told) == ["steady", "not recorded", "steady"]
    assert told.outages == ()


def test_marks_show_that_a_gap_was_an_outage() -> None:
    """With the breaker's marks the same hole is a lost supply, and its ends are those of the marks."""
    marks = tuple(
        EventMark(kind=kind, at_s=Quantity(at, 0.5, "s"))
        for kind, at in ((MarkKind.BREAKER_OFF, 1000.0), (MarkKind.BREAKER_ON, 1300.0))
    )
    told = read_session(with_gap(995, 1310), Asked(meter=METER, marks=marks))
    (outage,) = told.outages
    (gap,) = told.gaps

    assert kinds(told) == ["steady", "supply lost", "steady"]
    assert (outage.shown_by, outage.start_s, outage.end_s) == ("marks", 1000.0, 1300.0)
    # only the seconds beside the marked loss can have carried power
    assert gap.energy_wh.value == pytest.approx(0.5 * 3650.0 * 18.0 / 3600.0, rel=0.1)


def test_an_outage_that_begins_in_a_gap_is_bracketed_by_it() -> None:
    """The row before is well, the row after is lost: it began somewhere between, and the gap is not all of it."""
    told = read_session(with_gap(900, 1100), Asked(meter=METER))
    (outage,) = told.outages

    assert kinds(told) == ["steady", "not recorded", "supply lost", "steady"]
    assert outage.start_bracket_s == (899.0, 1100.0)
    assert outage.end_bracket_s == (1299.0, 1300.0)


def test_a_gap_within_an_outage_is_part_of_it() -> None:
    """Both rows beside it show no voltage: one outage, told once."""
    told = read_session(with_gap(1100, 1200), Asked(meter=METER))

    assert [phase.kind for phase in told.phases][1:4] == [PhaseKind.SUPPLY_LOST] * 3
    (outage,) = told.outages
    assert (outage.start_s, outage.end_s) == (999.5, 1299.5)
    assert told.gaps[0].energy_wh.value == 0.0


@pytest.mark.hand("19 intervals of 1 s and one of 60 s: usual 1 s, gap from 5 s")
def test_the_log_itself_says_what_a_gap_is() -> None:
    """One long interval among many short ones is a gap; where every other is long, it is how the log runs."""
    rare = np.cumsum([0.0] + [1.0] * 30 + [60.0] + [1.0] * 30)
    often = np.cumsum([0.0] + [1.0, 60.0] * 30)

    assert spacing_of(rare).gap_from_s == 5.0
    assert spacing_of(often).gap_from_s == 300.0
    assert spacing_of(rare, gap_from=90.0).gap_from_s == 90.0


def test_a_sag_is_no_loss() -> None:
    """A fifth less is a bad mains; less than half, no supply; and a log without voltage shows neither."""
    volts = np.array([230.0] * 20 + [185.0] * 5 + [60.0] * 5)

    assert np.flatnonzero(supply_absent(volts, 30)).tolist() == [25, 26, 27, 28, 29]
    assert not supply_absent(None, 30).any()
    assert not supply_absent(np.zeros(30), 30).any()


def test_rows_without_a_value_are_a_gap_and_said() -> None:
    """What the logger left empty was not recorded."""
    amperes = np.full(600, 16.0)
    amperes[200:300] = np.nan
    told = read_session(Log(time_s=np.arange(600.0), channels=(column("I", LogQuantity.CURRENT, amperes),)))

    assert kinds(told) == ["steady", "not recorded", "steady"]
    assert "100 of 600 rows hold no value and are left out" in told.remarks


def test_a_meters_slip_is_not_the_supplys_voltage() -> None:
    """One row of 5 kV among a thousand makes no outage of the others; one lit row among lost ones is the supply."""
    volts = np.full(1000, 230.0)
    volts[400] = 5000.0
    lit = np.zeros(1000)
    lit[:5] = 230.0

    assert not supply_absent(volts, 1000).any()
    assert np.flatnonzero(~supply_absent(lit, 1000)).tolist() == [0, 1, 2, 3, 4]


def test_a_log_whose_first_rows_are_empty_begins_later() -> None:
    """Times count from the first row of the log, also where that holds no value; an outage is told all the same."""
    log = log_of((level("steady", 300.0, 16.0), lost(60.0), level("steady", 300.0, 16.0)))
    amperes = log.channels[0].values.copy()
    amperes[:100] = np.nan
    late = Log(
        time_s=log.time_s,
        channels=(column("I", LogQuantity.CURRENT, amperes, resolution=0.01), *log.channels[1:]),
    )
    told = read_session(late, Asked(meter=METER))

    assert (told.phases[0].start_s, told.phases[-1].end_s) == (100.0, 659.0)
    assert told.outages[0].start_s == 299.5
    assert len(told.reactions) == 1


def test_a_log_without_any_voltage_has_no_energy_and_no_doubt() -> None:
    """Current made with a voltage of zero throughout: nothing was drawn."""
    channels = (
        column("I", LogQuantity.CURRENT, np.zeros(300)),
        column("U", LogQuantity.VOLTAGE, np.zeros(300)),
    )
    told = read_session(Log(time_s=np.arange(300.0), channels=channels), Asked(meter=METER))

    assert (told.energy_wh.value, told.energy_wh.u) == (0.0, 0.0)


def test_a_single_row_between_two_gaps_is_no_ramp() -> None:
    """It goes nowhere."""
    time = np.concatenate([np.arange(100.0), [500.0], 900.0 + np.arange(100.0)])
    told = read_session(Log(time_s=time, channels=(column("I", LogQuantity.CURRENT, np.full(201, 16.0)),)))

    assert kinds(told) == ["steady", "not recorded", "varying", "not recorded", "steady"]


def test_stamps_that_stand_still_are_no_gaps() -> None:
    """Where nearly all rows have one stamp nothing can be said of gaps."""
    time = np.repeat([0.0, 1.0], 50)

    told = read_session(Log(time_s=time, channels=(column("I", LogQuantity.CURRENT, np.full(100, 16.0)),)))

    assert spacing_of(time).gap_from_s == np.inf
    assert json.loads(to_json(told))["source"]["gap_from_s"] is None
