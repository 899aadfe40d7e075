"""Logs at the workbench: a quick look, filed with how they were read, remembered, and given to the checks."""

from __future__ import annotations

import math
import time
from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from fastapi.testclient import TestClient

from coldpin.casefile import open_case, open_shelf
from coldpin.checks import BenchEvidence, Check, CheckResults, run_checks
from coldpin.cli import DONE, WRONG_INPUT, main
from coldpin.errors import AmbiguousDialect, CaptureError, CaseError, InputError, UnknownName
from coldpin.records.log import LogQuantity
from coldpin.records.vocabulary import VOCABULARY, Showing
from coldpin.report import build_document, render_html
from coldpin.web.app import create_app
from coldpin.workbench import add_evidence, assess, correct, open_log, record
from coldpin.workbench.look_log import channel_of
from coldpin.workbench.shelving import at_bench_of
from tests.workbench.quay import at, make_case, make_shelf

WORD = "trial log"
ROWS = "".join(f"2026-05-02 10:{n // 6:02d}:{n % 6}0,{3.6 - 0.01 * n:.2f},{20 + n}\n" for n in range(30))
LOG = "Time,Active power,Plug (°C)\n" + ROWS

PATIENCE = 120.0
"""Seconds after which a test gives up: a small case is assessed in a few."""


