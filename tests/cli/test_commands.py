"""The commands: exit codes, what goes to which stream, JSON that reads back, wrong input that writes nothing."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from coldpin.casefile import open_case
from coldpin.cli import DONE, INTERRUPTED, NOT_ALL_USED, WRONG_INPUT, main
from coldpin.cli.commands import cli
from coldpin.errors import Interrupted
from coldpin.records.assessment import Assessment
from coldpin.records.finding import Limit
from coldpin.records.pilot import PilotReading
from coldpin.records.plain import from_json, to_json
from coldpin.records.vocabulary import VOCABULARY
from tests.workbench.quay import capture_text, fill, make_case, make_shelf
from tests.workbench.test_uses import files_below

Captured = pytest.CaptureFixture[str]
QUANTITY = {"value", "u", "unit", "dof", "low", "high"}
NEW = ("--make", "Pellwick", "--model", "20", "--mode", "2", "--build", "portable", "--cable", "attached")


@pytest.fixture
def case(tmp_path: Path) -> Path:
    """A case on a shelf, filled."""
    made = make_case(make_shelf(tmp_path / "shelf"))
    fill(made, tmp_path)
    return made


@pytest.fixture
def steps(tmp_path: Path) -> Path:
    """A capture."""
    file = tmp_path / "capture.csv"
    file.write_bytes(capture_text())
    return file


def run(*arguments: object) -> int:
    return main([str(argument) for argument in arguments])


def refused(capsys: Captured, *arguments: object) -> str:
    """Run a command that must be refused: exit 2, nothing on stdout, one message on stderr."""
    assert run(*arguments) == WRONG_INPUT
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.startswith("coldpin: ")
    assert printed.err.count("\ncoldpin: ") == 0
    assert "Traceback" not in printed.err
    return printed.err


def test_a_case_from_making_to_publishing(tmp_path: Path, steps: Path, capsys: Captured) -> None:
    """Each command prints its result to stdout; entries can be found by what was printed."""
    folder = make_shelf(tmp_path / "shelf") / "pellwick-20"
    assert run("new", folder, *NEW, "--electronics", "in the vehicle connector", "--plug", "CEE 7/4") == DONE
    assert "made; case.toml is yours to complete" in capsys.readouterr().out
    assert run("record", folder, "0.10 Ω", "0.11 Ω", "--shows", "earth resistance", "--who", "Ines") == DONE
    earth = capsys.readouterr().out.strip()
    assert [path.stem for path in (folder / "entries").iterdir()] == [earth]
    assert run("add", folder, steps, "--shows", "pilot capture", "--who", "Ines", "--condition", "load=steps") == DONE
    added = capsys.readouterr()
    assert re.fullmatch(r"\d{8}T\S+\n", added.out)
    assert "read as: separator ';', decimal ','" in added.err
    assert run("correct", folder, earth, "0.12 Ω", "--reason", "misread", "--who", "Tomas") == DONE
    assert capsys.readouterr().out.strip() != earth
    assert run("assess", folder) == DONE
    shown = capsys.readouterr()
    assert "Pellwick 20" in shown.out
    assert "Earth through the lead" in shown.out
    assert shown.err == ""
    assert run("publish", folder, "--date", "2026-05-30") == DONE
    published = capsys.readouterr()
    assert published.out == f"{folder / 'issued' / '01'}\n"
    first, remark = published.err.splitlines()
    assert first == "changed: This is the first issue."
    assert remark.startswith("remark: nobody was asked to reply")


def test_a_wiring_map_is_given_pair_by_pair(tmp_path: Path, capsys: Captured) -> None:
    """Pairs stand as name=value, blanks around them do not matter."""
    folder = make_case(make_shelf(tmp_path / "shelf"))
    pairs = ("--pair", "PE > PE=joined", "--pair", "L > CP = open")
    assert run("record", folder, "--shows", "wiring map", "--who", "Ines", *pairs) == DONE
    capsys.readouterr()
    assert '"PE > PE": "joined"' in next((folder / "entries").iterdir()).read_text(encoding="utf-8")
    assert "pair 'L > L1' has no '=': write 'PIN > PIN=FOUND', such as 'L > L1=open'" in refused(
        capsys, "record", folder, "--shows", "wiring map", "--who", "Ines", "--pair", "L > L1"
    )


def test_assess_prints_only_the_record_as_json(case: Path, capsys: Captured) -> None:
    """The whole of stdout is the assessment, which reads back as the same record."""
    assert run("assess", case, "--json") == DONE
    out = capsys.readouterr().out

    assert to_json(from_json(Assessment, out, where="stdout")) == out


def test_done_but_not_all_could_be_used(case: Path, capsys: Captured) -> None:
    """A changed capture: the result is printed all the same, the problem on stderr, exit 3."""
    (file,) = (case / "evidence").glob("*.csv")
    file.chmod(0o644)
    file.write_bytes(b"something else")

    assert run("assess", case, "--json") == NOT_ALL_USED
    printed = capsys.readouterr()
    assert from_json(Assessment, printed.out, where="stdout").problems
    assert f"could not be used: evidence/{file.name}: " in printed.err
    assert run("publish", case, "--date", "2026-05-30") == NOT_ALL_USED
    assert f"could not be used: evidence/{file.name}: " in capsys.readouterr().err


def test_the_pilot_json_has_the_keys_that_are_documented(steps: Path, capsys: Captured) -> None:
    """Exactly these, each quantity in the one form, and nothing else on stdout."""
    before = files_below(steps.parent)
    assert run("pilot", steps, "--json", "--vertical", "1 % of reading + 0.05 V") == DONE
    out = capsys.readouterr().out
    said: dict[str, Any] = json.loads(out)

    assert to_json(from_json(PilotReading, out, where="stdout")) == out
    assert files_below(steps.parent) == before
    assert list(said) == ["schema", "source", "runs", "switching", "output", "glitches"]
    assert (said["schema"], said["switching"]) == ("coldpin.pilot/1", [])
    assert list(said["source"]) == ["samples", "sample_interval_s", "duration_s"]
    figures = ("high_v", "low_v", "frequency_hz", "duty_percent", "offered_current_a")
    edges = ("rise_s", "fall_s", "edges_below_s")
    assert [run["state"] for run in said["runs"]] == ["A1", "B1", "C2", "B2"]
    for one in said["runs"]:
        assert list(one) == ["state", "start_s", "end_s", "cycles", *figures, "diode", *edges]
        assert one["diode"] in ("present", "absent", "unknown")
        for name in figures:
            allowed = QUANTITY | ({"meaning"} if name == "offered_current_a" else set())
            if one[name] is not None:
                assert allowed <= set(one[name]) <= allowed | {"why"}
    offered = [one["offered_current_a"]["meaning"] for one in said["runs"] if one["offered_current_a"]]
    assert set(offered) == {"current"}
    assert "NaN" not in out


def test_the_pilot_as_a_table(steps: Path, capsys: Captured) -> None:
    """A line a run with its figures; how the file was read stands on stderr."""
    assert run("pilot", steps) == DONE
    printed = capsys.readouterr()

    words = [line.split() for line in printed.out.splitlines()]
    assert [line[0] for line in words] == ["State", "A1", "B1", "C2", "B2", "Note:", "Edges", "C2", "B2"]
    assert "16.0" in printed.out
    assert printed.out.count("below resolution (< 12 µs)") == 4
    assert "windows and zones are those of IEC 61851-1:2017, edition 3.0" in printed.err
    assert printed.err.startswith("read as: ")


def test_how_a_capture_is_read_can_be_said_by_hand(tmp_path: Path, capsys: Captured) -> None:
    """A bare column of numbers takes its step and unit from the options; without them the message says so."""
    bare = tmp_path / "bare.csv"
    bare.write_bytes(b"v\n" + b"\n".join([b"12.0"] * 400))
    assert "bare.csv" in refused(capsys, "pilot", bare)
    assert run("pilot", bare, "--step", "4 µs", "--voltage", "v", "--unit", "V", "--json") == DONE

    assert json.loads(capsys.readouterr().out)["source"]["sample_interval_s"] == pytest.approx(4e-6)


def test_sources_lists_constants_with_source_and_standing(case: Path, capsys: Captured) -> None:
    """One by its word, as text and as JSON; an unknown word lists none."""
    assert run("sources", "cee-7-4") == DONE
    text = capsys.readouterr().out
    assert "plug.cee-7-4" in text
    assert "16 A" in text
    assert "Source: IECEE CEE 7" in text
    assert re.search(r"\b(Read|read|memory|common practice|standard)\b", text)
    assert run("sources", "cee-7-4", "--case", case, "--json") == DONE
    limits = from_json(tuple[Limit, ...], capsys.readouterr().out, where="stdout")
    assert [limit.id for limit in limits] == ["plug.cee-7-4"]
    assert "xyzzy" in refused(capsys, "sources", "xyzzy")


def test_words_lists_the_whole_vocabulary(capsys: Captured) -> None:
    """Every word, its unit and its conditions."""
    assert run("words") == DONE
    lines = capsys.readouterr().out.splitlines()

    for word, showing in VOCABULARY.items():
        assert any(line.startswith(f"{word} (") for line in lines)
        for condition in showing.conditions:
            assert any(line.startswith(f"    {condition}: ") for line in lines)
    assert "earth resistance (readings, Ω)" in lines


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("assess", "nowhere"), "nowhere"),
        (("pilot", "nowhere.csv"), "nowhere.csv"),
        (("publish", "nowhere"), "nowhere"),
        (("assess",), "Missing argument 'CASE'"),
        (("asses", "x"), "No such command 'asses'"),
        (("pilot", "x.csv", "--edition", "iec-9"), "'iec-9' is not one of 'iec-2', 'iec-3', 'sae'"),
        (("record", "x", "1 Ω", "--shows", "earth resistance"), "Missing option '--who'"),
        (("distances", "x", "--from", "a", "--to", "b"), "Missing option '--pollution-degree'. See:"),
        (("pilot", "x.csv", "--skip-rows", "few"), "'few' is not a valid integer"),
    ],
)
def test_wrong_input_is_one_message(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Captured, arguments: tuple[str, ...], message: str
) -> None:
    """Exit 2, nothing on stdout, and the message says what was given."""
    monkeypatch.chdir(tmp_path)

    assert message in refused(capsys, *arguments)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("given", "message"),
    [
        (("0.11 rabbits", "--shows", "earth resistance"), "unknown unit 'rabbits'"),
        (("0.11 Ω", "--shows", "earth"), "closing time after B to C, coding resistance"),
        (("0.11 Ω", "--shows", "earth resistance", "--condition", "weather=wet"), "weather"),
        (("0.11 Ω", "--shows", "earth resistance", "--condition", "wet"), "'wet' has no '=': write name=value"),
        (("0.11 Ω", "--shows", "earth resistance", "--instrument", "metre"), "known: meter, scope"),
        (("0.11 Ω", "--shows", "earth resistance", "--made", "yesterday"), "yesterday"),
        (("0.11 Ω", "--shows", "earth resistance", "--made", "2026-05-02T10:00"), "zone"),
        (("--shows", "earth resistance"), "reading"),
    ],
)
def test_an_entry_that_is_not_right_is_not_written(
    case: Path, capsys: Captured, given: tuple[str, ...], message: str
) -> None:
    """The message helps, and the case stays as it was, byte for byte."""
    before = files_below(case.parent)

    assert message in refused(capsys, "record", case, *given, "--who", "Ines")
    assert files_below(case.parent) == before


def test_a_correction_needs_an_entry_and_a_change(case: Path, capsys: Captured) -> None:
    """Neither is guessed."""
    before = files_below(case)
    wrong = refused(capsys, "correct", case, "19990101T0000", "1 Ω", "--reason", "typing", "--who", "Ines")
    assert "19990101T0000" in wrong
    entry = sorted((case / "entries").iterdir())[0].stem
    assert "nothing to correct" in refused(capsys, "correct", case, entry, "--reason", "typing", "--who", "Ines")

    assert files_below(case) == before


def test_a_second_issue_without_news_is_refused(case: Path, capsys: Captured) -> None:
    """Nothing new, no issue; a day that is none is refused as well."""
    assert "2026-13-01" in refused(capsys, "publish", case, "--date", "2026-13-01")
    assert run("publish", case, "--date", "2026-05-30") == DONE
    capsys.readouterr()

    assert "there is nothing new to publish" in refused(capsys, "publish", case, "--date", "2026-05-31")


def test_new_asks_for_what_is_not_given(tmp_path: Path) -> None:
    """Asked in words of the trade, and asked again where an answer is not one of those allowed."""
    folder = tmp_path / "dunmarr-32"
    answers = "Dunmarr\n32\n4\n3\nfixed\nattached\nin the wall unit\n"
    result = CliRunner().invoke(cli, ["new", str(folder)], input=answers)

    assert result.exit_code == 0, result.output
    for asked in ("Make, as marked", "Model, as marked", "Charging mode (IEC 61851-1)", "Where the electronics sit"):
        assert asked in result.output
    assert "'4' is not one of '1', '2', '3'" in result.output
    written = (folder / "case.toml").read_text(encoding="utf-8")
    assert 'make = "Dunmarr"' in written
    assert "charging_mode = 3" in written
    assert 'electronics = "in the wall unit"' in written


def test_new_without_anybody_to_ask_leaves_nothing(
    tmp_path: Path, capsys: Captured, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A case that exists is never written over; an input that ends makes no case."""
    folder = tmp_path / "pellwick-20"
    result = CliRunner().invoke(cli, ["new", str(folder)], input="Pellwick\n")
    assert result.exit_code == 1
    assert not folder.exists()
    given = ("new", folder, *NEW, "--electronics", "unknown")
    assert run(*given) == DONE
    capsys.readouterr()

    assert "pellwick-20" in refused(capsys, *given)


