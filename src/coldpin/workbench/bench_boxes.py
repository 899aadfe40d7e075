"""The boxes of a bench sheet: what is written down, and the line that types it straight back into the case."""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Mapping
from dataclasses import replace
from itertools import pairwise

from coldpin.checks import Need
from coldpin.checks.bench_tests import BenchTest
from coldpin.checks.supply import LOW
from coldpin.checks.wiring_map import map_pairs, plug_pins
from coldpin.records.case import UnitClass
from coldpin.records.plan import WriteBox
from coldpin.records.showing import Showing
from coldpin.records.vocabulary import showing

BLANK = "____"
"""What is filled in by hand."""

ONE_FOR_EACH = {"output at a boundary resistance": "boundary"}
"""Words of which a test needs an entry for every value of a condition."""

ONE_FOR_EACH_POLE = ("insulation across open contacts",)
"""Words of which one entry holds a reading for every pole."""

NEVER_WITHOUT: Mapping[str, tuple[str, ...]] = {
    "access by a probe": ("at",),
    "conductor resistance four-wire": ("length", "temperature"),
    "construction": ("of",),
    "electric strength": ("between",),
    "hot conductor resistance": ("cold resistance", "cold temperature", "current", "air"),
    "marking looked for": ("item",),
    "part inside": ("role",),
    "stripped core mass": ("length",),
    "touch current": ("at",),
    "trip time with alternating residual current": ("current",),
    "trip time with pulsating residual current": ("current",),
    "trip time with smooth residual current": ("current",),
    "voltage on the plug after withdrawal": ("after",),
}
"""Conditions without which an entry of a word is refused: the line does not put them in brackets."""

CONDUCTORS = ("conductor resistance four-wire", "voltage along the conductor")
"""Words of which a test needs an entry for every conductor of the cable."""

ALSO_WRITTEN = {"supply voltage": "--supply-voltage", "± of it": "--supply-voltage", "instrument": "--instrument"}
"""What a sheet has a field for where the line asks for it, beside the conditions."""

DEFAULTS = {"contacts": "as found", "diode": "present", "event": "states"}
"""Values that need not be stated."""

WRITTEN_OUT = ("supply", "input")
"""Conditions that every such line states, for a finding hangs on them."""

SHOWN_OF_A_CAPTURE = ("load", "diode", "event", "setting", "resistance B", "resistance C", "full scale")
"""Of the many conditions of a capture, those that a sheet asks for; `coldpin words` lists all."""


def boxes_of(test: BenchTest, unit: UnitClass, checks: Iterable[str], *, folder: str, who: str) -> tuple[WriteBox, ...]:
    """Return the boxes of a test.

    Parameters
    ----------
    test : BenchTest
        The test.
    unit : UnitClass
        The class of the specimen.
    checks : iterable of str
        Ids of the checks that are to be answered.
    folder : str
        The case, as it is typed.
    who : str
        Who tests; left blank where empty.

    Returns
    -------
    tuple of WriteBox
        One for each entry, alike ones once.
    """
    return tuple(box for box, _ in boxes_and_needs(test, unit, checks, folder=folder, who=who))


def boxes_and_needs(
    test: BenchTest, unit: UnitClass, checks: Iterable[str], *, folder: str, who: str
) -> tuple[tuple[WriteBox, Need], ...]:
    """Return the boxes of a test, each with what an entry must be to fill it.

    Parameters
    ----------
    test : BenchTest
        The test.
    unit : UnitClass
        The class of the specimen.
    checks : iterable of str
        Ids of the checks that are to be answered.
    folder : str
        The case, as it is typed.
    who : str
        Who tests; left blank where empty.

    Returns
    -------
    tuple of WriteBox and Need
        One for each entry, alike ones once.
    """
    boxes: dict[str, tuple[WriteBox, Need]] = {}
    for need, instead in _needs(test, set(checks)):
        for conditions in _spread(need, test, unit):
            box = _box(need, conditions, test, unit, folder=folder, who=who)
            apart = {*test.conditions, ONE_FOR_EACH.get(need.shows, "")}
            own = {name: (said,) for name, said in conditions.items() if name in apart or name not in need.conditions}
            filling = replace(need, conditions={**need.conditions, **own})
            boxes.setdefault(box.line, (replace(box, instead=instead), filling))
    return tuple(boxes.values())


READ_BY_SHELLS = '"\\$`!'
"""What a shell reads within double quotes."""


def never_without(box: WriteBox) -> tuple[str, ...]:
    """Return what must be written down beside the readings of a box, as its line asks for it.

    Parameters
    ----------
    box : WriteBox
        A box of a test.

    Returns
    -------
    tuple of str
        Conditions, and "supply voltage"; what stands in brackets in the line is not among them.
    """
    typed = shlex.split(box.line) if box.recorded_as != "claim" else []
    pairs = tuple(pairwise(typed))
    conditions = [said.removesuffix(f"={BLANK}") for option, said in pairs if option == "--condition" and BLANK in said]
    return (*conditions, *("supply voltage" for option, _ in pairs if option == "--supply-voltage"))


def claims_box(names: Iterable[str]) -> WriteBox:
    """Return the box for what stands on the specimen and goes into ``case.toml``.

    Parameters
    ----------
    names : iterable of str
        Keys of its table of claims.

    Returns
    -------
    WriteBox
        One row for each; its line is a piece of the file.

    Examples
    --------
    >>> claims_box(["plug"]).line
    'plug = "____"'
    """
    rows = tuple(names)
    return WriteBox(
        shows="",
        label="Under [claims] in case.toml, with its unit, as it stands on the specimen",
        recorded_as="claim",
        unit="",
        blanks=0,
        rows=rows,
        line="\n".join(f'{name} = "{BLANK}"' for name in rows),
    )


