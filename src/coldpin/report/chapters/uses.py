"""Where and how it may be used: the answers to the conditions of use, each with its reasons and its largest current."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from coldpin.conclusion.use_common import reasons_alike
from coldpin.conclusion.use_telling import current_told, decided_by
from coldpin.quantity import format_value
from coldpin.records.assessment import Basis
from coldpin.records.use import CurrentBound, UseAnswer, UseJudgement, UseReason, UseRule
from coldpin.report.document import (
    Block,
    Break,
    Callout,
    CalloutKind,
    Column,
    Face,
    Heading,
    Inline,
    Line,
    Listing,
    Paragraph,
    Role,
    Row,
    Table,
    Tag,
    Text,
)
from coldpin.report.figures.uses import uses_figure
from coldpin.report.index import Index, joined

MOST_BOUNDS = 5
"""Bounds of the current told of each use, the least first; the rest is in the record."""


def uses(index: Index) -> tuple[Block, ...]:
    """Return the chapter on where and how the specimen may be used.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Its blocks; none where no condition of use was judged.
    """
    judged = index.assessment.conditions_of_use
    if not judged:
        return ()
    blocks: list[Block] = [
        Heading(2, "Where and how it may be used", index.anchors.fresh("uses")),
        Paragraph((Text(_INTRODUCTION),), Role.QUIET),
        uses_figure(judged, index.anchors),
    ]
    shared = _shared(judged)
    blocks += _of_all(index, judged, shared)
    for one in judged:
        blocks += _use(index, one, shared)
    opinions = index.assessment.case.opinions
    if opinions:
        items: tuple[Line, ...] = tuple(
            (Text(f"{opinion.who}: “{opinion.text}” "), Tag(Basis.OPINION)) for opinion in opinions
        )
        blocks += [
            Heading(3, "What a person thinks beyond the tests", index.anchors.place("opinions", "uses")),
            Callout(CalloutKind.NOTE, "An opinion: it rests on no test, and changes no answer above", items),
        ]
    return tuple(blocks)


_INTRODUCTION = (
    "Four answers are possible. “No objection found in these tests” is said where everything on which an injury hangs "
    "there was shown; what was not tested leaves it open. Measures are on the side of the supply and of the user, "
    "never in the product. Which function must be shown where is our judgement, and stands among the sources; local "
    "codes come first."
)


Rules = tuple[tuple[UseRule, ...], str]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shared:
    """What is the same for every use, told once: reasons, by their text, and rules."""

    reasons: tuple[UseReason, ...] = ()
    rules: Rules | None = None

    def own(self, reasons: Iterable[UseReason]) -> tuple[UseReason, ...]:
        """Return those of some reasons that are not shared by all."""
        told = {reason.text for reason in self.reasons}
        return tuple(reason for reason in reasons if reason.text not in told)


def _shared(judged: tuple[UseJudgement, ...]) -> _Shared:
    if len(judged) < _SEVERAL:
        return _Shared()
    in_all = set.intersection(*({reason.text for reason in one.reasons} for one in judged))
    same = all((one.rules, one.local_codes) == (judged[0].rules, judged[0].local_codes) for one in judged)
    return _Shared(
        reasons=tuple(reason for reason in judged[0].reasons if reason.text in in_all),
        rules=(judged[0].rules, judged[0].local_codes) if same else None,
    )


_SEVERAL = 2
"""Ours: uses from which on what they share is told once."""


def _of_all(index: Index, judged: tuple[UseJudgement, ...], shared: _Shared) -> tuple[Block, ...]:
    blocks: list[Block] = []
    if shared.reasons:
        blocks += [
            Heading(3, f"What speaks against all {len(judged)} uses", index.anchors.fresh("uses-shared")),
            *_reasons(index, shared.reasons),
        ]
    if shared.rules is not None:
        blocks.append(Paragraph((Text("For every use: ", Face.STRONG), *_rules(*shared.rules)), Role.QUIET))
    return tuple(blocks)


def _use(index: Index, one: UseJudgement, shared: _Shared) -> tuple[Block, ...]:
    said = " ".join(filter(None, (one.plain, decided_by(one)))) if one.plain else one.because
    blocks: list[Block] = [
        Heading(3, f"{one.name}: {one.answer.value}", index.anchors.fresh(f"use-{one.id}" if one.id else "use-own")),
        Paragraph((Text(said), Text(" "), Tag(Basis.INFERRED))),
    ]
    if one.use is not None and one.use.why:
        blocks.append(Paragraph((Text("Asked because: ", Face.STRONG), Text(one.use.why)), Role.QUIET))
    taken = _taken(one)
    if taken:
        blocks.append(Paragraph((Text("Taken to be: ", Face.STRONG), Text(f"{taken}.")), Role.QUIET))
    own = shared.own(one.reasons)
    if own:
        blocks += _reasons(index, own)
    if len(own) < len(one.reasons):
        besides = "The reasons above, which hold for every use, hold here too. "
        blocks.append(Paragraph((Text(besides), Tag(Basis.INFERRED))))
    if one.measures and one.answer is not UseAnswer.WITH_MEASURES:
        still = "; ".join(one.measures)
        blocks.append(Paragraph((Text(f"Were that shown, still only {still}. "), Tag(Basis.INFERRED))))
    if one.bounds:
        blocks.append(_bounds(one))
    if one.would_have:
        fit = "; ".join(one.would_have)
        lead = Text("A unit fit for this would have: ", Face.STRONG)
        blocks.append(Paragraph((lead, Text(f"{fit}. "), Tag(Basis.INFERRED))))
    if shared.rules is None:
        blocks.append(Paragraph(_rules(one.rules, one.local_codes), Role.QUIET))
    return tuple(blocks)


def _taken(one: UseJudgement) -> str:
    if one.use is None:
        return ""
    use = one.use
    parts = [
        *use.understood,
        *(() if use.supply_a is None else (f"circuit of {format_value(use.supply_a, 'A')}",)),
        *((f"device {use.device}",) if use.device else ()),
        *(() if use.hours is None else (f"{format_value(use.hours, 'h')} at a time",)),
        *(() if use.ambient is None else (f"air up to {format_value(use.ambient, '°C')}",)),
        f"cable coiled: {use.coiled.value}",
        *((f"country {use.country}",) if use.country else ()),
    ]
    return "; ".join(parts)


def _reasons(index: Index, reasons: tuple[UseReason, ...]) -> tuple[Block, ...]:
    """Reasons of one kind together, under what they say alike."""
    blocks: list[Block] = []
    single: list[Line] = []
    for kind in reasons_alike(reasons):
        lines = [_reason(index, reason, text) for text, reason in kind.told]
        if not kind.head:
            single += lines
            continue
        blocks += [Paragraph((Text(f"{kind.head}:", Face.STRONG),)), Listing(tuple(lines))]
        if kind.instead:
            stead = tuple((Text(f"{', '.join(names)}: {measure}"),) for measure, names in kind.instead)
            blocks += [Paragraph((Text("Measures that stand in for what is not shown:"),)), Listing(stead)]
    return (*((Listing(tuple(single)),) if single else ()), *blocks)


def _reason(index: Index, reason: UseReason, text: str) -> Line:
    line: list[Inline] = [Text(text), Text(" "), Tag(Basis.INFERRED)]
    known = [name for name in reason.findings if name in index.findings]
    if known:
        line += [Text(" from ", Face.QUIET), *joined(index.to_finding(name) for name in known[:MOST_BOUNDS])]
    return tuple(line)


def _bounds(one: UseJudgement) -> Table:
    rows = tuple(_bound(bound) for bound in one.bounds[:MOST_BOUNDS])
    columns = (Column("What limits the current", 1.0), Column("At most", 0.5), Column("By what", 2.0))
    leave = one.largest_current_a is not None
    set_to = f" To be set to {one.set_to_a:g} A." if leave and one.set_to_a is not None else ""
    least = one.bounds[0].current_a if one.bound_a is None else one.bound_a
    laid = ", with the cable laid out" if least > one.bounds[0].current_a else ""
    return Table(f"Largest current: {current_told(one)}{laid}.{set_to}", columns, rows)


def _amperes(current: float) -> str:
    return format_value(float(f"{current:.3g}"), "A")


def _bound(bound: CurrentBound) -> Row:
    why: list[Inline] = [Text(bound.because)]
    if bound.if_laid_out is not None:
        why += [Break(), Text(f"Laid out: {_amperes(bound.if_laid_out)}.", Face.QUIET)]
    if bound.limit is not None:
        why += [Break(), Text(f"{bound.limit.source}; standing: {bound.limit.standing}", Face.QUIET)]
    return Row(((Text(bound.name, Face.STRONG),), (Text(_amperes(bound.current_a)),), tuple(why)))


def _rules(rules: tuple[UseRule, ...], local_codes: str) -> Line:
    line: list[Inline] = []
    for rule in rules:
        line += [Text(f"{rule.says} ({rule.limit.source}, standing: {rule.limit.standing})"), Break()]
    return (*line, Text(local_codes or "Ask local codes."))