@pytest.fixture
def case(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A case on a shelf, and a word of the vocabulary that takes logs."""
    shown = Showing(word=WORD, meaning="a log for a trial", recorded_as="log", conditions={})
    monkeypatch.setitem(VOCABULARY, WORD, shown)
    return make_case(make_shelf(tmp_path / "shelf"))


@pytest.fixture
def log(tmp_path: Path) -> Path:
    """A log whose power has no unit."""
    path = tmp_path / "meter.csv"
    path.write_text(LOG, encoding="utf-8")
    return path


def seen_by_checks(case: Path, monkeypatch: pytest.MonkeyPatch) -> BenchEvidence:
    """Assess a case and return what the checks were given."""
    given: list[BenchEvidence] = []

    def run(bench: BenchEvidence, checks: Iterable[Check]) -> CheckResults:
        given.append(bench)
        return run_checks(bench, checks)

    monkeypatch.setattr("coldpin.workbench.assessing.run_checks", run)
    assess(case)
    return given[0]


def test_a_filed_log_reaches_the_checks_as_it_was_read(case: Path, log: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was said by hand is kept with the case, and need not be said again."""
    with pytest.raises(CaptureError, match="unknown unit 'furlong'"):
        add_evidence(case, log, shows=WORD, who="Ines", now=at(5), choices={"column": "power=Active power:furlong"})
    assert open_case(case).entries().entries == ()

    choices = {"column": ["power=Active power:kW"]}
    added = add_evidence(case, log, shows=WORD, who="Ines", instrument="meter", now=at(5), choices=choices)
    bench = seen_by_checks(case, monkeypatch)

    (evidence,) = bench.logs
    assert evidence.entry.id == added.entry.id
    assert channel_of(evidence.log, LogQuantity.POWER).values[0] == 3600.0
    assert added.entry.evidence is not None
    assert added.entry.evidence.media == "log"
    assert open_case(case).dialect_for(added.entry.evidence.sha256) == added.dialect


def test_one_log_filed_twice_counts_once(case: Path, log: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The second entry is told; as another word, or with other columns named, the same file is another recording."""
    choices = {"column": ["power=Active power:kW"]}
    heating = {"supply": "extra-low voltage", "current": "16 A"}
    first = add_evidence(case, log, shows=WORD, who="Ines", now=at(5), choices=choices).entry
    again = add_evidence(case, log, shows=WORD, who="Ines", now=at(6), choices=choices).entry
    for minute, named in enumerate(({"plug": "Plug (°C)"}, {"pin": "Plug (°C)"}), start=7):
        add_evidence(case, log, shows="heating log", who="Ines", conditions=heating | named, now=at(minute))

    assert [one.entry.shows for one in seen_by_checks(case, monkeypatch).logs] == [WORD, "heating log", "heating log"]
    told = [one for one in assess(case).problems if "same recording" in one.what]
    assert [one.where for one in told] == [f"entry {again.id}"]
    assert f"entry {first.id}, read alike" in told[0].what
    correct(case, again.id, reason="filed twice", who="Ines", withdraw=True, now=at(12))
    assert not [one for one in assess(case).problems if "same recording" in one.what]


def test_a_log_stands_at_its_first_stamp_where_nobody_says_when(
    case: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """By page's function and command alike; what is stated goes before it, and a correction of it is a person's."""
    told = tmp_path / "told.csv"
    told.write_text("Time,Power (W)\n2026-05-02T07:30:00Z,5\n2026-05-02T07:31:00Z,6\n", encoding="utf-8")
    filed = ("add", str(case), str(told), "--shows", WORD, "--who", "Ines")
    assert main([*filed]) == DONE
    assert "it stands at 2026-05-02 07:30, by its first stamp" in capsys.readouterr().err
    assert main([*filed, "--made", "2026-05-02T06:00Z"]) == DONE
    stated, first = open_case(case).entries().entries
    assert (first.made, first.made_by) == ("2026-05-02T07:30:00.000+00:00", "its first stamp")
    assert stated.made_by == ""
    noted = correct(case, first.id, reason="a word", who="Ines", note="wet")
    assert (noted.made, noted.made_by) == (first.made, first.made_by)
    assert correct(case, noted.id, reason="an hour", who="Ines", made="2026-05-02T08:30Z").made_by == ""


@pytest.mark.parametrize(
    ("zone", "made"),
    [
        ("Europe/Copenhagen", "2026-05-02T07:30:00.000+02:00"),
        ("-04:30", "2026-05-02T07:30:00.000-04:30"),
    ],
)
def test_a_stamp_without_zone_is_one_of_the_zone_that_the_shelf_states(
    case: Path, tmp_path: Path, zone: str, made: str
) -> None:
    """Summer time and all, whatever the zone of the machine; what is typed goes by it too."""
    (case.parent / "shelf.toml").write_text(f'format = "coldpin.shelf/1"\ntitle = "yard"\ntime_zone = "{zone}"\n')
    told = tmp_path / "told.csv"
    told.write_text("Time,Power (W)\n2026-05-02T07:30:00,5\n2026-05-02T07:31:00,6\n", encoding="utf-8")
    added = add_evidence(case, told, shows=WORD, who="Ines", now=datetime(2026, 6, 1, tzinfo=UTC))
    typed = at_bench_of(case, "2026-05-02T07:30")

    assert (added.entry.made, added.entry.made_by) == (made, "its first stamp")
    assert isinstance(typed, datetime)
    assert typed.isoformat(timespec="milliseconds") == made
    assert at_bench_of(case, "") is None


def test_a_time_zone_that_nobody_knows_is_told_where_it_stands(case: Path, tmp_path: Path) -> None:
    """Nothing is filed at an hour of a guess."""
    (case.parent / "shelf.toml").write_text('format = "coldpin.shelf/1"\ntitle = "yard"\ntime_zone = "Brackwater"\n')
    told = tmp_path / "told.csv"
    told.write_text("Time,Power (W)\n2026-05-02T07:30:00,5\n2026-05-02T07:31:00,6\n", encoding="utf-8")

    with pytest.raises(InputError, match=r"shelf.toml: this machine knows no time zone 'Brackwater'"):
        add_evidence(case, told, shows=WORD, who="Ines", now=at(5))
    assert not open_case(case).entries().entries


@pytest.mark.parametrize(
    ("stamp", "said"),
    [("1970-01-01T00:00", "of a clock that was not set"), ("2026-06-02T07:30", "lies ahead of now"), ("0", "")],
)
def test_a_stamp_that_tells_no_day_is_not_taken(case: Path, tmp_path: Path, stamp: str, said: str) -> None:
    """A logger that was never set, one that runs ahead, and times that are relative leave the hour of filing."""
    log = tmp_path / "log.csv"
    rows = f"{stamp}:00Z,5\n{stamp}:30Z,6\n" if "T" in stamp else "0,5\n1,6\n"
    log.write_text(("Time,Power (W)\n" if "T" in stamp else "Time (s),Power (W)\n") + rows, encoding="utf-8")
    added = add_evidence(case, log, shows=WORD, who="Ines", now=at(5))
    assert (added.entry.made, added.entry.made_by) == (added.entry.recorded, "")
    assert said in " ".join(added.remarks)
    assert any("first stamp" in one for one in added.remarks) == bool(said)


def test_a_log_with_places_and_vehicles_is_told_when_it_is_filed_and_packed(
    case: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Columns are handed on as they are: what to do is said at both times, and nothing of a private entry."""
    told = tmp_path / "told.csv"
    told.write_text(
        "Time,Power (W),Latitude,Longitude (deg),VIN\n"
        + "".join(f"2026-05-02 10:{n:02d}:00,{3600 - n},54.123456,10.987654,7\n" for n in range(30)),
        encoding="utf-8",
    )
    filed = (str(told), "--shows", WORD, "--who", "Ines")
    assert main(["add", str(case), *filed]) == DONE
    warned = "what stands under 'Latitude', 'Longitude (deg)', 'VIN' may tell a place, a vehicle, a device or a person"
    assert f"remark: {warned}" in " ".join(capsys.readouterr().err.split())

    main(["bundle", str(case), "--to", str(tmp_path / "one.zip")])
    assert f".csv: {warned}" in " ".join(capsys.readouterr().err.split())
    (entry,) = open_case(case).effective().entries
    correct(case, entry.id, reason="tells where", who="Ines", withdraw=True)
    main(["add", str(case), *filed, "--private"])
    assert "may tell a place" not in capsys.readouterr().err


def test_logs_and_captures_of_an_instrument_are_remembered_apart(case: Path, log: Path, tmp_path: Path) -> None:
    """The next log of the same logger is read without a word, and its captures know nothing of it."""
    choices = {"column": ["power=Active power:kW"]}
    add_evidence(case, log, shows=WORD, who="Ines", instrument="meter", now=at(5), choices=choices)
    second = tmp_path / "second.csv"
    second.write_text(LOG.replace("2026-05-02", "2026-05-03"), encoding="utf-8")

    added = add_evidence(case, second, shows=WORD, who="Ines", instrument="meter", now=at(6))

    shelf = open_shelf(case.parent)
    assert added.dialect is not None
    assert added.dialect.units["Active power"] == "kW"
    assert shelf.remembered("meter") is None
    assert shelf.remembered("meter", log=True) == added.dialect


def test_a_log_that_was_damaged_costs_its_own_entry(
    case: Path, log: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other log is still there, and the fault is under problems."""
    choices = {"column": ["power=Active power:kW"]}
    bad = add_evidence(case, log, shows=WORD, who="Ines", now=at(5), choices=choices)
    second = tmp_path / "second.csv"
    second.write_text(LOG.replace("2026-05-02", "2026-05-03"), encoding="utf-8")
    good = add_evidence(case, second, shows=WORD, who="Ines", now=at(6), choices=choices)
    assert bad.entry.evidence is not None
    path = open_case(case).evidence_path(bad.entry.evidence)
    path.chmod(0o644)
    path.write_bytes(b"Time,Active power\nno,rows\n")

    bench = seen_by_checks(case, monkeypatch)

    assert [evidence.entry.id for evidence in bench.logs] == [good.entry.id]
    assert bad.entry.id not in {entry.id for entry in bench.entries}
    assert any(bad.entry.evidence.file in f"{problem.where} {problem.what}" for problem in assess(case).problems)


def test_what_is_no_log_is_not_filed(case: Path, log: Path) -> None:
    """A log must be a file, and take the options of a log."""
    with pytest.raises(CaseError, match="a log must be a file"):
        add_evidence(case, None, shows=WORD, who="Ines", address="https://example.org/log", now=at(5))
    with pytest.raises(UnknownName, match="unknown option of a log 'voltage'"):
        add_evidence(case, log, shows=WORD, who="Ines", now=at(5), choices={"voltage": "CH1"})
    with pytest.raises(UnknownName, match="unknown option of a capture 'column'"):
        add_evidence(case, log, shows="pilot capture", who="Ines", now=at(5), choices={"column": ["power=2:W"]})


def test_a_log_is_filed_from_the_command_line(case: Path, log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The question is one message; the answer is an option, and what was understood is said."""
    asked = ["add", str(case), str(log), "--shows", WORD, "--who", "Ines"]

    assert main(asked) == DONE
    assert "no unit is given for 'Active power' (power)" in capsys.readouterr().err
    assert main([*asked, "--column", "power=Active power:kW"]) == DONE
    told = capsys.readouterr()
    assert "columns power 'Active power' in kW; temperature 'Plug' in °C" in told.err
    assert main(["entries", str(case)]) == DONE
    assert WORD in capsys.readouterr().out
    assert main([*asked, "--column", "power=Active power:A"]) == WRONG_INPUT


def test_a_quick_look_says_which_column_is_missing_or_meant(log: Path, tmp_path: Path) -> None:
    """One column, none and several: each has its answer."""
    seen = open_log(log).log
    two = tmp_path / "two.csv"
    two.write_text("Time (s),Plug (°C),Room (°C)\n0,1,2\n1,2,3\n", encoding="utf-8")

    assert channel_of(seen, LogQuantity.TEMPERATURE).name == "Plug"
    with pytest.raises(CaptureError, match=r"no column is known to hold a current \(columns: 'Active power', 'Plug'\)"):
        channel_of(seen, LogQuantity.CURRENT)
    with pytest.raises(AmbiguousDialect, match="--column 'temperature=Plug', --column 'temperature=Room'"):
        channel_of(open_log(two).log, LogQuantity.TEMPERATURE)
    meant = open_log(two, choices={"column": "temperature=Room"}).log
    assert channel_of(meant, LogQuantity.TEMPERATURE).name == "Room"


def test_a_charging_log_becomes_a_charge_of_the_assessment(tmp_path: Path) -> None:
    """Phases, energy and marks stand in the record, in the report and on the page; the report holds how it was read."""
    place = make_case(make_shelf(tmp_path / "shelf"))
    path = tmp_path / "harbour.csv"
    rows = [(second, 0.0 if second < 600 or second >= 3000 else 3.68) for second in range(0, 3601, 10)]
    path.write_text("Time (s),Power (kW)\n" + "".join(f"{second},{power}\n" for second, power in rows))
    conditions = {"car": "a small van", "voltage": "230 V"}
    filed = add_evidence(place, path, shows="charging log", who="Ines", now=at(5), conditions=conditions)
    record(place, shows="event mark", who="Ines", readings=["2990 s"], conditions={"event": "unlock"}, now=at(6))

    (charge,) = assess(place).charges

    assert (charge.entry, charge.conditions) == (filed.entry.id, (("car", "a small van"), ("voltage", "230 V")))
    assert charge.reading.energy_wh.value == pytest.approx(3680.0 * 2400.0 / 3600.0, rel=0.01)
    assert [mark.kind.value for mark in charge.reading.marks] == ["unlock"]
    assert ("columns", "power 'Power' in kW") in charge.dialect
    page = render_html(build_document(assess(place)))
    assert "Charging" in page
    with TestClient(create_app(place.parent), base_url="http://127.0.0.1") as client:
        address = f"/case/{place.name}"
        end = time.monotonic() + PATIENCE
        while not client.get(f"{address}.json").json()["fresh"]:
            assert time.monotonic() < end, "the case is not assessed"
            time.sleep(0.05)
        assert "steady" in client.get(f"{address}/charge/{charge.entry}").text
        assert f"/charge/{charge.entry}" in client.get(f"{address}/charges").text
        assert client.get(f"{address}/charge/{charge.entry}.json").json()["charge"]["file"] == charge.file
        assert client.get(f"{address}/charge/none").status_code == 404


def test_a_heating_log_becomes_a_part_of_the_cable(tmp_path: Path) -> None:
    """Two thermometers in one log, each named after its part: both are told in the report, with the file's hash."""
    place = make_case(make_shelf(tmp_path / "shelf"))
    path = tmp_path / "warm.csv"
    rows = [
        (n, 22.0, 22.0 + 20.0 * (1.0 - math.exp(-n / 600.0)), 22.0 + 30.0 * (1.0 - math.exp(-n / 900.0)))
        for n in range(0, 7200, 20)
    ]
    header = "Time (s),Air (°C),Sheath (°C),Plug (°C)\n"
    noise = np.random.default_rng(4).normal(0.0, 0.05, (len(rows), 2))
    path.write_text(
        header
        + "".join(f"{n},{air},{a + x:.2f},{b + y:.2f}\n" for (n, air, a, b), (x, y) in zip(rows, noise, strict=True)),
        encoding="utf-8",
    )
    said = {"current": "16 A ± 0.1 A", "start": "0 s", "sheath": "Sheath", "plug": "Plug", "air": "Air"}
    filed = add_evidence(place, path, shows="heating log", who="Ines", now=at(5), conditions=said)

    told = assess(place)

    assert told.problems == ()
    assert {seen.rise.part.value for seen in told.cable.heating} == {"sheath", "plug"}
    assert {seen.entry for seen in told.cable.heating} == {filed.entry.id}
    assert {round(seen.rise.end_temperature_c.value) for seen in told.cable.heating} == {42, 52}
    assert "Heating of the sheath" in render_html(build_document(told))