@pytest.mark.parametrize("stop", [Interrupted("between two chunks"), KeyboardInterrupt()])
def test_an_interrupted_command_ends_with_130(
    case: Path, monkeypatch: pytest.MonkeyPatch, capsys: Captured, stop: BaseException
) -> None:
    """Ctrl-C or a cancelled call: one line, no trace, nothing on stdout."""

    def interrupted(*_: object, **__: object) -> None:
        raise stop

    monkeypatch.setattr("coldpin.workbench.assessing.assess", interrupted)

    assert run("assess", case) == INTERRUPTED
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.lstrip("\n") == "interrupted; what was acknowledged before is kept\n"


def test_our_own_fault_is_not_dressed_up_as_wrong_input(
    case: Path, monkeypatch: pytest.MonkeyPatch, capsys: Captured
) -> None:
    """An error that is none of ours leaves with its trace."""

    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("a mistake of the program")

    monkeypatch.setattr("coldpin.workbench.assessing.assess", broken)

    with pytest.raises(ZeroDivisionError, match="a mistake of the program"):
        run("assess", case)


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (("nwe",), "coldpin: No such command 'nwe'. Did you mean 'new'? See: coldpin --help"),
        (("record",), "coldpin: Missing argument 'CASE'. See: coldpin record --help"),
        (
            ("record", "x", "-0.01 Ω", "--shows", "earth resistance", "--who", "Ines"),
            (
                "coldpin: No such option '-0'. A reading below zero goes last, behind --: "
                "coldpin record ... -- '-0.01 Ω'; a time is not negative"
            ),
        ),
        (
            ("proximity", "-3 Ω"),
            "coldpin: No such option '-3'. A value below zero is not read here. See: coldpin proximity --help",
        ),
        (
            ("record", "x", "--shows", "wiring map", "--who", "Ines", "--pair", "L > N=open", "--pair", "L > N=joined"),
            "coldpin: Invalid value: pair 'L > N' is given twice: keep one. See: coldpin record --help",
        ),
    ],
)
def test_what_was_mistyped_is_told_with_where_to_read_on(
    typed: tuple[str, ...], told: str, tmp_path: Path, capsys: Captured
) -> None:
    """The word that is wrong, then the help that has the right ones."""
    assert refused(capsys, *typed).rstrip("\n") == told


