"""How the checks were done: by level of danger, what stands before every step said once, then each with its own."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import TypeVar

from coldpin.records.assessment import Method
from coldpin.report.document import (
    Block,
    Break,
    Callout,
    CalloutKind,
    Column,
    Definition,
    Definitions,
    Face,
    Heading,
    Inline,
    Line,
    Listing,
    Paragraph,
    Role,
    Row,
    Table,
    Text,
)
from coldpin.report.index import Index, stacked
from coldpin.report.numbers import counted
from coldpin.report.words import LEVEL_TITLES, sentence_case

_T = TypeVar("_T")


def method(index: Index) -> tuple[Block, ...]:
    """Return the chapter on method.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Its blocks.
    """
    blocks: list[Block] = [
        Heading(2, "How these checks were done", index.anchors.fresh("method")),
        Paragraph((Text(_SAID),)),
        Paragraph((Text("Any check, done or not, is printed by "), Text("coldpin checks ID", Face.CODE), Text("."))),
    ]
    if index.assessment.cautions:
        said = _lines(index.assessment.cautions)
        blocks.append(Callout(CalloutKind.CAUTION, "Mains kills: before anyone repeats any of this", said))
    if not index.done:
        blocks.append(Paragraph((Text("No check was done."),)))
    levels = list(LEVEL_TITLES)
    ranked = sorted(index.done, key=lambda done: levels.index(done.level) if done.level in levels else len(levels))
    for level, group in groupby(ranked, key=lambda done: done.level):
        blocks += _level(index, level, list(group))
    return tuple(blocks)


_SAID = (
    "As published for each check that gave a finding, in the order in which they may be done. What was done otherwise, "
    "and why, stands in the entries."
)


def _level(index: Index, level: str, methods: Sequence[Method]) -> tuple[Block, ...]:
    """Tell the checks of one level of danger, what all of them must heed first."""
    title = LEVEL_TITLES.get(level, sentence_case(level))
    anchor = index.anchors.fresh("method-level")
    blocks: list[Block] = [Heading(3, title, anchor)]
    common = _in_all(done.cautions for done in methods)
    if common:
        blocks.append(Callout(CalloutKind.CAUTION, "Stands before every step of this group", _lines(common)))
    setups: dict[tuple[object, ...], list[Method]] = {}
    for done in methods:
        setups.setdefault((done.instrument, done.cautions, done.hold_points), []).append(done)
    for setup in setups.values():
        own = tuple(caution for caution in setup[0].cautions if caution not in common)
        blocks += _setup(index, setup, own, anchor if common else "")
    return tuple(blocks)


def _setup(index: Index, methods: Sequence[Method], cautions: tuple[str, ...], group: str) -> tuple[Block, ...]:
    """Tell the checks that are done with one set of instruments: cautions, hold points, stops, then the steps.

    Who comes here by a link is led to the cautions of the ``group`` first.
    """
    first, *more = methods
    alone = not more
    blocks: list[Block] = []
    title = first.title if alone else f"{first.title}, and {counted(len(more), 'check')} with the same setup"
    own_place = index.anchors.place("check", first.check) if alone else ""
    anchor = own_place or index.anchors.fresh("method-setup")
    blocks.append(Heading(4, title, anchor))
    transfers = _most_common(done.transfers for done in methods)
    repeats = _most_common(done.repeats for done in methods)
    facts = (
        ("Instrument", first.instrument),
        ("Repeats", _repeats(repeats)),
        ("Once opened", transfers),
    )
    items = [Definition(term, (Text(said),)) for term, said in facts if said]
    if group:
        cautions_first = Text("the cautions that stand before every step of this group", link=group)
        items.insert(0, Definition("First", (cautions_first,)))
    blocks.append(Definitions(tuple(items)))
    stops = _in_all(done.stop_values for done in methods)
    if cautions:
        title = "Before the first step, besides what stands before the group"
        blocks.append(Callout(CalloutKind.CAUTION, title, _lines(cautions)))
    if first.hold_points or stops:
        held = (*_lines(first.hold_points), *((Text("Stop: ", Face.STRONG), Text(stop)) for stop in stops))
        blocks.append(Callout(CalloutKind.HOLD, "Hold points" if not stops else "Hold points and when to stop", held))
    if alone:
        return (*blocks, *((Listing(_lines(first.steps), ordered=True),) if first.steps else ()))
    shared = _Shared(transfers=transfers, repeats=repeats, stops=stops, anchor=anchor)
    return (*blocks, *_together(index, methods, shared))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shared:
    """What the checks of one setup have in common, so that the row of each need not repeat it."""

    transfers: str
    repeats: int
    stops: tuple[str, ...]
    anchor: str


def _together(index: Index, methods: Sequence[Method], shared: _Shared) -> tuple[Block, ...]:
    """Tell several checks as one table; steps that come in more than one stand above it by letter."""
    alike: dict[Method, list[Method]] = {}
    for done in methods:
        alike.setdefault(replace(done, check="", title=""), []).append(done)
    told = Counter(step for group in alike.values() for step in group[0].steps)
    letters = dict(zip((step for step, count in told.items() if count > 1), _LETTERS, strict=False))
    blocks: list[Block] = []
    if letters:
        blocks.append(
            Paragraph((Text("Steps that several of these checks share, named by letter below."),), Role.QUIET)
        )
        blocks.append(
            Definitions(tuple(Definition(f"Step {letter}", (Text(step),)) for step, letter in letters.items()))
        )
    rows: list[Row] = []
    for first, *others in alike.values():
        anchor = index.anchors.place("check", first.check)
        rows.append(Row((_named(first, shared.anchor), _steps(first, letters, shared)), anchor))
        for other in others:
            same: Line = (Text("Read from the same evidence, taken as for “"), index.to_check(first.check), Text("”."))
            rows.append(Row((_named(other), same), index.anchors.place("check", other.check)))
    caption = "Steps of each check; the cautions and hold points above stand before them"
    return (*blocks, Table(caption, (Column("Check", 1.0), Column("Steps, in this order", 3.4)), tuple(rows)))


_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def _named(done: Method, before: str = "") -> Line:
    """Return the title of a check, and the way back to what stands before its steps for who came by a link."""
    title = Text(done.title, Face.STRONG)
    return (title, Break(), Text("what stands before", link=before)) if before else (title,)


def _steps(done: Method, letters: dict[str, str], shared: _Shared) -> Line:
    """Return when to stop, the steps in their order, and what holds for this check alone."""
    lines: list[Inline] = [Text(f"Stop: {stop}", Face.STRONG) for stop in done.stop_values if stop not in shared.stops]
    number = 0
    for lettered, run in groupby(done.steps, key=lambda step: step in letters):
        if lettered:
            number += 1
            named = [letters[step] for step in run]
            lines.append(Text(f"{number}. Step{'s' if len(named) > 1 else ''} {_listed(named)} above."))
            continue
        for step in run:
            number += 1
            lines.append(Text(f"{number}. {step}"))
    if done.repeats != shared.repeats:
        lines.append(Text(f"Repeats: {_repeats(done.repeats) or 'none'}", Face.QUIET))
    if done.transfers != shared.transfers:
        lines.append(Text(f"Once opened: {done.transfers or 'nothing is known'}", Face.QUIET))
    return stacked(lines) or (Text("–"),)


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _repeats(count: int) -> str:
    return f"{count} times or more" if count > 1 else ""


def _lines(texts: Iterable[str]) -> tuple[Line, ...]:
    return tuple((Text(text),) for text in texts)


def _in_all(groups: Iterable[tuple[str, ...]]) -> tuple[str, ...]:
    """Return the texts that stand in every group, in the order of the first."""
    first, *others = groups
    return tuple(text for text in first if all(text in other for other in others))


def _most_common(values: Iterable[_T]) -> _T:
    return Counter(values).most_common(1)[0][0]
