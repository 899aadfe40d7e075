"""Checks of a charge on a car and of the idle unit: what they say, of which car, and what they refuse to say."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coldpin.checks import BenchEvidence, LogEvidence, find_check, run_checks
from coldpin.checks.charging_bench import CAR_LAST, NOT_UNDER_LOAD
from coldpin.checks.charging_logs import charges
from coldpin.records.entry import Entry, EntryKind, EvidenceFile
from coldpin.records.finding import Finding, Outcome
from coldpin.records.instrument import Instrument
from coldpin.records.log import Log
from coldpin.records.session import SessionReading
from coldpin.session.reading import Asked, read_session
from tests.checks.bench import CLAIMS, INSTRUMENTS, entry, evidence
from tests.session.charges import Part, level, log_of, lost, rest

METER = Instrument(
    name="logging meter",
    kind="power meter",
    statements={"power": "1 % + 0.005 W", "current": "1 % + 0.02 A", "voltage": "0.5 %", "time": "0.5 s"},
)
OFF = (level("steady", 600.0, 15.6), rest("ended", 60.0))


def filed(
    log: Log,
    *entries: Entry,
    name: str = "log1",
    instrument: str = "logger",
    claims: object = CLAIMS,
    **conditions: str,
) -> BenchEvidence:
    """A case with one charging log and other entries."""
    logged = entry(
        "charging log",
        name=name,
        kind=EntryKind.EVIDENCE,
        instrument=instrument,
        conditions={"car": "own", **conditions},
    )
    bench = evidence(logged, *entries, claims=claims)  # type: ignore[arg-type]  # the claims of the small bench
    return replace(bench, logs=(LogEvidence(entry=logged, log=log),), instruments={**INSTRUMENTS, "logger": METER})


def mark(event: str, at: str, name: str = "m1", instrument: str = "logger", **conditions: str) -> Entry:
    """An event mark as somebody recorded it."""
    stated = {"event": event, **conditions}
    return entry("event mark", name=name, readings=(at,), instrument=instrument, conditions=stated)


def found(bench: BenchEvidence) -> dict[str, Finding]:
    """All findings by id; nothing may have been set aside."""
    results = run_checks(bench)
    assert results.problems == ()
    return {finding.id: finding for finding in results.findings}


def of(*parts: Part) -> Log:
    """A log of these."""
    return log_of(parts)


@pytest.mark.parametrize(
    ("offer", "outcome"), [("16 A ± 0.1 A", "within"), ("15.6 A ± 0.1 A", "undecided"), ("13 A ± 0.1 A", "beyond")]
)
def test_the_current_drawn_is_held_against_the_offer(offer: str, outcome: str) -> None:
    """Of the offer stated with the log; the sentence says what the car drew and what it was offered."""
    finding = found(filed(log_of(OFF), offer=offer))["session-current.drawn"]

    assert finding.outcome == outcome
    assert finding.statement.startswith("The car drew 15.60 A ± ")
    assert finding.remarks == ("Seen on this car; another may do otherwise. It was: own.",)
    assert finding.functions == ()


def test_a_claim_is_no_offer_and_an_unknown_meter_decides_nothing() -> None:
    """A unit may be set below what it claims: without the offer, or the meter's accuracy, nothing is decided."""
    claimed = found(filed(log_of(OFF)))["session-current.drawn"]
    unstated = found(filed(log_of(OFF), instrument="", offer="16 A ± 0.1 A"))["session-current.drawn"]

    for finding in (claimed, unstated):
        assert (finding.outcome, finding.probability) == (Outcome.UNDECIDED, None)
        assert "it cannot be said whether it kept to the offer" in finding.statement
    assert "by the claim" in claimed.statement


@pytest.mark.parametrize("more", [{"clock": "watch"}, {"instrument": ""}])
def test_a_release_at_a_moment_nobody_knows_is_undecided(more: dict[str, str]) -> None:
    """By a clock that was never aligned, or without limits: long after the end by its own time, and yet open."""
    bench = filed(of(level("steady", 600.0, 15.6), rest("ended", 300.0)), mark("lock released", "700 s", **more))
    finding = found(bench)["session-stop.release"]

    assert (finding.outcome, finding.probability) == (Outcome.UNDECIDED, None)
    assert "the current is not known" in finding.statement


