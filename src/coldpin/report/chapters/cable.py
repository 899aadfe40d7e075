"""The cable: what its conductors resist, what they are made of, what its joints add, and what may flow on the way."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from coldpin.conclusion.statement import basis_of
from coldpin.copper.joints import of_joint
from coldpin.copper.metal_telling import answers_told
from coldpin.quantity import format_figure
from coldpin.records.assessment import Basis
from coldpin.records.cable import CableEvidence, ConductorEvidence, CoreEvidence, HeatingEvidence, JointsEvidence
from coldpin.records.conductor import ClassPlacement, JointResistance
from coldpin.records.current_path import CurrentPath, PathPart, PathRole
from coldpin.records.finding import Limit, Outcome
from coldpin.report.document import (
    Align,
    Block,
    Break,
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
    Tag,
    Text,
)
from coldpin.report.figures.current_map import current_map
from coldpin.report.figures.heating_curve import heating_curve
from coldpin.report.figures.metal import metal
from coldpin.report.heating_lines import heating_lines, tested_points
from coldpin.report.index import Index, joined, stacked
from coldpin.report.numbers import bounds, likelihood, measured, probability
from coldpin.report.words import outcome_mark, sentence_case
from coldpin.standards.table import needed
from coldpin.standards.wording import number_text

_BOTH_SIDES = "both sides"
_BETWEEN = {"inside": "inside of both joints", "pins": "from pin to pin, both joints in it"}
_WHY_RATINGS_DIFFER = (
    "What a cable may carry is told by three rules, which give three figures for one cable: on the current's way and "
    "against overload the lowest printed row of its size counts (up to 2.5 mm² that of household cords), whatever "
    "kind of cable it is; against marked and offered current the rows for its kind of cable count, at the air "
    "named (within what the lowest of them allows, beyond what the highest does not; each finding names them); and "
    "the map computes this cable, lying as it says there, up to what its insulation bears."
)
"""Why the figures of the checks and of the map for one cable differ, told where they stand beside each other."""

_ROLES = {PathRole.CARRIES: "may carry", PathRole.CLAIMS: "claims", PathRole.ASKS: "asks for"}


def cable(index: Index) -> tuple[Block, ...]:
    """Return the chapter on the cable.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Its blocks; none where nothing was found out about the cable.
    """
    found = index.cable
    if not found:
        return ()
    return (
        Heading(2, "Cable and heating", index.anchors.fresh("cable")),
        Paragraph(
            (
                Text(
                    "How much current a lead can carry for hours is decided by the metal in its cable, by the joints "
                    "in plug and connector, and by the air around it. A marked size is a resistance at 20 °C, no area."
                ),
            )
        ),
        *_conductors(index, found.conductors),
        *_joints(index, found.joints),
        *_cores(index, found.cores),
        *_heated(index, found.heating),
        *_heat(index, found),
        *_path(index, found),
    )


def _conductors(index: Index, found: tuple[ConductorEvidence, ...]) -> tuple[Block, ...]:
    if not found:
        return ()
    columns = (
        Column("Conductor", 1.1),
        Column("At 20 °C, per kilometre", 1.5),
        Column("Limit as known", 1.7),
        Column("Area of copper alike", 1.1, Align.END),
        Column("Outcome", 1.1),
    )
    rows = tuple(_conductor(index, seen) for seen in found)
    asked = [Text(question) for seen in found for question in seen.reading.questions]
    return (
        Heading(3, "Resistance of the conductors", index.anchors.fresh("conductors")),
        Table(
            "Conductors, referred to 20 °C: ± at 95 %, and the probability of lying within the limit as known",
            columns,
            rows,
        ),
        *_noted("To be looked at again", asked),
        *_noted("", (Text(remark) for remark in _once(remark for seen in found for remark in seen.reading.remarks))),
    )


def _conductor(index: Index, seen: ConductorEvidence) -> Row:
    reading = seen.reading
    lines = [_placement(index, placement) for placement in reading.placements] or [(Text("no size marked"),)]
    outcome: Line = (outcome_mark(reading.outcome), Break(), Text(probability(reading.probability), Face.QUIET))
    return Row(
        (
            (
                Text(seen.conductor, Face.STRONG),
                Break(),
                Text(_BETWEEN.get(seen.taps, seen.taps), Face.QUIET),
                Break(),
                index.to_entry(seen.entry),
            ),
            (Text(measured(reading.resistance_20c_ohm_per_km)),),
            _below(lines),
            (Text(format_figure(reading.equivalent_area_mm2)),),
            outcome if reading.placements else (outcome_mark(Outcome.UNDECIDED),),
        )
    )


def _placement(index: Index, placement: ClassPlacement) -> Line:
    coated = f", {placement.coating}" if placement.coating else ""
    return (
        Text(f"{bounds(placement.limit)} (class {placement.conductor_class}{coated}) "),
        _source(index, placement.limit),
    )


def _joints(index: Index, found: tuple[JointsEvidence, ...]) -> tuple[Block, ...]:
    if not found:
        return ()
    columns = (
        Column("Joint", 1.4),
        Column("Resistance", 1.3, Align.END),
        Column("Of the whole", 1.0, Align.END),
        Column("Heat", 1.2, Align.END),
        Column("A good one", 1.4),
        Column("Outcome", 1.1),
    )
    rows = tuple(_joint(index, seen, joint) for seen in found for joint in seen.apart.joints)
    remarks = _once(remark for seen in found for remark in seen.apart.remarks)
    return (
        Heading(3, "Joints in plug and connector", index.anchors.fresh("joints")),
        Table("Joints of the conductors with their pins: ± at 95 %, and the probability of being good", columns, rows),
        *_noted("", (Text(remark) for remark in remarks)),
    )


def _joint(index: Index, seen: JointsEvidence, joint: JointResistance) -> Row:
    current = seen.apart.current_a
    heat = "–" if joint.heat_w is None or current is None else f"{measured(joint.heat_w)} at {current:g} A"
    share = "–" if joint.share is None else f"{100.0 * joint.share.value:.0f} %"
    return Row(
        (
            (
                Text(f"{seen.conductor}, {joint.where}", Face.STRONG),
                Break(),
                *joined(index.to_entry(entry) for entry in seen.entries),
            ),
            (Text(measured(of_joint(joint.resistance_ohm))),),
            (Text(share),),
            (Text(heat),),
            (Text(f"{_good(joint, seen.apart.limit)} "), _source(index, seen.apart.limit)),
            (outcome_mark(joint.outcome), Break(), Text(probability(joint.probability), Face.QUIET)),
        )
    )


def _good(joint: JointResistance, one: Limit) -> str:
    """Say what a good joint has at most: less than its usual least is good as well; both are good where one may be."""
    if joint.where == _BOTH_SIDES:
        most = needed(one, "maximum")
        each, both = (number_text(number, one.unit) for number in (most, 2.0 * most))
        return f"at most {each} in one; both are good up to {each}, and not both above {both}"
    return bounds(replace(one, minimum=None))


def _cores(index: Index, found: tuple[CoreEvidence, ...]) -> tuple[Block, ...]:
    blocks: list[Block] = []
    for seen in found:
        estimate = seen.estimate
        subject = f"the core {seen.conductor}" if seen.conductor else "the core"
        blocks += [
            Paragraph((Text(estimate.statement), Text(" "), _tag(index, estimate.statement))),
            Paragraph((Text("From "), *joined(index.to_entry(name) for name in seen.entries)), Role.QUIET),
            metal(estimate, index.anchors, subject=subject),
        ]
        settle = [
            Text(
                f"{sentence_case(next_one.title)}: {probability(next_one.probability_of_deciding)} likely to decide it"
            )
            for next_one in estimate.settle
        ]
        blocks += _noted("" if estimate.decided else "What would settle it", settle if not estimate.decided else ())
        blocks += _noted("", (Text(remark) for remark in estimate.remarks))
        beliefs = (Text(said) for said in answers_told(estimate.priors))
        blocks += _noted("What it comes to by each belief beforehand; the first is used", beliefs)
    if not blocks:
        return ()
    return (Heading(3, "What the cores are made of", index.anchors.fresh("cores")), *blocks)


def _tag(index: Index, statement: str) -> Tag:
    """Tag what is told here as the finding that says the same; what no finding says is inferred."""
    finding = next((one for one in index.assessment.findings if one.statement == statement), None)
    return Tag(Basis.INFERRED if finding is None else basis_of(finding))


def _heated(index: Index, found: tuple[HeatingEvidence, ...]) -> tuple[Block, ...]:
    blocks: list[Block] = []
    for seen in found:
        rise = seen.rise
        anchor = index.anchors.place("heating", seen.entry) or index.anchors.fresh("heating-again")
        blocks += [
            Heading(3, f"Heating of the {rise.part.value}, {seen.file or seen.entry}", anchor),
            Paragraph((outcome_mark(rise.outcome), Text(f" {rise.statement} "), _tag(index, rise.statement))),
            # all that is written first: it fills a page whose rest is too low for the figure
            Definitions(tuple(_heating_facts(index, seen))),
            *_noted("To be looked at again", (Text(question) for question in rise.questions)),
            *_noted("", (Text(remark) for remark in _once((*rise.remarks, *seen.remarks)))),
            heating_curve(rise, index.anchors),
        ]
    return tuple(blocks)


def _heating_facts(index: Index, seen: HeatingEvidence) -> Iterable[Definition]:
    for name, value in heating_lines(seen.rise):
        yield Definition(name, (Text(value),))
    limit = seen.rise.limit
    if limit is not None:
        likely = Text(f" · {likelihood(limit)} {probability(seen.rise.probability)} ", Face.QUIET)
        yield Definition("Limit as known", (Text(bounds(limit), Face.STRONG), likely, _source(index, limit)))
    yield Definition("Evidence", (index.to_entry(seen.entry), Break(), Text(f"sha256 {seen.sha256}", Face.CODE)))
    if seen.conditions:
        conditions = "; ".join(f"{name}: {value}" for name, value in seen.conditions)
        yield Definition("Conditions", (Text(conditions),))
    if seen.dialect:
        read_as = " · ".join(f"{name} “{value}”" for name, value in seen.dialect)
        yield Definition("Read as", (Text(read_as),))


def _path(index: Index, found: CableEvidence) -> tuple[Block, ...]:
    path = found.path
    if path is None:
        return ()
    columns = (Column("On the way", 2.0), Column("Current", 1.1, Align.END), Column("From", 2.2), Column("", 1.1))
    return (
        Heading(3, "On the current's way", index.anchors.fresh("current-path")),
        Paragraph((outcome_mark(path.outcome), Text(f" {path.statement} "), _tag(index, path.statement))),
        Table("Everything on the current's way, by rising current", columns, tuple(_parts(index, path))),
        *_rules(path),
    )


def _rules(path: CurrentPath) -> tuple[Block, ...]:
    """Say why the figures for one cable differ, where it has one here."""
    if not any(part.kind == "cable" for part in path.parts):
        return ()
    return (Paragraph((Text(_WHY_RATINGS_DIFFER),), Role.QUIET),)


def _heat(index: Index, found: CableEvidence) -> tuple[Block, ...]:
    if found.heat is None:
        return ()
    return (
        Heading(3, "How warm it becomes", index.anchors.fresh("cable-heat")),
        Paragraph(
            (
                Text(
                    "Computed by a heat model from what was read of the conductors and from what cables of this kind "
                    "usually are; "
                    "nothing on this map was measured but what is said so. From "
                ),
                *joined(index.to_entry(name) for name in found.heat.entries),
            )
        ),
        current_map(replace(found.heat, tested=tested_points(found.heating)), index.anchors),
    )


def _parts(index: Index, path: CurrentPath) -> Iterable[Row]:
    for part in path.parts:
        hours = (Break(), Text("as a custom for hours", Face.QUIET)) if part.for_hours else ()
        yield Row(
            (
                (Text(part.name, Face.STRONG if part == path.weakest else Face.PLAIN), *hours),
                (Text(f"{_ROLES[part.role]} {_current(part)}"),),
                (Text(part.said_by),)
                if part.limit is None
                else (Text(f"{part.limit.source} "), _source(index, part.limit)),
                _exceeded(path, part),
            )
        )


def _current(part: PathPart) -> str:
    """Return the current of a part; a rating or a claim is a number on paper and has no ±."""
    current = part.current_a
    return measured(current) if current.u != 0.0 else number_text(current.value, current.unit)


def _exceeded(path: CurrentPath, part: PathPart) -> Line:
    """Say what asks for more than a part may carry; the weakest part is marked as such."""
    over: list[Inline] = [
        Text(f"{'less than' if one.outcome is Outcome.BEYOND else 'perhaps less than'} {one.asking.name}")
        for one in path.exceeding
        if one.part == part
    ]
    if part == path.weakest:
        over.append(Text("the weakest part", Face.STRONG))
    return stacked(over)


def _source(index: Index, limit: Limit) -> Text:
    """Return the link to where a limit is told with its source and standing."""
    return index.anchors.link("limit", limit.id)


def _below(lines: Iterable[Line]) -> Line:
    return tuple(piece for line in lines for piece in (*line, Break()))[:-1]


def _noted(title: str, said: Iterable[Text]) -> tuple[Block, ...]:
    lines = tuple((text,) for text in said)
    if not lines:
        return ()
    head = (Paragraph((Text(f"{title}:"),), Role.QUIET),) if title else ()
    return (*head, Listing(lines))


def _once(texts: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(texts))
