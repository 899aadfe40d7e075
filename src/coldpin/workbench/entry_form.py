"""The form of an entry, made from the vocabulary, and what was understood of what is written into it."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from coldpin.casefile.acceptance import ANSWERS
from coldpin.checks import BenchEvidence, Need
from coldpin.checks.bench_tests import BenchTest, bench_tests
from coldpin.checks.readings import Measured, Side, lacks_accuracy, stated_accuracy
from coldpin.checks.readings import readings as read_entry
from coldpin.checks.wiring_map import map_pairs
from coldpin.errors import ColdpinError, InputError, UnknownName
from coldpin.quantity import (
    AtLeast,
    AtMost,
    Quantity,
    format_reading,
    format_value,
    in_unit,
    parse_quantity,
    parse_reading,
)
from coldpin.records.entry import Entry
from coldpin.records.entry_form import EntryForm, FormInstrument, FormTest, SaidBack, Understood
from coldpin.records.form_field import FormField
from coldpin.records.plan import Stage
from coldpin.records.showing import Showing
from coldpin.records.vocabulary import VOCABULARY, showing
from coldpin.standards.book import load_book
from coldpin.workbench.bench_boxes import NEVER_WITHOUT, ONE_FOR_EACH_POLE, SHOWN_OF_A_CAPTURE
from coldpin.workbench.observing import observed
from coldpin.workbench.opening import edition_for
from coldpin.workbench.questioning import questions, questions_typed
from coldpin.workbench.shelving import Bench, open_bench

EXAMPLES: Mapping[str, tuple[str, ...]] = {
    "V": ("230.1 V", "1.4 V ± 0.2 V", "85 mV"),
    "Ω": ("52 mΩ ± 0.3 mΩ", "0,11 Ω", "2k74", "> 200 MΩ"),
    "s": ("38 ms", "0.042 s"),
    "A": ("6.0 A", "0.45 mA ± 0.02 mA"),
    "mA": ("22.5 mA", "22.5 mA ± 0.4 mA"),
    "°C": ("61.4 °C", "61.4 °C ± 1.5 °C"),
    "F": ("470 nF ± 5 %", "4.7 nF"),
    "mm": ("9.82 mm", "9.82 mm ± 0.05 mm"),
    "g": ("4.46 g", "4.46 g ± 0.02 g"),
    "W": ("0.62 W", "620 mW"),
    "m": ("5 m", "500 cm"),
    "1": ("56",),
}
"""How people write a reading of each unit of the vocabulary."""

USUAL_BLANKS = 3
"""Ours: so many blanks a form shows where a test asks for fewer repeats; what stays empty is no reading."""

ASKED_FIRST = 6
"""Ours: so many conditions are asked at once; more would hide where one writes the reading."""

_SUCH_AS = re.compile(r"(?:such as|with its limits:) '([^']+)'")
_NO_TEXT = "____"


def entry_form(folder: Path | str, word: str) -> EntryForm:
    """Return what is asked of a person who records a word of the vocabulary in a case.

    Parameters
    ----------
    folder : Path or str
        The case.
    word : str
        A word of the vocabulary.

    Returns
    -------
    EntryForm
        Fields, units, instruments of the shelf, and the cautions of the tests that record it.

    Raises
    ------
    UnknownName
        The word is not in the vocabulary.
    CaseError
        The folder is not a case, or ``case.toml`` cannot be read.
    """
    known = showing(word)
    bench = open_bench(folder)
    unit = bench.case.description().unit
    tests = tuple(test for test in bench_tests() if any(need.shows == word for need in _written(test)))
    tests = tuple(test for test in tests if any(not check.applies(unit) for check in test.checks))
    repeats = max((test.procedure.repeats for test in tests), default=1)
    pairs = map_pairs(unit)
    poles = len(dict.fromkeys(pair.split(" > ")[0] for pair in pairs)) - 1
    return EntryForm(
        word=known.word,
        meaning=known.meaning,
        recorded_as=known.recorded_as,
        unit=known.unit,
        measures=known.measures,
        examples=EXAMPLES.get(known.unit, ()) if known.recorded_as == "readings" else (),
        blanks=max(USUAL_BLANKS, repeats, poles if word in ONE_FOR_EACH_POLE else 0),
        rows=pairs if known.recorded_as == "pairs" else (),
        answers=ANSWERS if known.recorded_as == "answer" else (),
        fields=_fields(known),
        instruments=tuple(
            FormInstrument(name=name, title=one.name, states=stated_accuracy(one, known.measures))
            for name, one in bench.instruments.items()
        ),
        tests=tuple(sorted(map(_told, tests), key=lambda test: list(Stage).index(test.stage))),
        supply="supply" in known.conditions or any(test.live for test in tests),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Before:
    """What is to be read before something is measured, each once: cautions, hold points, whether the mains is on."""

    cautions: tuple[str, ...]
    hold_points: tuple[str, ...]
    live: bool


def before_it(form: EntryForm, test: str = "") -> Before:
    """Return the cautions and hold points that stand before what a form records.

    Parameters
    ----------
    form : EntryForm
        The form.
    test : str
        The test it is recorded for; where empty or not one of those that record it, those of all of them.

    Returns
    -------
    Before
        Those of a step with the mains where any of the tests has one.
    """
    tests = [one for one in form.tests if one.test == test] or list(form.tests)
    return Before(
        cautions=tuple(dict.fromkeys(line for one in tests for line in one.cautions)),
        hold_points=tuple(dict.fromkeys(line for one in tests for line in one.hold_points)),
        live=any(one.live for one in tests),
    )


def words_like(part: str = "") -> tuple[Showing, ...]:
    """Return the words of the vocabulary that hold a part, or tell of it; all where it is empty.

    Parameters
    ----------
    part : str
        Part of a word; where no word holds it, part of what one means.

    Returns
    -------
    tuple of Showing
        In the order of the vocabulary.

    Raises
    ------
    UnknownName
        No word holds it or tells of it.

    Examples
    --------
    >>> [one.word for one in words_like("wiring")]
    ['wiring map']
    """
    sought = part.strip().casefold()
    named = tuple(one for one in VOCABULARY.values() if sought in one.word.casefold())
    told = named or tuple(one for one in VOCABULARY.values() if sought in one.meaning.casefold())
    if not told:
        raise UnknownName.among("word of the vocabulary, or part of one:", part, VOCABULARY)
    return told


def say_back(
    folder: Path | str,
    *,
    shows: str,
    who: str = "",
    readings: Sequence[str] = (),
    answer: str = "",
    pairs: Mapping[str, str] | None = None,
    conditions: Mapping[str, str] | None = None,
    instrument: str = "",
    supply_voltage: str = "",
    ambient: str = "",
    humidity: str = "",
    note: str = "",
) -> SaidBack:
    """Say what an entry would be understood as; nothing is written.

    Parameters
    ----------
    folder : Path or str
        The case.
    shows : str
        A word of the vocabulary.
    who : str
        Who read or saw it; that nobody is named is not told here.
    readings : sequence of str
        As a person writes them.
    answer : str
        "yes", "no" or "cannot tell".
    pairs : mapping of str to str, optional
        Of a wiring map.
    conditions : mapping of str to str, optional
        Conditions the vocabulary has for this word.
    instrument : str
        Its name on the shelf.
    supply_voltage, ambient, humidity : str
        Texts with unit.
    note : str
        Anything else.

    Returns
    -------
    SaidBack
        Each text as understood, or why it cannot be read; what is hardly so; and whether the entry would be taken.

    Raises
    ------
    UnknownName
        The word is not in the vocabulary.
    CaseError
        The folder is not a case.
    """
    known = showing(shows)
    bench = open_bench(folder)
    around = {"supply voltage": supply_voltage, "ambient": ambient, "humidity": humidity}
    stated = [
        *(_of_condition(name, text, known) for name, text in (conditions or {}).items()),
        *(_of_quantity(name, text) for name, text in around.items() if text),
    ]
    try:
        entry = observed(
            bench,
            shows=shows,
            who=who or _NO_TEXT,
            readings=readings,
            answer=answer,
            pairs=pairs,
            conditions=conditions,
            instrument=instrument,
            supply_voltage=supply_voltage,
            ambient=ambient,
            humidity=humidity,
            note=note,
        )
    except ColdpinError as error:
        plain = tuple(_plainly(number, text, known) for number, text in enumerate(readings, start=1))
        typed = {**(conditions or {}), **around}
        return SaidBack(texts=(*plain, *stated), refused=str(error), questions=questions_typed(known, readings, typed))
    return SaidBack(
        texts=(*_measured(bench, entry), *stated),
        remark=lacks_accuracy(entry, bench.instruments),
        questions=questions(bench, entry),
    )


def _written(test: BenchTest) -> tuple[Need, ...]:
    return tuple(need for check in test.checks for need in (*check.any_of, *check.needs, *check.also) if need.shows)


def _told(test: BenchTest) -> FormTest:
    procedure = test.procedure
    return FormTest(
        test=test.id,
        title=test.title,
        stage=procedure.when,
        live=test.live,
        cautions=procedure.cautions,
        hold_points=procedure.hold_points,
    )


def _fields(known: Showing) -> tuple[FormField, ...]:
    must = NEVER_WITHOUT.get(known.word, ())
    first = SHOWN_OF_A_CAPTURE if known.recorded_as == "capture" else tuple(known.conditions)[:ASKED_FIRST]
    fields = [
        FormField(
            name=name,
            meaning=meaning,
            allowed=known.allowed.get(name, ()),
            example=example_in(meaning),
            must=name in must,
            usual=name in must or name in first or name == "supply",
        )
        for name, meaning in known.conditions.items()
    ]
    return tuple(sorted(fields, key=lambda field: not field.must))


@cache
def example_in(meaning: str) -> str:
    """Return the example that the meaning of a condition gives, as it would be written.

    Parameters
    ----------
    meaning : str
        As the vocabulary has it.

    Returns
    -------
    str
        Empty where it gives none.

    Examples
    --------
    >>> example_in("d.c. test voltage, such as '500 V'")
    '500 V'
    """
    found = _SUCH_AS.search(meaning)
    return found[1] if found else ""


def _of_condition(name: str, text: str, known: Showing) -> Understood:
    return Understood(what=name, text=text) if name in known.allowed else _of_quantity(name, text)


def _of_quantity(name: str, text: str) -> Understood:
    """Say back a text that may be a quantity; one that is none is kept as words."""
    try:
        return Understood(what=name, text=text, means=format_reading(parse_quantity(text)))
    except InputError:
        return Understood(what=name, text=text)


def _plainly(number: int, text: str, known: Showing) -> Understood:
    """Say back a reading by itself, without its instrument."""
    what = f"reading {number}"
    try:
        parse_reading(text, known.unit or None)
        return Understood(what=what, text=text, means=_said(parse_reading(text)))
    except InputError as error:
        return Understood(what=what, text=text, problem=str(error))


def _said(read: Quantity | AtLeast | AtMost) -> str:
    match read:
        case AtLeast():
            return f"{Side.AT_LEAST} {_edge(read.edge)}"
        case AtMost():
            return f"{Side.AT_MOST} {_edge(read.edge)}"
        case _:
            return format_reading(read)


def _edge(edge: Quantity) -> str:
    """Say the end of a range; where nobody knows how sure it is, as it stands on the meter."""
    return format_value(edge.value, edge.unit) if edge.u is None else format_reading(edge)


def _measured(bench: Bench, entry: Entry) -> tuple[Understood, ...]:
    """Say back the readings of an entry with the accuracy of its instrument."""
    known = showing(entry.shows)
    if not entry.readings or not known.unit:
        return ()
    try:
        description = bench.case.description()
        seen = BenchEvidence(
            case=description,
            edition=edition_for(description),
            book=load_book().with_own(description.constants),
            entries=(entry,),
            instruments=bench.instruments,
        )
        found = read_entry(seen, entry)
    except InputError:
        return tuple(_plainly(number, text, known) for number, text in enumerate(entry.readings, start=1))
    return tuple(
        Understood(what=f"reading {number}", text=one.text, means=_words(one))
        for number, one in enumerate(found, start=1)
    )


def _words(one: Measured) -> str:
    """Say what was read in the unit in which it was written, with the accuracy of its instrument."""
    written = parse_reading(one.text)
    unit = written.unit if isinstance(written, Quantity) else written.edge.unit
    quantity = in_unit(one.quantity, unit)
    return format_reading(quantity) if one.side is Side.VALUE else f"{one.side} {_edge(quantity)}"