@pytest.mark.parametrize(
    ("instrument", "more"),
    [("", {"offer": "10.4 A"}), ("logger", {"offer": "10.4 A"}), ("", {"offer": "10.4 A ± 0.1 A"})],
)
def test_noise_about_an_offer_is_not_a_slow_car(instrument: str, more: dict[str, str]) -> None:
    """Rows above an offer say nothing where the accuracy of meter or offer is not stated."""
    log = of(level("steady", 302.0, 15.6), level("reduced", 300.0, 10.4))
    finding = found(filed(log, mark("offer lowered", "300 s", **more), instrument=instrument))["offer-followed.time"]

    assert (finding.outcome, finding.probability) == (Outcome.UNDECIDED, None)
    assert "not stated" in finding.statement or "no uncertainty was written" in finding.statement


def test_a_lowered_offer_by_a_clock_nobody_aligned_accuses_no_car() -> None:
    """Neither of drawing more than it, nor of following late."""
    log = of(level("steady", 700.0, 15.6), level("reduced", 600.0, 9.7))
    lowered = mark("offer lowered", "100 s ± 1 s", offer="10 A ± 0.1 A", clock="watch")
    told = found(filed(log, lowered, offer="16 A ± 0.1 A"))

    assert {name: told[name].outcome for name in ("session-current.drawn", "offer-followed.time")} == {
        "session-current.drawn": Outcome.UNDECIDED,
        "offer-followed.time": Outcome.UNDECIDED,
    }


def test_each_log_is_read_once_for_all_checks(monkeypatch: pytest.MonkeyPatch) -> None:
    """Four checks take the charges of a case; other evidence is read anew."""
    count = 0

    def counted(log: Log, asked: Asked) -> SessionReading:
        nonlocal count
        count += 1
        return read_session(log, asked)

    monkeypatch.setattr("coldpin.checks.charging_logs.read_session", counted)
    bench = filed(log_of(OFF), offer="16 A ± 0.1 A")
    found(bench)
    assert count == 1
    assert charges(bench.without("log1")) == ()
    assert len(charges(replace(bench))) == 1
    assert count == 2


def test_a_lowered_offer_is_followed_in_time_or_not() -> None:
    """Two seconds are within, a quarter of a minute is not, and what was not watched long enough is open."""
    down = (level("steady", 302.0, 15.6), level("reduced", 300.0, 9.7))
    lowered = mark("offer lowered", "300 s", offer="10 A ± 0.1 A")
    quick = found(filed(of(*down), lowered))["offer-followed.time"]
    slow = found(filed(of(level("steady", 315.0, 15.6), level("reduced", 300.0, 9.7)), lowered))["offer-followed.time"]
    never = found(filed(of(level("steady", 600.0, 15.6)), lowered))["offer-followed.time"]
    short = found(filed(of(level("steady", 303.0, 15.6)), lowered))["offer-followed.time"]

    assert [finding.outcome.value for finding in (quick, slow, never, short)] == [
        "within",
        "beyond",
        "beyond",
        "undecided",
    ]
    assert quick.limit is not None
    assert (quick.limit.id, quick.limit.maximum) == ("timing.follow-offer", 5.0)
    assert quick.evidence == ("log1", "m1")
    assert "the car drew more than that: longer than" in never.statement


def test_a_mark_by_another_clock_is_aligned_or_decides_nothing() -> None:
    """By a breaker that both saw, or by an offset; without either the time is not judged."""
    parts = (level("steady", 200.0, 15.6), lost(30.0), level("steady", 302.0, 15.6), level("reduced", 300.0, 9.7))
    lowered = mark("offer lowered", "1030 s ± 0.5 s", offer="10 A ± 0.1 A", clock="watch")
    off = mark("breaker off", "700 s ± 0.5 s", name="m2", clock="watch")
    by_breaker = found(filed(of(*parts), lowered, off))["offer-followed.time"]
    by_offset = found(filed(of(*parts), replace(lowered, conditions={**lowered.conditions, "offset": "-500 s ± 1 s"})))
    alone = found(filed(of(*parts), lowered)).get("offer-followed.time")

    assert by_breaker.outcome is Outcome.WITHIN
    assert by_offset["offer-followed.time"].outcome is Outcome.WITHIN
    assert alone is None or alone.outcome is Outcome.UNDECIDED