def _needs(test: BenchTest, wanted: set[str]) -> list[tuple[Need, tuple[str, ...]]]:
    if test.part_answers:
        return [(need, ()) for need in test.records]
    found: list[tuple[Need, tuple[str, ...]]] = []
    for check in test.checks:
        if check.id not in wanted:
            continue
        found += [(need, ()) for need in (*check.needs, *check.also) if need.shows]
        # where a claim serves as well, it is written into case.toml and nothing is read
        entries = [] if any(need.claim for need in check.any_of) else list(check.any_of)
        if entries:
            others = tuple(dict.fromkeys(need.shows for need in entries[1:] if need.shows != entries[0].shows))
            found.append((entries[0], others))
    return found


def _spread(need: Need, test: BenchTest, unit: UnitClass) -> list[dict[str, str]]:
    """Return the conditions of each entry that a need asks for."""
    fixed = {
        name: next(value for value in values if value)
        for name, values in need.conditions.items()
        if any(values) and DEFAULTS.get(name) not in values
    } | dict(test.conditions)
    if need.shows in ONE_FOR_EACH:
        name = ONE_FOR_EACH[need.shows]
        return [{**fixed, name: value} for value in showing(need.shows).allowed[name]]
    if need.shows in CONDUCTORS:
        return [{**fixed, "conductor": pin} for pin in plug_pins(unit)]
    return [fixed]


def _box(
    need: Need, conditions: Mapping[str, str], test: BenchTest, unit: UnitClass, *, folder: str, who: str
) -> WriteBox:
    word = showing(need.shows)
    told = ", ".join(f"{name}: {value}" for name, value in conditions.items())
    rows = map_pairs(unit) if word.recorded_as == "pairs" else ()
    count = test.procedure.repeats if word.recorded_as == "readings" else 1
    if need.shows in ONE_FOR_EACH_POLE:
        count = sum(pin != "PE" for pin in plug_pins(unit))
    asked = _asked(word, need, conditions, test)
    choices = tuple(f"{name}: {' | '.join(word.allowed[name])}" for name in asked if name in word.allowed)
    if word.recorded_as == "answer":
        choices = ("answer: yes | no | cannot tell", *choices)
    line = _line(word, conditions, asked, rows, count, need, test, folder=folder, who=who)
    fields = tuple(name for name in asked if name not in word.allowed)
    fields += tuple(said for said, option in ALSO_WRITTEN.items() if option in line)
    return WriteBox(
        shows=need.shows,
        label=f"{word.word}{f' ({told})' if told else ''}: {word.meaning}",
        recorded_as=word.recorded_as,
        unit=word.unit,
        blanks=0 if rows else count,
        rows=rows,
        line=line,
        choices=choices,
        fields=fields,
        conditions=_stated(word, conditions, live=test.live),
    )


def _asked(word: Showing, need: Need, conditions: Mapping[str, str], test: BenchTest) -> tuple[str, ...]:
    """Return the conditions that are left to be filled in."""
    names = SHOWN_OF_A_CAPTURE if word.recorded_as == "capture" else tuple(word.conditions)
    known = {*conditions, *(WRITTEN_OUT if test.live else ())}
    return tuple(
        name for name in dict.fromkeys((*_must(need), *names)) if name not in known and name in word.conditions
    )


def _must(need: Need) -> tuple[str, ...]:
    """Return the conditions that the line asks for without brackets."""
    return tuple(dict.fromkeys((*need.stated, *NEVER_WITHOUT.get(need.shows, ()))))


def _quoted(text: str) -> str:
    """Return a text as one word of a command line: in double quotes, where a shell reads nothing else into them."""
    return shlex.quote(text) if set(text) & set(READ_BY_SHELLS) else f'"{text}"'


def _line(
    word: Showing,
    conditions: Mapping[str, str],
    asked: tuple[str, ...],
    rows: tuple[str, ...],
    count: int,
    need: Need,
    test: BenchTest,
    *,
    folder: str,
    who: str,
) -> str:
    filed = word.recorded_as in ("capture", "log", "board")
    parts = ["coldpin", "add" if filed else "record", shlex.quote(folder)]
    parts += [BLANK] if filed else []
    if word.recorded_as == "readings":
        unit = "" if word.unit in ("", "1") else f" {word.unit}"
        parts += [f'"{BLANK}{unit}"'] * count
    parts += ["--shows", f'"{word.word}"', "--who", _quoted(who or BLANK)]
    parts += ["--answer", BLANK] if word.recorded_as == "answer" else []
    parts += ["--note", f'"{BLANK}"'] if word.recorded_as == "note" else []
    for row in rows:
        parts += ["--pair", f'"{row}={BLANK}"']
    stated = _stated(word, conditions, live=test.live)
    for name, value in stated.items():
        parts += ["--condition", f'"{name}={value}"']
    for name in _must(need):
        if name in asked:
            parts += ["--condition", f'"{name}={BLANK}"']
    if stated.get("supply") == LOW:
        parts += ["--supply-voltage", f'"{BLANK} V ± {BLANK} V"']
    optional = [f'[--condition "{name}={BLANK}"]' for name in asked if name not in _must(need)]
    if word.measures or filed:
        optional.append(f"[--instrument {BLANK}]")
    if "supply" in word.conditions and stated.get("supply") != LOW:
        optional.append(f'[--supply-voltage "{BLANK} V ± {BLANK} V"]')
    return " ".join((*parts, *optional))


def _stated(word: Showing, conditions: Mapping[str, str], *, live: bool) -> dict[str, str]:
    """Return the conditions that the line states, those that every reading on the mains has among them."""
    usual = {"supply": "mains", "input": "low impedance"} if live else {}
    return {**{name: value for name, value in usual.items() if name in word.conditions}, **conditions}