def test_a_reading_below_zero_is_written_behind_two_dashes(case: Path, capsys: Captured) -> None:
    """As the message says."""
    assert run("record", case, "--shows", "earth resistance", "--who", "Ines", "--", "-0.01 Ω") == DONE
    written = case / "entries" / f"{capsys.readouterr().out.strip()}.json"

    assert json.loads(written.read_text(encoding="utf-8"))["readings"] == ["-0.01 Ω"]


def test_the_program_alone_prints_its_commands(capsys: Captured) -> None:
    """The list stands alone, with no mark of an error before it."""
    assert run() == WRONG_INPUT

    assert capsys.readouterr().err.startswith("Usage: coldpin")


def test_new_says_which_claims_checks_wait_for(tmp_path: Path, capsys: Captured) -> None:
    """And where instruments are written; the page of a shelf that is not there is never said to listen."""
    folder = tmp_path / "boatyard" / "pellwick-20"
    assert run("new", folder, *NEW, "--electronics", "none", "--plug", "CEE 7/4") == DONE
    said = capsys.readouterr().err.splitlines()
    assert said[0].startswith("not given: declared_current, rated_current: write them under [claims] in case.toml")
    assert said[1] == f"instruments and their accuracy go into {folder.parent / 'shelf.toml'}"

    assert "listening" not in refused(capsys, "serve", tmp_path / "nowhere")