def test_a_clock_that_cannot_be_aligned_costs_its_marks_alone() -> None:
    """The log shows two losses of the supply: what needs no mark is found, what hangs on one is open, and why."""
    parts = (level("steady", 700.0, 15.6), lost(30.0), level("steady", 700.0, 15.6), lost(30.0), rest("ended", 300.0))
    off = mark("breaker off", "900 s ± 0.5 s", clock="watch")
    late = mark("lock released", "1700 s ± 0.5 s", name="m2", clock="watch")
    lowered = mark("offer lowered", "1690 s ± 0.5 s", name="m3", offer="10 A ± 0.1 A", clock="watch")
    results = run_checks(filed(of(*parts), off, late, offer="16 A ± 0.1 A"))
    told = {finding.id: finding for finding in results.findings}
    slow = found(filed(of(*parts), off, lowered, offer="16 A ± 0.1 A"))

    assert results.problems == ()
    assert told["session-current.drawn"].outcome is Outcome.WITHIN
    assert "session-interruption.goes-on" in told
    for finding in (told["session-stop.release"], slow["offer-followed.time"], slow["session-current.drawn"]):
        assert (finding.outcome, finding.probability) == (Outcome.UNDECIDED, None)
        assert "the clock 'watch' cannot be aligned by 'breaker off': the log shows it 2 times" in finding.statement


def test_a_lost_supply_is_told_and_neither_answer_is_wrong() -> None:
    """It goes on by itself, or it does not; a gap in the log is no loss of the supply."""
    again = found(
        filed(of(level("steady", 300.0, 15.6), lost(60.0), rest("paused", 20.0), level("steady", 300.0, 15.6)))
    )
    stays = found(filed(of(level("steady", 300.0, 15.6), lost(60.0), rest("ended", 700.0))))
    short = found(filed(of(level("steady", 300.0, 15.6), lost(60.0), rest("ended", 300.0))))
    none = run_checks(filed(log_of(OFF)))

    finding = again["session-interruption.goes-on"]
    assert (finding.outcome, finding.answer) == (Outcome.WITHIN, "yes")
    assert finding.statement == (
        "The supply was lost for 60 s, as the voltage shows. After the supply returned the draw began again after "
        "20.00 s ± 0.80 s: by itself, unless somebody acted, which a log does not show."
    )
    assert stays["session-interruption.goes-on"].answer == "no"
    unseen = short["session-interruption.goes-on"]
    assert (unseen.outcome, unseen.answer) == (Outcome.UNDECIDED, "cannot tell")
    assert unseen.statement.endswith("some units wait on purpose, watch for 600 s.")
    assert "session-interruption" in {open_.check for open_ in none.not_tested}


def test_a_unit_that_does_not_do_the_same_each_time() -> None:
    """Once it went on, once it stayed off: said, and undecided."""
    parts = (
        level("steady", 300.0, 15.6),
        lost(60.0),
        rest("paused", 20.0),
        level("steady", 300.0, 15.6),
        lost(60.0),
        rest("ended", 700.0),
    )
    finding = found(filed(of(*parts)))["session-interruption.goes-on"]

    assert (finding.outcome, finding.answer) == (Outcome.UNDECIDED, "cannot tell")
    assert finding.statement.startswith("It did not do the same each time.")


def stop(way: str, answer: str, lock: str = "", name: str = "s1") -> Entry:
    """An answer of whoever tried to stop."""
    return entry("stop by user", name=name, answer=answer, conditions={"way": way, "lock": lock, "car": "own"})


@pytest.mark.parametrize(
    ("answers", "outcome", "said"),
    [
        ((("car", "yes", "released"),), "within", "at the car: stopped, the lock let go"),
        ((("car", "yes", "kept"), ("unit", "no", "")), "beyond", "at the car: stopped, the lock kept the plug"),
        ((("car", "yes", "kept"), ("source", "yes", "released")), "within", "at the supply: stopped, the lock let go"),
        ((("unit", "cannot tell", ""),), "undecided", "at the unit: whoever tried it could not tell"),
        ((("car", "yes", ""),), "undecided", "at the car: stopped, what the lock did is not recorded"),
        ((("car", "yes", "none"),), "within", "at the car: stopped, no lock holds the plug"),
        ((("car", "no", "kept"), ("car", "yes", "released")), "beyond", "at the car: did not stop, the lock kept"),
        ((("car", "no", "kept"), ("unit", "yes", "released")), "within", "at the unit: stopped, the lock let go"),
    ],
)
def test_one_way_out_is_enough(answers: tuple[tuple[str, str, str], ...], outcome: str, said: str) -> None:
    """A way that stops the charge and keeps the plug is no way out; it is good practice, and no duty known to us."""
    entries = [stop(*answer, name=f"s{place}") for place, answer in enumerate(answers)]
    finding = found(evidence(*entries))["session-stop.ways"]

    assert finding.outcome == outcome
    assert said in finding.statement
    assert finding.duty is False


