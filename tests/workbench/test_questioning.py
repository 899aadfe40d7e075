"""Readings that are hardly so are questioned when they are said back, and taken as they are."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.casefile import open_case
from coldpin.cli import main
from coldpin.errors import InputError
from coldpin.quantity import parse_quantity, parse_reading
from coldpin.records.plausible import CONDITIONS
from coldpin.records.vocabulary import VOCABULARY
from coldpin.workbench.entries import record
from coldpin.workbench.entry_form import example_in, say_back
from coldpin.workbench.instruments import add_instrument
from coldpin.workbench.questioning import doubt, questions, questions_typed, stated_doubt
from coldpin.workbench.shelving import open_bench
from tests.workbench.quay import make_case, make_shelf

READ = [word for word, one in VOCABULARY.items() if one.recorded_as == "readings"]


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A case to which nothing happens."""
    return make_case(make_shelf(tmp_path_factory.mktemp("doubt") / "shelf"))


@pytest.mark.parametrize("word", READ)
def test_every_measured_word_says_what_is_usual_or_why_nothing_bounds_it(word: str) -> None:
    """In its own unit, with a reason; what lies just outside is questioned, what lies just inside is not."""
    known = VOCABULARY[word]
    usual = known.plausible
    assert usual is not None
    assert usual.unit == known.unit
    assert usual.because
    if usual.low is None and usual.high is None:
        assert questions_typed(known, [f"1e12 {known.unit}"], {}) == ()
        return
    assert usual.low is not None
    assert usual.high is not None
    assert usual.low < usual.high
    span = usual.high - usual.low
    for value, side in ((usual.low - 0.01 * span, "below"), (usual.high + 0.01 * span, "above")):
        text = f"{value!r} {known.unit}".removesuffix(" 1")
        (asked,) = questions_typed(known, [text], {})
        assert f"is {side}" in asked
        assert asked.startswith("reading 1, ")
        assert usual.because in asked
    inside = math.sqrt(usual.low * usual.high) if usual.low > 0.0 else 0.5 * (usual.low + usual.high)
    assert questions_typed(known, [f"{inside!r} {known.unit}".removesuffix(" 1")], {}) == ()


def test_every_bound_of_a_condition_is_of_one_that_is_stated_and_holds_its_examples() -> None:
    """No bound of nothing; no word's own example is questioned; the surroundings stand beside every reading."""
    stated = {name for one in VOCABULARY.values() for name in one.conditions}
    assert set(CONDITIONS) - stated == {"supply voltage", "ambient", "humidity"}
    shown = [
        (name, example_in(meaning))
        for one in VOCABULARY.values()
        for name, meaning in one.conditions.items()
        if name in CONDITIONS and example_in(meaning)
    ]
    assert len(shown) > 20
    assert [pair for pair in shown if stated_doubt(*pair)] == []


@pytest.mark.parametrize(
    ("word", "text", "side"),
    [
        ("earth resistance", "-0.051 Ω", "below 0 Ω"),
        ("earth resistance", "5100 Ω", "above 100 Ω"),
        ("mains to pilot insulation", "500 Ω", "below 1000 Ω"),
        ("output in state C", "2310 V", "above 500 V"),
        ("voltage at the socket with load", "23.1 V", "below 80 V"),
        ("end temperature", "-61 °C", "below -40 °C"),
        ("end temperature", "334 °C", "above 200 °C"),
        ("standby power", "620 W", "above 100 W"),
        ("stripped core mass", "0 g", "below 0.010 g"),
        ("calliper gap", "8 m", "above 300 mm"),
    ],
)
def test_what_is_hardly_so_is_questioned(case: Path, word: str, text: str, side: str) -> None:
    """Whether or not the rest of the form is filled in, in the words of the bound."""
    (asked,) = say_back(case, shows=word, readings=(text,)).questions
    assert f"is {side.replace('-', '−')};" in asked
    assert repr(text) in asked
    assert asked.endswith("It is kept as written")


