"""Cases side by side: every function in its row, one bad case hides no other, a report and its JSON twin."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from coldpin.cli import main
from coldpin.errors import CaseError
from coldpin.records.function import FunctionState
from coldpin.workbench import assess, compare, comparing, record
from tests.workbench.quay import at, fill, make_case, make_shelf


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shelf with a filled case, an empty one and one that cannot be read."""
    table = tmp_path_factory.mktemp("quay")
    made = make_shelf(table / "shelf")
    fill(make_case(made), table)
    record(
        make_case(made, "pellwick-20", title="Pellwick 20"),
        shows="purchase",
        who="Ines",
        note="by post",
        conditions={"price": "39.90 EUR"},
        made=at(0),
        now=at(1),
    )
    (made / "broken").mkdir()
    (made / "broken" / "case.toml").write_text("format = 1\n", encoding="utf-8")
    return made


def test_states_are_those_of_the_assessments(shelf: Path) -> None:
    """Function by function, in the order of the cases."""
    found = compare([shelf / "skerrow-16", shelf / "pellwick-20"]).comparison

    for place, name in enumerate(("skerrow-16", "pellwick-20")):
        states = {function.id: function.state for function in assess(shelf / name).functions}
        assert {row.id: row.states[place] for row in found.functions} == states
    assert [case.case for case in found.cases] == ["skerrow-16", "pellwick-20"]
    assert {row.states[1] for row in found.functions} == {FunctionState.NOT_SHOWN}
    assert [case.price for case in found.cases] == ["", "39.90 EUR"]


def test_a_shelf_stands_for_its_cases_and_a_bad_one_hides_no_other(shelf: Path) -> None:
    """It is told as a problem."""
    found = compare([shelf]).comparison

    assert found.title == "Brackwater Boatyard"
    assert [case.case for case in found.cases] == ["pellwick-20", "skerrow-16"]
    assert [problem.where for problem in found.problems] == ["broken"]


def test_what_has_not_changed_is_not_assessed_again(shelf: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The second comparison equals the first."""
    first = compare([shelf]).comparison

    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("assessed anew")

    monkeypatch.setattr(comparing, "assessment_of", refuse)

    assert compare([shelf]).comparison == first


def test_the_report_names_every_case_and_function(shelf: Path, tmp_path: Path) -> None:
    """As a page and as a sheet."""
    page = compare([shelf], write_to=tmp_path / "shelf.html")
    compare([shelf], write_to=tmp_path / "shelf.pdf")
    text = (tmp_path / "shelf.html").read_text(encoding="utf-8")

    for case in page.comparison.cases:
        assert case.title in text
        assert case.headline.text in text
    assert all(row.title in text for row in page.comparison.functions)
    assert (tmp_path / "shelf.pdf").read_bytes().startswith(b"%PDF")
    assert "broken" in text
    with pytest.raises(CaseError, match="is there already"):
        compare([shelf], write_to=tmp_path / "shelf.html")


@pytest.mark.parametrize("name", ["shelf.txt", "nowhere/shelf.html"])
def test_a_report_that_cannot_be_written_is_refused(shelf: Path, tmp_path: Path, name: str) -> None:
    """With what to do."""
    with pytest.raises(CaseError):
        compare([shelf], write_to=tmp_path / name)


def test_the_command_and_its_json(shelf: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Exit 3 where a case could not be read, 2 where none could."""
    assert main(["compare", str(shelf), "--json"]) == 3
    assert json.loads(capsys.readouterr().out)["schema"] == "coldpin.compare/1"
    assert main(["compare", str(shelf / "skerrow-16"), str(shelf / "pellwick-20")]) == 0
    assert "Pellwick 20" in capsys.readouterr().out
    assert main(["compare", str(tmp_path / "nothing")]) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_what_the_cases_withhold_is_not_on_the_page(tmp_path: Path) -> None:
    """Each case numbers its own, one text that both withhold has one placeholder; the record at home stays whole."""
    shelf = make_shelf(tmp_path / "shelf")
    for name, title, secret in (("skerrow-16", "Skerrow of Pier 12", "Pier 12"), ("pellwick-20", "from Ann", "Ann")):
        case = make_case(shelf, name, title=title)
        (case / "private.toml").write_text(
            f'format = "coldpin.private/1"\n[[withhold]]\ntext = "{secret}"\nwhat = "address"\n', encoding="utf-8"
        )
    found = compare([shelf / "skerrow-16", shelf / "pellwick-20"], write_to=tmp_path / "page.html")
    page = (tmp_path / "page.html").read_text(encoding="utf-8")

    assert [case.title for case in found.comparison.cases] == ["Skerrow of Pier 12", "from Ann"]
    assert "Pier 12" not in page
    assert "from Ann" not in page
    assert "[address 1 of case 1, withheld]" in page
    assert "[address 1 of case 2, withheld]" in page