@pytest.mark.parametrize(
    ("reading", "outcome"), [("0.02 A ± 0.02 A", "within"), ("4.1 A ± 0.1 A", "beyond"), ("> 10 A", "beyond")]
)
def test_the_current_at_release_is_gone_or_still_there(reading: str, outcome: str) -> None:
    """A clamp's reading, against our threshold beside the text's order of events."""
    finding = found(evidence(entry("current at release", readings=(reading,), conditions={"way": "car"})))
    release = finding["session-stop.release"]

    assert release.outcome == outcome
    assert release.limit is not None
    assert (release.limit.id, release.limit.asserted_by) == ("charging.released-unloaded", "us")


@pytest.mark.parametrize(("at", "outcome"), [("630 s", "within"), ("598 s", "beyond"), ("600 s", "undecided")])
def test_the_current_at_a_marked_release_is_read_from_the_log(at: str, outcome: str) -> None:
    """After the end of the draw, two seconds before it, or at its end, where the mark cannot tell which."""
    release = found(filed(log_of(OFF), mark("lock released", at)))["session-stop.release"]

    assert release.outcome == outcome
    assert "When the coupler was released at 'lock released'" in release.statement


STANDBY = {"power factor": "0.12", "accuracy from power": "0.1 W", "accuracy from power factor": "0.1"}


def standby(reading: str, instrument: str = "logger", **more: str) -> BenchEvidence:
    """A case with a standby power."""
    stated = {**STANDBY, **{key.replace("_", " "): value for key, value in more.items()}}
    bench = evidence(entry("standby power", readings=(reading,), instrument=instrument, conditions=stated))
    return replace(bench, instruments={**INSTRUMENTS, "logger": METER})


@pytest.mark.parametrize(("reading", "outcome"), [("0.62 W", "within"), ("1.00 W", "undecided"), ("2.40 W", "beyond")])
def test_the_idle_unit_is_placed_beside_common_practice(reading: str, outcome: str) -> None:
    """With a year's energy and cost; no function hangs on it."""
    finding = found(standby(reading, price="0.35 EUR/kWh"))["standby-power.mean"]

    assert finding.outcome == outcome
    assert "EUR at 0.35 EUR/kWh" in finding.statement
    assert finding.functions == ()


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"instrument": ""}, "without the meter's accuracy is refused"),
        ({"accuracy_from_power": ""}, "say from which power and power factor"),
        ({"accuracy_from_power": "5 W"}, "stated from 5.0 W on"),
        ({"accuracy_from_power_factor": "0.5"}, "stated from 0.5 on"),
        ({"power_factor": ""}, "needs the load's power factor"),
        ({"reading": "< 0.5 W"}, "beyond the meter's range (< 0.5 W) is no power"),
    ],
)
def test_a_standby_power_is_refused_where_the_meter_is_not_known_to_tell(more: dict[str, str], said: str) -> None:
    """The entry is set aside with the reason, and the check counts as not tested."""
    results = run_checks(standby(**{"reading": "0.62 W", **more}))

    assert [said in problem.what for problem in results.problems] == [True]
    assert "standby-power" in {open_.check for open_ in results.not_tested}


@pytest.mark.parametrize("name", ["session-current", "session-stop", "session-interruption", "offer-followed"])
def test_the_car_comes_last_and_no_loaded_coupler_is_pulled(name: str) -> None:
    """The cautions say so, and wiring map, earth, insulation and levels are hold points before the first car."""
    bench = find_check(name).bench
    held = " ".join(bench.hold_points)

    assert {CAR_LAST, NOT_UNDER_LOAD} <= set(bench.cautions)
    for word in ("Wiring map", "earth resistance", "insulation", "levels and offer", "vehicle simulator"):
        assert word in held
    assert "this unit with this car" in bench.transfers


def test_marks_belong_to_one_log() -> None:
    """With two logs a mark must name the one it belongs to."""
    bench = filed(log_of(OFF), mark("unlock", "300 s"))
    file = EvidenceFile(media="text/csv", file="charge-0123.csv", original_name="charge.csv", sha256="0" * 64)
    other = replace(bench.logs[0].entry, id="log2", evidence=file)
    both = replace(bench, logs=(*bench.logs, LogEvidence(entry=other, log=bench.logs[0].log)))

    def named(log: str) -> list[int]:
        """How many marks each log has, where the mark names one."""
        entries = tuple(
            replace(one, conditions={**one.conditions, "log": log}) if one.id == "m1" else one for one in both.entries
        )
        return [len(charge.marks) for charge in charges(replace(both, entries=entries))]

    assert any("there are several charging logs" in problem.what for problem in run_checks(both).problems)
    assert named("log2") == named("charge.csv") == named("charge-0123.csv") == [0, 1]
    assert named("log1") == [1, 0]


