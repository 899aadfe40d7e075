"""Phases: true ones are found between the rows where they change; cutting, thinning and shifting leave them."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from coldpin.quantity import Quantity
from coldpin.records.log import Log, LogChannel, LogQuantity
from coldpin.records.session import EventMark, MarkKind, PhaseKind
from coldpin.session.outages import spacing_of
from coldpin.session.reading import Asked, read_session
from tests.session.charges import METER, ORDINARY, Part, column, edges, kinds, level, log_of, ramp, rest

TRUE_KINDS = [part.kind for part in ORDINARY]


@pytest.mark.parametrize("noise", [0.0, 0.02, 0.1])
@pytest.mark.parametrize("logged", ["current", "power", "all"])
def test_every_true_phase_is_found_within_stamps(
    logged: str, noise: float, measured: Callable[[str, float, str, str], None]
) -> None:
    """Each true change lies in the bracket that is told, or beside it where noise hides the foot of a ramp."""
    log = log_of(noise=noise, power=logged != "current", current=logged != "power")
    told = read_session(log, Asked(meter=METER))
    late = [
        max(phase.start_bracket_s[0] - true, true - phase.start_bracket_s[1], 0.0)
        for phase, true in zip(told.phases, edges(ORDINARY), strict=True)
    ]

    assert kinds(told) == TRUE_KINDS
    assert max(late) <= 2.0
    measured(f"worst edge of a phase beside its bracket, {logged}, noise {noise:g} A", max(late), "s", "≤ 2 rows")


def test_steps_lie_between_two_rows() -> None:
    """Where the current steps, the bracket is one interval and holds the truth."""
    parts = (rest("waiting", 60.4), level("steady", 300.3, 16.0), level("reduced", 200.6, 8.0), rest("ended", 60.0))
    told = read_session(log_of(parts, noise=0.02), Asked(meter=METER))

    assert kinds(told) == [part.kind for part in parts]
    for phase, true in zip(told.phases[1:], edges(parts)[1:], strict=True):
        low, high = phase.start_bracket_s
        assert low <= true <= high
        assert high - low == 1.0
        assert phase.start_s == 0.5 * (low + high)


def test_phases_cover_the_log_without_hole_or_overlap() -> None:
    """One ends where the next begins, from the first row to the last."""
    told = read_session(log_of(), Asked(meter=METER))

    assert told.phases[0].start_s == 0.0
    assert told.phases[-1].end_s == told.source.duration_s
    for before, after in zip(told.phases[:-1], told.phases[1:], strict=True):
        assert before.end_s == after.start_s
        assert before.end_bracket_s == after.start_bracket_s


def test_the_level_of_a_phase_is_that_of_its_truth() -> None:
    """Current, power and power factor of a steady phase hold the true ones in their intervals."""
    told = read_session(log_of(), Asked(meter=METER))
    steady = next(phase for phase in told.phases if phase.kind is PhaseKind.STEADY)

    assert steady.power_factor is not None
    for quantity, true in (
        (steady.current_a, 16.0),
        (steady.power_w, 16.0 * 230.0 * 0.99),
        (steady.power_factor, 0.99),
    ):
        assert quantity.low is not None
        assert quantity.high is not None
        assert quantity.low < true < quantity.high


def shifted(log: Log, by: float) -> Log:
    """The same log, begun at another time."""
    return Log(time_s=log.time_s + by, channels=log.channels)


@given(st.floats(-1e5, 1e5))
def test_a_shift_of_time_shifts_phases(by: float) -> None:
    """Times move with the log, kinds and currents stay."""
    log = log_of()
    here, there = read_session(log), read_session(shifted(log, by))

    assert kinds(here) == kinds(there)
    for a, b in zip(here.phases, there.phases, strict=True):
        assert b.start_s - a.start_s == pytest.approx(by, abs=1e-6)
        assert b.current_a.value == pytest.approx(a.current_a.value, rel=1e-6, abs=1e-9)


@given(st.integers(0, 2**32 - 1), st.floats(0.6, 1.0))
@example(11250081, 0.7578125)
def test_thinning_leaves_the_phases(seed: int, kept_share: float) -> None:
    """Rows lost here and there widen the brackets and change no kind; no gap comes of it, but of many lost in a row."""
    keep = np.random.default_rng(seed).random(10_000) < kept_share
    keep[[0]] = True
    log = log_of(keep=keep)
    told = read_session(log)
    between = np.diff(log.time_s)
    long = between[between >= spacing_of(log.time_s).gap_from_s]
    if long.size:
        assert len(told.gaps) <= long.size
        assert all(gap.end_s - gap.start_s <= long.max() + 1e-6 for gap in told.gaps)
        return

    assert [kind for kind in kinds(told) if kind != "ramp"] == [kind for kind in TRUE_KINDS if kind != "ramp"]
    assert not told.gaps
    for phase, true in zip(
        (phase for phase in told.phases if phase.kind is not PhaseKind.RAMP),
        (begin for begin, part in zip(edges(ORDINARY), ORDINARY, strict=True) if part.kind != "ramp"),
        strict=True,
    ):
        assert phase.start_bracket_s[0] - 10.0 <= true <= phase.start_bracket_s[1] + 10.0


@given(st.integers(200, 2600))
def test_cutting_leaves_what_came_before(rows: int) -> None:
    """The phases of the first rows are those of the whole, but for the last, which is still going on."""
    whole = log_of()
    part = Log(
        time_s=whole.time_s[:rows],
        channels=tuple(
            LogChannel(name=c.name, quantity=c.quantity, unit=c.unit, values=c.values[:rows], resolution=c.resolution)
            for c in whole.channels
        ),
    )
    before, after = read_session(whole).phases, read_session(part).phases
    settled = [phase for phase in after[:-2] if phase.kind is not PhaseKind.PAUSED]

    for phase in settled:
        assert any(abs(phase.start_s - other.start_s) <= 1.0 and phase.kind is other.kind for other in before), (
            phase.kind
        )


@given(st.sampled_from([1e-3, 7e-3, 1e3]))
def test_the_unit_of_the_file_is_none_of_the_phases(factor: float) -> None:
    """What was written in mA or kA is kept in A: a round trip through another unit moves no edge."""
    log = log_of()
    again = Log(
        time_s=log.time_s,
        channels=tuple(
            column(c.name, c.quantity, c.values * factor / factor, resolution=c.resolution) for c in log.channels
        ),
    )

    assert [(p.kind, p.start_s) for p in read_session(again).phases] == [
        (p.kind, p.start_s) for p in read_session(log).phases
    ]


@pytest.mark.parametrize("wobble", [0.0, 0.15])
def test_a_taper_is_one_ramp(wobble: float) -> None:
    """The end of a charge, where the current falls for minutes, is a change and not a stair of levels."""
    parts = (level("steady", 600.0, 16.0), ramp(900.0, 16.0, 2.0), rest("ended", 60.0))
    told = read_session(log_of(parts, noise=0.02 + 0.1 * wobble))

    assert kinds(told) == ["steady", "ramp", "ended"]


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("end", [1.45, 1.5, 1.55, 1.6, 1.65])
def test_the_foot_of_a_ramp_that_is_cut_off_is_no_level(end: float, seed: int) -> None:
    """A row every ten seconds, a few hundredths of an ampere each: its last rows are too few to show that they fall."""
    parts = (level("steady", 600.0, 4.0), ramp(1000.0, 4.0, end), rest("ended", 200.0))
    told = read_session(log_of(parts, step_s=10.0, noise=0.02, seed=seed))

    assert kinds(told) == ["steady", "ramp", "ended"]


def test_a_short_level_at_the_end_of_a_quick_ramp_is_told() -> None:
    """It outlasts what the ramp took to pass as much: a car that waits a little before it stops."""
    parts = (level("steady", 600.0, 16.0), ramp(20.0, 16.0, 6.0), level("reduced", 20.0, 6.0), rest("ended", 60.0))
    told = read_session(log_of(parts))

    assert kinds(told) == ["steady", "ramp", "reduced", "ended"]


def test_a_draw_that_settles_nowhere_is_varying() -> None:
    """Going to and fro without a level is neither a ramp nor a level."""
    random = np.random.default_rng(3)
    amperes = 8.0 + 4.0 * np.sin(np.arange(600.0) / 3.0) + random.normal(0.0, 0.3, 600)
    told = read_session(Log(time_s=np.arange(600.0), channels=(column("I", LogQuantity.CURRENT, amperes),)))

    assert kinds(told) == ["varying"]


def test_a_log_of_nothing_drawn_is_waiting() -> None:
    """No charge is in it, and that is said."""
    told = read_session(Log(time_s=np.arange(600.0), channels=(column("P", LogQuantity.POWER, np.full(600, 2.0)),)))

    assert kinds(told) == ["waiting"]
    assert "nothing was drawn in this log: no charge is in it" in told.remarks


def test_a_single_row_without_draw_is_a_pause() -> None:
    """What the meter wrote down is told, even if it was one row."""
    amperes = np.full(600, 16.0)
    amperes[300] = 0.0
    told = read_session(Log(time_s=np.arange(600.0), channels=(column("I", LogQuantity.CURRENT, amperes),)))

    assert kinds(told) == ["steady", "paused", "steady"]
    assert (told.phases[1].start_bracket_s, told.phases[1].end_bracket_s) == ((299.0, 300.0), (300.0, 301.0))


def test_after_an_hour_without_draw_nothing_is_called_reduced() -> None:
    """A second charge with a lower offer is steady at its own level; that it may be another charge is said."""
    parts = (level("steady", 600.0, 16.0), rest("paused", 4000.0), level("steady", 600.0, 10.0))
    told = read_session(log_of(parts))

    assert kinds(told) == ["steady", "paused", "steady"]
    assert any("two cannot be seen" in remark for remark in told.remarks)


def test_marks_of_a_breaker_show_a_loss_where_no_voltage_was_logged() -> None:
    """Rows without draw between breaker off and on are a lost supply; without the marks they are a pause."""
    parts = (level("steady", 600.0, 16.0), rest("paused", 120.0), level("steady", 600.0, 16.0))
    log = log_of(parts, voltage=False)
    marks = tuple(
        EventMark(kind=kind, at_s=Quantity(at, 0.3, "s"))
        for kind, at in ((MarkKind.BREAKER_OFF, 599.8), (MarkKind.BREAKER_ON, 700.0))
    )
    told = read_session(log, Asked(meter=METER, marks=marks))

    assert kinds(read_session(log, Asked(meter=METER))) == ["steady", "paused", "steady"]
    assert kinds(told) == ["steady", "supply lost", "paused", "steady"]
    (outage,) = told.outages
    assert outage.shown_by == "marks"
    assert outage.start_s == pytest.approx(600.0, abs=1.0)


def test_without_an_accuracy_there_is_no_uncertainty() -> None:
    """The values stand, and why nothing is known of them."""
    told = read_session(log_of())

    assert all(phase.current_a.u is None for phase in told.phases)
    assert told.phases[0].current_a.why == "the accuracy of the meter is not stated"
    assert told.energy_wh.u is None


def test_a_current_alone_needs_a_voltage_for_its_power() -> None:
    """Without one the power is not known, and null in the record; with one it is a most, the power factor unknown."""
    log = log_of(voltage=False, power=False)
    bare = read_session(log, Asked(meter=METER))
    told = read_session(log, Asked(meter=METER, voltage=Quantity(230.0, 2.3, "V")))
    steady = told.phases[2]

    assert bare.phases[2].power_w.as_json()["value"] is None
    assert bare.energy_wh.as_json()["value"] is None
    assert steady.power_w.value == pytest.approx(16.0 * 230.0, rel=0.002)
    assert (steady.power_w.u, steady.power_w.low) == (None, None)
    assert steady.current_a.u is not None
    relative = np.hypot(steady.current_a.u / 16.0, 0.01)
    assert steady.power_w.high == pytest.approx(steady.power_w.value * (1.0 + 1.96 * relative), rel=0.001)


TAKEN: tuple[Part, ...] = (level("steady", 300.0, 16.0), rest("ended", 60.0))


@pytest.mark.parametrize(
    ("channel", "said"),
    [
        (column("I", LogQuantity.CURRENT, 16000.0 * np.ones(300)), "in thousandths"),
        (column("I", LogQuantity.CURRENT, 0.016 * np.ones(300)), "no car charges with so little"),
        (column("P", LogQuantity.POWER, -3680.0 * np.ones(300)), "the wrong way round"),
        (column("I", LogQuantity.CURRENT, -16.0 * np.ones(300)), "the least current is −16 A"),
        (column("P", LogQuantity.POWER, 3.68 * np.ones(300)), "was the column in kW"),
    ],
)
def test_what_is_implausible_is_questioned_and_kept(channel: LogChannel, said: str) -> None:
    """Milliamperes by mistake, a sensor turned round: a remark asks, and the values stand as they were read."""
    told = read_session(Log(time_s=np.arange(300.0), channels=(channel,)))
    value = told.phases[0].current_a if channel.quantity is LogQuantity.CURRENT else told.phases[0].power_w

    assert any(said in remark and "Nothing was changed" in remark for remark in told.remarks)
    assert value.value == pytest.approx(float(channel.values[0]))


def test_power_that_disagrees_with_voltage_and_current_is_questioned() -> None:
    """Power in kilowatts beside volts and amperes is a thousand times too small."""
    channels = (
        column("I", LogQuantity.CURRENT, np.full(300, 16.0)),
        column("U", LogQuantity.VOLTAGE, np.full(300, 230.0)),
        column("P", LogQuantity.POWER, np.full(300, 3.68)),
    )
    told = read_session(Log(time_s=np.arange(300.0), channels=channels))

    assert any("power is 0.001 times voltage times current" in remark for remark in told.remarks)


def test_a_plug_that_was_pulled_ends_a_charge() -> None:
    """With the mark the time without a draw is an end, and the next charge is steady at its own level."""
    parts = (level("steady", 600.0, 16.0), rest("paused", 600.0), level("reduced", 600.0, 10.0), rest("ended", 60.0))
    pulled = EventMark(kind=MarkKind.PLUG_PULLED, at_s=Quantity(900.0, 1.0, "s"))

    assert kinds(read_session(log_of(parts))) == ["steady", "paused", "reduced", "ended"]
    assert kinds(read_session(log_of(parts), Asked(marks=(pulled,)))) == ["steady", "ended", "steady", "ended"]


def test_what_power_alone_cannot_tell_is_said() -> None:
    """Power follows the mains: a change of a twentieth is not told apart, and the remark says so."""
    told = read_session(log_of(current=False, voltage=False))

    assert any("less than 6 % are not told apart" in remark for remark in told.remarks)


def test_a_voltage_that_is_none_of_a_mains_is_questioned() -> None:
    """Kilovolts by mistake."""
    channels = (
        column("I", LogQuantity.CURRENT, np.full(300, 16.0)),
        column("U", LogQuantity.VOLTAGE, np.full(300, 0.23)),
    )
    told = read_session(Log(time_s=np.arange(300.0), channels=channels), Asked(meter=METER))

    assert any("was the column in kV" in remark for remark in told.remarks)
    assert told.energy_wh.u is None


@pytest.mark.hand("3680 W for 600 000 s are 613 kWh")
@pytest.mark.parametrize(("scale", "asked"), [(1.0, False), (1000.0, True)])
def test_milliseconds_taken_for_seconds_are_questioned(scale: float, asked: bool) -> None:
    """More than any car holds, drawn without a pause."""
    watts = column("P", LogQuantity.POWER, np.r_[np.zeros(60), np.full(600, 3680.0), np.zeros(60)])
    told = read_session(Log(time_s=scale * np.arange(720.0), channels=(watts,)))

    assert any("no car holds so much" in remark for remark in told.remarks) is asked


def test_values_beyond_the_range_of_the_meter_leave_nothing_sure() -> None:
    """What was largest is what is missing: the current left over is not within the offer."""
    channel = column("I", LogQuantity.CURRENT, np.full(300, 9.9), beyond=12)
    offer = Quantity(10.0, 0.02, "A")
    told = read_session(Log(time_s=np.arange(300.0), channels=(channel,)), Asked(meter=METER, offer=offer))

    assert [one.outcome for one in told.offer] == ["undecided"]
    assert any("12 values of the current were beyond the meter's range" in remark for remark in told.remarks)