@pytest.mark.hand("a shelf whose ohmmeter states its ohms, and what it reads in volts")
def test_a_reading_without_accuracy_is_told_while_it_is_recorded(case: Path, capsys: Captured) -> None:
    """It says what to write and where; with ± in the reading, a side alone or a statement nothing is said."""
    volts = ("--shows", "output with nothing connected", "--who", "Ines")
    assert run("record", case, "0.1 V", *volts) == DONE
    assert 'name the instrument (--instrument), whose statements in shelf.toml say it: { voltage = "…" }' in (
        capsys.readouterr().err
    )
    assert run("record", case, "0.1 V", *volts, "--instrument", "meter") == DONE
    told = capsys.readouterr()
    assert told.err == ""
    assert run("correct", case, told.out.strip(), "0.1 V ± 0.1 V", "--reason", "stated", "--who", "Ines") == DONE
    assert capsys.readouterr().err == ""
    earth = ("--shows", "earth resistance", "--who", "Ines", "--instrument", "scope")
    assert run("record", case, "0.10 Ω", *earth) == DONE
    assert "shelf.toml states of 'scope' the accuracy of time, voltage, and not of resistance" in (
        capsys.readouterr().err
    )


def test_an_accuracy_that_was_not_stated_is_told_beside_the_table(steps: Path, capsys: Captured) -> None:
    """What stands behind the sign ± is the scatter alone, and that is no accuracy."""
    assert run("pilot", steps) == DONE
    assert "Note: the scope's accuracy is not in ±: say --vertical and --timebase" in capsys.readouterr().out
    assert run("pilot", steps, "--json") == DONE
    assert "remark: the scope's accuracy is not in ±: say --vertical and --timebase" in capsys.readouterr().err
    assert run("pilot", steps, "--vertical", "1 % + 0.05 V", "--timebase", "50 ppm") == DONE
    printed = capsys.readouterr()
    assert "accuracy" not in printed.out + printed.err