def test_conditions_of_a_log_complete_it() -> None:
    """A voltage for a log without one, and from when on a time without a row is a gap."""
    parts = (level("steady", 300.0, 15.6), rest("ended", 60.0))
    bare = log_of(parts, voltage=False, power=False)
    (without,) = charges(filed(bare))
    (completed,) = charges(filed(bare, voltage="230 V ± 2 V", gap="90 s"))

    assert without.reading.energy_wh.as_json()["value"] is None
    assert completed.reading.energy_wh.value == pytest.approx(15.6 * 230.0 * 300.0 / 3600.0, rel=0.01)
    assert completed.reading.source.gap_from_s == 90.0


@pytest.mark.parametrize(
    ("entries", "more", "said"),
    [
        ((), {"instrument": "lost one"}, "instrument 'lost one' is not on the shelf (known: logger, meter"),
        ((), {"offer": "16"}, "condition 'offer' = '16'"),
        ((), {"voltage": "230 A"}, "condition 'voltage' = '230 A'"),
        ((mark("offer lowered", "300 s", offer="ten"),), {}, "condition 'offer' = 'ten'"),
    ],
)
def test_what_cannot_be_read_of_a_charge_names_its_entry(
    entries: tuple[Entry, ...], more: dict[str, str], said: str
) -> None:
    """One entry costs itself; the message says which condition and what is wrong."""
    problems = run_checks(filed(log_of(OFF), *entries, **more)).problems

    assert any(said in problem.what for problem in problems), problems
    assert {problem.where for problem in problems} == {f"entry {'m1' if entries else 'log1'}"}


def test_a_log_that_is_none_of_a_charge_costs_its_entry() -> None:
    """A log of temperatures filed under the wrong word is said, and nothing else is lost."""
    log = log_of(OFF)
    cold = Log(time_s=log.time_s, channels=())
    results = run_checks(filed(cold, stop("car", "yes", "released")))

    assert any("known to hold a power or a current" in problem.what for problem in results.problems)
    assert "session-stop.ways" in {finding.id for finding in results.findings}


def test_a_release_after_the_log_ended_is_open() -> None:
    """No current in the last row is none at the last row: what flowed an hour later nobody saw."""
    bench = filed(of(level("steady", 600.0, 15.6), rest("ended", 300.0)), mark("plug pulled", "5000 s"))
    finding = found(bench)["session-stop.release"]

    assert finding.outcome is Outcome.UNDECIDED
    assert "the log runs from 0 s to 899 s" in finding.statement


def test_a_car_that_had_nothing_to_follow_is_not_within_the_time() -> None:
    """Nor does it cover what another mark shows."""
    low = of(level("steady", 600.0, 9.7))
    lowered = mark("offer lowered", "300 s", offer="10 A ± 0.1 A")
    finding = found(filed(low, lowered))["offer-followed.time"]

    assert (finding.outcome, finding.probability) == (Outcome.UNDECIDED, None)
    assert "whether it follows was not seen" in finding.statement


def test_a_car_that_hunts_above_the_offer_is_not_within_it() -> None:
    """A level within the offer before and after does not cover what is drawn between."""
    parts = [level("steady", 300.0, 15.5)]
    parts += [level("varying", 3.0, 12.0 if turn % 2 else 22.0) for turn in range(60)]
    finding = found(filed(of(*parts, level("steady", 300.0, 15.5)), offer="16 A ± 0.1 A"))["session-current.drawn"]

    assert finding.outcome is Outcome.UNDECIDED
    assert "The car drew 22" in finding.statement
    assert "above the offer for" in finding.statement


@pytest.mark.parametrize(
    ("recorded", "said"),
    [
        ((), "Which car it was is not recorded."),
        ((entry("vehicle recorded", name="v1", conditions={"car": "a small van"}),), "It was: a small van."),
        ((entry("vehicle recorded", name="v1"),), "It was: the one recorded in v1."),
        (
            tuple(entry("vehicle recorded", name=name, conditions={"car": name}) for name in ("v1", "v2")),
            "Which car it was is not recorded.",
        ),
    ],
)
def test_the_one_car_that_was_recorded_is_the_car_of_a_log_that_names_none(
    recorded: tuple[Entry, ...], said: str
) -> None:
    """Of two nobody knows which."""
    finding = found(filed(log_of(OFF), *recorded, offer="16 A ± 0.1 A", car=""))["session-current.drawn"]

    assert finding.remarks == (f"Seen on this car; another may do otherwise. {said}",)
    assert ("v1" in finding.evidence) is (len(recorded) == 1)
