"""The form of every word, made from the vocabulary, and what is understood of what is written into it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.casefile import open_case
from coldpin.checks.bench_tests import bench_tests
from coldpin.cli import WRONG_INPUT, main
from coldpin.errors import CaseError, CorrectedBefore, InputError, UnitError, UnknownName
from coldpin.quantity import parse_reading
from coldpin.records.vocabulary import VOCABULARY
from coldpin.workbench.entries import add_evidence, correct, record
from coldpin.workbench.entry_form import EXAMPLES, before_it, entry_form, example_in, say_back, words_like
from tests.workbench.quay import at, make_case, make_shelf


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A case to which nothing happens."""
    return make_case(make_shelf(tmp_path_factory.mktemp("form") / "shelf"))


def test_every_example_is_read_as_what_it_is_an_example_of() -> None:
    """The texts that a form shows are such as it takes, for every unit of the vocabulary."""
    assert set(EXAMPLES) == {one.unit for one in VOCABULARY.values() if one.recorded_as == "readings"}
    for unit, texts in EXAMPLES.items():
        assert texts
        for text in texts:
            parse_reading(text, unit)
    quantities = [
        example_in(meaning) for one in VOCABULARY.values() for meaning in one.conditions.values() if example_in(meaning)
    ]
    assert len(quantities) > 30
    assert {text for text in quantities if "V" in text and text[0].isdigit()} >= {"500 V", "231 V ± 2 V"}


def test_a_form_asks_for_what_the_vocabulary_has(case: Path) -> None:
    """Every condition once, those first without which an entry is refused; blanks for every repeat and pole."""
    for word, known in VOCABULARY.items():
        form = entry_form(case, word)
        assert {field.name for field in form.fields} == set(known.conditions)
        musts = [field.must for field in form.fields]
        assert musts == sorted(musts, reverse=True)
        assert all(field.usual for field in form.fields if field.must)
        assert (form.rows != ()) == (known.recorded_as == "pairs")
        assert (form.answers != ()) == (known.recorded_as == "answer")
    assert entry_form(case, "stripped core mass").fields[0].name == "length"
    assert [one.states for one in entry_form(case, "earth resistance").instruments][
        1
    ] == "0.8 % + 2 digits, resolution 1 mΩ"
    with pytest.raises(UnknownName, match="word for what an entry shows"):
        entry_form(case, "earth")


def test_cautions_of_every_test_stand_before_what_it_records(case: Path) -> None:
    """Of all tests that record a word where none is named; of that one alone where one is."""
    form = entry_form(case, "output with nothing connected")
    everything = before_it(form)
    assert everything.live
    for test in form.tests:
        assert set(test.cautions) <= set(everything.cautions)
        assert before_it(form, test.test).cautions == test.cautions
    assert not before_it(form, "live-pins-low").live
    assert before_it(form, "no such test") == everything
    ids = {test.id for test in bench_tests()}
    assert all(test.test in ids for word in VOCABULARY for test in entry_form(case, word).tests)


def test_words_are_found_by_a_part() -> None:
    """In the word, else in what it means."""
    assert {one.word for one in words_like("TRIP time")} == {
        word for word in VOCABULARY if word.startswith("trip time")
    }
    assert len(words_like()) == len(VOCABULARY)
    assert words_like("four-wire or with leads zeroed")[0].word == "earth resistance"
    with pytest.raises(UnknownName):
        words_like("qqq")


@given(text=st.text(max_size=40))
def test_whatever_is_typed_is_said_back_or_told(case: Path, text: str) -> None:
    """Never an error: understood, or why not; and nothing is written."""
    told = say_back(case, shows="earth resistance", readings=(text,), conditions={"length": text}, note=text)
    assert all(bool(one.means) ^ bool(one.problem) for one in told.texts if one.what.startswith("reading"))
    assert open_case(case).entries().entries == ()


def test_what_is_said_back_is_what_would_be_refused(case: Path) -> None:
    """The same words as when it is recorded; nobody need be named yet."""
    told = say_back(case, shows="earth resistance", readings=("52 mΩ ± 0.2 mΩ", "> 2 Ω"))
    assert [one.means for one in told.texts] == ["52.00 mΩ ± 0.19 mΩ", "at least 2.0 Ω"]
    refused = say_back(case, shows="earth resistance", readings=("12 V",))
    with pytest.raises(InputError) as said:
        record(case, shows="earth resistance", who="Ines", readings=("12 V",))
    assert refused.refused == str(said.value)
    assert say_back(case, shows="remark").refused != ""


def test_a_correction_takes_out_what_is_given_empty_and_says_who_was_first(tmp_path: Path) -> None:
    """Conditions and pairs; a second correction names the first; an entry becomes private and stays so."""
    case = make_case(make_shelf(tmp_path / "shelf"))
    first = record(
        case,
        shows="earth resistance",
        who="Ines",
        readings=("52 mΩ",),
        conditions={"length": "5 m", "test current": "10 A"},
        made=at(0),
        now=at(1),
    )
    second = correct(
        case, first.id, who="Piet", reason="not measured", conditions={"length": ""}, ambient="19 °C", now=at(2)
    )
    assert (second.conditions, second.ambient, second.made) == ({"test current": "10 A"}, "19 °C", first.made)
    with pytest.raises(CorrectedBefore) as told:
        correct(case, first.id, who="Ines", reason="again", note="x", now=at(3))
    assert (told.value.entry, told.value.later) == (first.id, second.id)
    third = correct(case, second.id, who="Ines", reason="names a person", private=True, now=at(4))
    assert third.private
    assert correct(case, third.id, who="Ines", reason="clock", made=at(5), now=at(6)).private
    with pytest.raises(CaseError):
        correct(case, first.id, who="Ines", reason="", withdraw=True, now=at(7))


def test_a_condition_without_its_unit_is_asked_for_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """As a reading is, by form and command, also of what is filed; what a case holds already stays and is read."""
    case = make_case(make_shelf(tmp_path / "shelf"))
    bare, said = {"test current": "10"}, "condition 'test current': '10' has no unit, but current is asked for"
    earth: dict[str, Any] = {"shows": "earth resistance", "readings": ("52 mΩ",)}
    assert said in say_back(case, **earth, conditions=bare).refused
    words = ["record", str(case), "52 mΩ", "--shows", "earth resistance", "--who", "Ines"]
    assert main([*words, "--condition", "test current=10"]) == WRONG_INPUT
    assert f"{said}: write it as in '10 A'" in capsys.readouterr().err
    with pytest.raises(UnitError, match="write it as in '32 mA'"):
        record(
            case,
            shows="trip time with alternating residual current",
            who="Ines",
            readings=("38 ms",),
            conditions={"current": "32"},
        )
    with pytest.raises(UnitError, match="condition 'full scale': '20' has no unit"):
        add_evidence(case, tmp_path / "none.csv", shows="pilot capture", who="Ines", conditions={"full scale": "20"})
    with monkeypatch.context() as before:
        before.setattr("coldpin.workbench.observing.require_units", lambda *_: None)
        held = record(case, **earth, who="Ines", conditions=bare, now=at(1), made=at(0))
    assert open_case(case).entries().entries == (held,)
    noted = correct(case, held.id, who="Ines", reason="a word", note="wet", conditions={"length": "5 m"}, now=at(2))
    assert noted.conditions == {"test current": "10", "length": "5 m"}
    with pytest.raises(UnitError):
        correct(case, noted.id, who="Ines", reason="other", conditions={"test current": "11"}, now=at(3))