@pytest.mark.parametrize("name", sorted(cli.commands))
def test_every_help_has_an_example(name: str, capsys: Captured) -> None:
    """Printed by --help, beginning with the command itself."""
    assert run(name, "--help") == DONE

    assert f"Example: coldpin {name}" in " ".join(capsys.readouterr().out.split())


def process(*arguments: object) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "coldpin.cli", *(str(argument) for argument in arguments)]
    return subprocess.run(command, capture_output=True, text=True, encoding="utf-8", timeout=120, check=False)


def test_as_a_process_of_its_own(case: Path, steps: Path) -> None:
    """Exit codes, streams and encodings hold outside of this process."""
    looked = process("pilot", steps, "--json")
    assert (looked.returncode, json.loads(looked.stdout)["schema"]) == (DONE, "coldpin.pilot/1")
    wrong = process("record", case, "12 V", "--shows", "earth resistance", "--who", "Ines")
    assert (wrong.returncode, wrong.stdout) == (WRONG_INPUT, "")
    assert "give it in one of" in wrong.stderr
    assert "Traceback" not in wrong.stderr


@pytest.mark.hand("the list of words, and what somebody types who looks for one")
def test_words_can_be_asked_for_by_a_part(capsys: Captured) -> None:
    """By the word first, by what it means where no word holds it; nothing like it names the words."""
    assert run("words", "Purchase") == DONE
    assert [line for line in capsys.readouterr().out.splitlines() if not line.startswith(" ")] == ["purchase (note)"]
    assert run("words", "zeroed") == DONE
    assert "earth resistance (readings, Ω)" in capsys.readouterr().out
    assert run("words", "earth resistence") == WRONG_INPUT
    assert "did you mean 'earth resistance'" in capsys.readouterr().err