@pytest.mark.parametrize(
    ("name", "text"), [("humidity", "155 %"), ("ambient", "-61 °C"), ("supply voltage", "2310 V"), ("length", "0 m")]
)
def test_what_is_stated_around_a_reading_is_questioned_too(case: Path, name: str, text: str) -> None:
    """Conditions and surroundings, by their names; a text that is no quantity is words."""
    around = {"supply voltage": "", "ambient": "", "humidity": "", "length": "5 m", name: text}
    (asked,) = say_back(
        case,
        shows="earth resistance",
        readings=("52 mΩ",),
        conditions={"length": around["length"]},
        supply_voltage=around["supply voltage"],
        ambient=around["ambient"],
        humidity=around["humidity"],
    ).questions
    assert asked.startswith(f"{name}, {text!r}, is ")
    assert stated_doubt(name, "as yesterday") == ""


def test_an_uncertainty_and_an_open_circuit_are_respected(case: Path) -> None:
    """Below nought by less than its own U may be nought; "more than" is what a meter shows of what is open."""

    def asked(*texts: str, word: str = "earth resistance", instrument: str = "") -> tuple[str, ...]:
        return say_back(case, shows=word, readings=texts, instrument=instrument).questions

    assert asked("-1 mΩ ± 2 mΩ", "> 200 MΩ") == ()
    assert len(asked("-3 mΩ ± 2 mΩ", "< 5 kΩ")) == 2
    assert asked("-1 mΩ", instrument="meter") == ()
    assert len(asked("-1 mΩ")) == 1
    assert len(asked("> 200 Ω", word="mains to pilot insulation")) == 1


@given(word=st.sampled_from(READ), value=st.floats(allow_nan=False, allow_infinity=False, width=32), more=st.booleans())
def test_a_doubt_is_a_remark_and_never_an_error(word: str, value: float, more: bool) -> None:
    """Whatever can be read is either usual or questioned, in one line; it follows from the value and its U alone."""
    known = VOCABULARY[word]
    text = f"{value!r} {known.unit}".removesuffix(" 1") + (" ± 1e30" if more else "")
    try:
        read = parse_reading(text, known.unit)
    except InputError:
        return
    assert known.plausible is not None
    told = doubt("reading 1", text, read, known.plausible)
    assert "\n" not in told
    assert told == "" or text in told
    if more and abs(value) < 1e29:
        assert told == ""


@given(value=st.integers(-(10**9), 10**9).map(lambda milliohms: milliohms / 1000))
def test_a_remark_never_refuses(case: Path, value: float) -> None:
    """An entry is refused or taken by what is asked of it; a question changes neither."""
    text = f"{value!r} Ω"
    said = say_back(case, shows="earth resistance", readings=(text,))
    assert said.refused == ""
    assert bool(said.questions) == (not 0.0 <= parse_quantity(text).value <= 100.0)
    assert open_case(case).entries().entries == ()


def test_the_command_line_asks_the_same(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A line on standard error for each question; the entry is written as it was typed."""
    made = make_case(make_shelf(tmp_path / "shelf"))
    words = ["record", str(made), "5100 Ω", "--shows", "earth resistance", "--who", "Ines", "--humidity", "155 %"]
    assert main(words) == 0
    told = capsys.readouterr().err
    asked = say_back(made, shows="earth resistance", readings=("5100 Ω",), humidity="155 %").questions
    assert len(asked) == 2
    assert all(f"remark: {one}\n" in told for one in asked)
    assert open_case(made).entries().entries[0].readings == ("5100 Ω",)
    record(made, shows="earth resistance", who="Ines", readings=("-0.051 Ω",))


def test_a_reading_beyond_the_range_of_its_instrument_is_questioned(tmp_path: Path) -> None:
    """Not one on its edge, one that states its own uncertainty, or a meter that shows an open circuit."""
    case = make_case(make_shelf(tmp_path / "shelf"))
    stated = {"resistance": "0.5 % + 2 digits on 2 Ω, resolution 0.001 Ω"}
    add_instrument(case.parent, "milliohm", title="milliohm meter", kind="milliohm meter", statements=stated)
    within = ("2 Ω", "52 mΩ", "2.5 Ω ± 0.1 Ω", "> 2 Ω")
    for text in ("2.001 Ω", "50 Ω"):
        entry = record(case, shows="earth resistance", who="Ines", readings=(text,), instrument="milliohm")
        (asked,) = questions(open_bench(case), entry)
        assert asked.startswith(
            f"reading 1, {text!r}, is beyond 2 Ω, the range for which the accuracy of 'milliohm' is"
        )
    for text in within:
        entry = record(case, shows="earth resistance", who="Ines", readings=(text,), instrument="milliohm")
        assert questions(open_bench(case), entry) == ()
