"""Several specimens of one model from their cases: joined, refused, written, printed."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from coldpin.cli import main
from coldpin.errors import CaseError
from coldpin.records.function import FunctionState
from coldpin.records.together import Agreement, Together
from coldpin.workbench import conclude_together, record
from tests.checks.bench import pairs
from tests.workbench.quay import at, make_case, make_shelf


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shelf with two pieces of one model, the second with its earth open, and one that cannot be read."""
    made = make_shelf(tmp_path_factory.mktemp("quay") / "shelf")
    for name, day, seller, earth, mapped in (
        ("skerrow-16", 0, "Quayside Bargains", "71 mΩ", pairs()),
        ("skerrow-16-b", 60 * 24, "Hookup Harbour", "92 mΩ", pairs(joined=())),
    ):
        case = make_case(made, name)
        record(case, shows="wiring map", who="Ines", pairs=mapped, made=at(day), now=at(day + 1))
        record(
            case,
            shows="earth resistance",
            who="Ines",
            readings=(earth,),
            instrument="meter",
            made=at(day + 2),
            now=at(day + 3),
        )
        bought = {"price": "39.90 EUR", "seller": seller}
        record(case, shows="purchase", who="Ines", note="by post", conditions=bought, made=at(day), now=at(day + 4))
    (made / "broken").mkdir()
    (made / "broken" / "case.toml").write_text("format = 1\n", encoding="utf-8")
    return made


@pytest.fixture(scope="module")
def joined(shelf: Path) -> Together:
    """The two pieces together."""
    return conclude_together([shelf / "skerrow-16-b", shelf / "skerrow-16"]).together


def test_the_worst_piece_decides_and_the_difference_is_told(joined: Together) -> None:
    """Bought first stands first, whichever was given first; an earth that one lacks is missing from the model."""
    assert [one.case for one in joined.specimens] == ["skerrow-16", "skerrow-16-b"]
    assert [one.seller for one in joined.specimens] == ["Quayside Bargains", "Hookup Harbour"]
    earth = next(one for one in joined.findings if one.id == "wiring.earth-through")
    assert (earth.agreement, earth.rests_on, earth.decisive) == (Agreement.DIFFERS, (2,), True)
    function = next(one for one in joined.functions if one.id == "protective-earth")
    assert function.state in (FunctionState.FAULTY, FunctionState.SHOWN_ABSENT)
    assert "(1 of 2)" in joined.conclusion.headline.text
    assert {use.rests_on for use in joined.uses} <= {(2,), (1, 2)}


def test_what_cannot_be_read_is_not_left_out(shelf: Path, tmp_path: Path) -> None:
    """It might have been the worst; and a shelf, a case given twice, or one case alone is no set of specimens."""
    first = shelf / "skerrow-16"
    with pytest.raises(CaseError):
        conclude_together([first, shelf / "broken"])
    with pytest.raises(CaseError, match="is a shelf"):
        conclude_together([first, shelf])
    with pytest.raises(CaseError, match="given twice"):
        conclude_together([first, shelf / "." / "skerrow-16"])
    with pytest.raises(CaseError, match="two cases or more"):
        conclude_together([first])
    shutil.copytree(first, tmp_path / "skerrow-16")
    with pytest.raises(CaseError, match="the same entries"):
        conclude_together([first, tmp_path / "skerrow-16"])


def test_cases_of_one_name_are_told_apart_by_the_folder_around_them(shelf: Path, tmp_path: Path) -> None:
    """Two shelves may call their cases alike."""
    other = make_shelf(tmp_path / "other")
    make_case(other, "skerrow-16")
    told = conclude_together([shelf / "skerrow-16", other / "skerrow-16"]).together

    assert [one.case for one in told.specimens] == ["shelf/skerrow-16", "other/skerrow-16"]


def test_the_page_and_the_sheet_hold_it_all(shelf: Path, joined: Together, tmp_path: Path) -> None:
    """Headline, every function and use; what is there already is not overwritten."""
    pair = [shelf / "skerrow-16", shelf / "skerrow-16-b"]
    conclude_together(pair, write_to=tmp_path / "both.html")
    text = (tmp_path / "both.html").read_text(encoding="utf-8")
    conclude_together(pair, write_to=tmp_path / "both.pdf")

    assert joined.conclusion.headline.text.split(". ")[0] in text
    assert all(one.title in text for one in joined.functions)
    assert all(one.name in text for one in joined.uses)
    assert (tmp_path / "both.pdf").read_bytes().startswith(b"%PDF")
    with pytest.raises(CaseError, match="is there already"):
        conclude_together(pair, write_to=tmp_path / "both.html")
    with pytest.raises(CaseError, match=r"end the name in \.html or \.pdf"):
        conclude_together(pair, write_to=tmp_path / "both.txt")


def test_the_command_and_its_json(shelf: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Done is 0 whatever was concluded; what is refused is 2 with one message and nothing on the standard output."""
    pair = [str(shelf / "skerrow-16"), str(shelf / "skerrow-16-b")]
    assert main(["together", *pair, "--json"]) == 0
    plain = json.loads(capsys.readouterr().out)
    assert plain["schema"] == "coldpin.together/1"
    assert plain["purchases"]["independent"] is False
    assert main(["together", *pair]) == 0
    told = capsys.readouterr().out
    assert "they differ:" in told
    assert "may not be said:" in told
    assert main(["together", *pair, "--random-purchase", "by lot from all shops of the town", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["conclusion"]["shares"]
    assert main(["together", pair[0], pair[0]]) == 2
    refused = capsys.readouterr()
    assert refused.out == ""
    assert refused.err.count("\n") == 1


def test_what_a_case_withholds_is_not_on_the_page(shelf: Path, tmp_path: Path) -> None:
    """A page goes from hand to hand; pieces are told apart by what is withheld all the same."""
    pair = [tmp_path / "shelf" / name for name in ("skerrow-16", "skerrow-16-b")]
    shutil.copytree(shelf, tmp_path / "shelf")
    (pair[1] / "private.toml").write_text(
        'format = "coldpin.private/1"\n[[withhold]]\ntext = "Hookup Harbour"\nwhat = "seller"\n', encoding="utf-8"
    )
    joined = conclude_together(pair, write_to=tmp_path / "both.html")
    text = (tmp_path / "both.html").read_text(encoding="utf-8")

    assert "Hookup Harbour" in joined.together.conclusion.headline.text
    assert "Hookup Harbour" not in text
    assert "[seller 1 of specimen 2, withheld]" in text