def test_a_closed_pipe_is_no_fault_of_the_program(steps: Path) -> None:
    """`coldpin words | head -1` ends without a trace."""
    line = f"{sys.executable} -m coldpin.cli words | head -1"
    ended = subprocess.run(["bash", "-c", line], capture_output=True, text=True, timeout=60, check=False)

    assert ended.stdout.startswith("wiring map")
    assert "Traceback" not in ended.stderr


def test_entries_lists_what_was_corrected_beside_what_holds(case: Path, capsys: Captured) -> None:
    """A correction and the entry it replaces are both there, and only one of them holds."""
    assert run("record", case, "0.51 Ω", "--shows", "earth resistance", "--who", "Ines") == DONE
    wrong = capsys.readouterr().out.strip()
    assert run("correct", case, wrong, "0.051 Ω", "--reason", "a zero slipped", "--who", "Ines") == DONE
    right = capsys.readouterr().out.strip()

    assert run("entries", case, "--json") == DONE
    listed = {one["id"] for one in json.loads(capsys.readouterr().out)}
    assert {wrong, right} <= listed
    assert run("entries", case) == DONE
    lines = {line.split()[0]: line for line in capsys.readouterr().out.splitlines() if line[:1].isdigit()}
    assert lines[wrong].rstrip().endswith("no")
    assert "yes, replaces" in lines[right]


def test_whatever_an_entry_states_can_be_corrected(case: Path, capsys: Captured) -> None:
    """Air, humidity, time and what is private; what is not given stays, an empty text takes out what stood there."""
    stated = ("--ambient", "19 °C", "--humidity", "55 %", "--note", "in the shed")
    assert run("record", case, "0.051 Ω", "--shows", "earth resistance", "--who", "Ines", *stated) == DONE
    wrong = capsys.readouterr().out.strip()
    meant = ("--made", "2026-05-02T14:30+01:00", "--ambient", "9 °C", "--humidity", "", "--private")
    assert run("correct", case, wrong, "--reason", "a digit too many", "--who", "Ines", *meant) == DONE
    right = capsys.readouterr().out.strip()

    made = open_case(case).find_entry(right)
    assert (made.ambient, made.humidity, made.note, made.private) == ("9 °C", "", "in the shed", True)
    assert datetime.fromisoformat(made.made) == datetime.fromisoformat("2026-05-02T14:30+01:00")
    assert (made.readings, made.replaces) == (("0.051 Ω",), wrong)


def test_checks_prints_the_cautions_before_the_first_step(capsys: Captured) -> None:
    """A person at the bench reads what may kill before what to do."""
    assert run("checks", "live-pins") == DONE
    printed = capsys.readouterr().out
    assert printed.index("Mains voltage kills") < printed.index("! Hold point") < printed.index("\n1. ")

    assert run("checks") == DONE
    assert capsys.readouterr().out.splitlines()[0].startswith("markings (dead")


@pytest.mark.parametrize(
    ("option", "text", "said"),
    [
        ("--declared-current", "16", "claim declared_current = '16': '16' has no unit"),
        ("--rated-voltage", "16 A", "claim rated_voltage = '16 A'"),
        ("--plug", "schuka", "unknown plug 'schuka'"),
        ("--cross-section", "2.5", "claim cross_section = '2.5': '2.5' has no unit"),
        ("--country", "Denmark", "two letters of ISO 3166-1, such as DK"),
        ("--country", "uk", "GB for the United Kingdom"),
    ],
)
def test_a_claim_that_no_check_could_read_is_refused_at_once(
    option: str, text: str, said: str, tmp_path: Path, capsys: Captured
) -> None:
    """Nothing is made, and the message shows how to write it."""
    assert said in refused(capsys, "new", tmp_path / "case", *NEW, "--electronics", "unknown", option, text)
    assert not (tmp_path / "case").exists()


def test_a_case_is_begun_with_what_stands_on_its_cable(tmp_path: Path, capsys: Captured) -> None:
    """The print, the size that is claimed and the country stand where the page Described has them."""
    cable = ("--cable-print", "EV 3G2.5", "--cross-section", "4 mm²", "--country", "dk")
    assert run("new", tmp_path / "shelf" / "case", *NEW, "--electronics", "unknown", *cable) == DONE
    capsys.readouterr()
    claims = open_case(tmp_path / "shelf" / "case").description().claims
    assert (claims.cable_print, claims.cross_section, claims.country) == ("EV 3G2.5", "4 mm²", "DK")


def test_a_folder_that_exists_is_refused_before_anything_is_asked(tmp_path: Path) -> None:
    """No prompt is answered in vain."""
    result = CliRunner().invoke(cli, ["new", str(tmp_path)])

    assert result.exit_code == WRONG_INPUT
    assert "Make, as marked" not in result.output


def test_a_broken_shelf_is_told_where_an_entry_is_written(case: Path, steps: Path, capsys: Captured) -> None:
    """The reading is kept, its id printed, and the exit code says that something could not be used."""
    (case.parent / "shelf.toml").write_text("format = [", encoding="utf-8")
    earth = ("--shows", "earth resistance", "--who", "Ines", "--instrument", "milliohm")
    assert run("record", case, "0.10 Ω", *earth) == NOT_ALL_USED
    written = capsys.readouterr()
    assert (case / "entries" / f"{written.out.strip()}.json").exists()
    assert "could not be used: shelf.toml: " in written.err
    assert run("correct", case, written.out.strip(), "0.12 Ω", "--reason", "misread", "--who", "Ines") == NOT_ALL_USED
    assert run("add", case, steps, "--shows", "pilot capture", "--who", "Ines") == NOT_ALL_USED
