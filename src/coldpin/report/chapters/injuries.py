"""What could happen: the scenarios, the specimen's risk, the chains that decide it, and all that was assumed."""

from __future__ import annotations

from coldpin.conclusion.rating import one_in
from coldpin.conclusion.scenario_plans import SCENARIOS
from coldpin.conclusion.statement import basis_of
from coldpin.records.assessment import Basis
from coldpin.records.case import Build, Cable
from coldpin.records.finding import Finding
from coldpin.records.function import FunctionState
from coldpin.records.scenario import Ground, InjuryScenario, RiskLevel, ScenarioStep, Span, SpecimenRisk, StepAssumption
from coldpin.report.document import (
    Align,
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
    Paragraph,
    Role,
    Row,
    Table,
    Tag,
    Text,
)
from coldpin.report.figures.risk_matrix import risk_matrix
from coldpin.report.figures.scenario_chain import scenario_chain
from coldpin.report.index import Index, joined
from coldpin.report.words import BASIS_OF_GROUNDS

MOST_DRAWN = 4
"""Chains drawn at most, the gravest first; the steps of every other one are listed.

Ours: a chain takes a third of a page, and those that give the specimen its level are what a reader asks for.
"""

_CIRCUMSTANCES = {
    "weather": "weather",
    "place": "place",
    "person": "who comes near",
    "upstream": "residual-current device before the socket",
    "residual_type": "its type",
    "earthing": "earth and neutral of the supply",
    "circuit": "circuit",
    "watch": "while it charges",
}


def injuries(index: Index) -> tuple[Block, ...]:
    """Return the chapter on what could happen.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Its blocks; none where no scenario was judged.
    """
    risk, scenarios = index.assessment.risk, index.assessment.scenarios
    if risk is None or not scenarios:
        return ()
    blocks: list[Block] = [
        Heading(2, "What could happen", index.anchors.fresh("injuries")),
        *_decisive(index, risk),
        Paragraph((Text(risk.statement, Face.STRONG), Text(" "), Tag(Basis.OPINION))),
        Paragraph((Text(_HOW),), Role.QUIET),
        risk_matrix(risk, scenarios, index.anchors),
        _table(index, scenarios),
        *_aside(index),
    ]
    for one in _drawn(scenarios):
        blocks += _section(index, risk, one)
    return tuple(blocks)


def estimates(index: Index) -> tuple[Block, ...]:
    """Return the chapter on the chains that are not drawn, and on every estimate behind all of them.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Its blocks; none where no scenario was judged.
    """
    risk, scenarios = index.assessment.risk, index.assessment.scenarios
    if risk is None or not scenarios:
        return ()
    title = "The chains and estimates of what could happen"
    blocks: list[Block] = [Heading(2, title, index.anchors.fresh("estimates"))]
    others = [one for one in scenarios if one not in _drawn(scenarios)]
    if others:
        blocks += [
            Heading(3, "The other chains", index.anchors.fresh("other-chains")),
            Paragraph(
                (Text("Each step given all before it, with its best estimate, as if nothing not shown worked."),),
                Role.QUIET,
            ),
            Definitions(tuple(_chain(index, one) for one in others)),
        ]
    return (*blocks, *_assumptions(index, risk))


def _drawn(scenarios: tuple[InjuryScenario, ...]) -> tuple[InjuryScenario, ...]:
    return tuple(one for one in scenarios if one.level is not RiskLevel.LOW)[:MOST_DRAWN] or scenarios[:1]


_HOW = (
    "Each scenario is a chain of steps, each with a probability given all before it, multiplied as the published "
    "method for consumer products has it. It is rated with that method's matrix, and is no notification by an "
    "authority. Where a function was tested its step follows what was found; where it was not, both bounds hold "
    "and the worse counts. A probability is that of an injury at least so grave to one person in the life of the "
    "product, known to an order of magnitude at best, and so told as a band. All estimates, and the chains that are "
    "not drawn here, stand in an appendix."
)


def _decisive(index: Index, risk: SpecimenRisk) -> tuple[Block, ...]:
    held = [index.findings[name] for name in risk.decisive if name in index.findings]
    if not held:
        return ()
    alike: dict[tuple[str, Basis], list[Finding]] = {}
    for finding in held:
        alike.setdefault((finding.plain or finding.statement, basis_of(finding)), []).append(finding)
    items = tuple(
        (Text(words), Text(" "), Tag(basis), Text(" "), *joined(index.to_finding(one.id) for one in ones))
        for (words, basis), ones in alike.items()
    )
    return (Callout(CalloutKind.DECISIVE, "Concluded before any probability", items),)


def _table(index: Index, scenarios: tuple[InjuryScenario, ...]) -> Table:
    columns = (
        Column("No.", 0.3, Align.END),
        Column("What could happen", 2.5),
        Column("Level", 0.75),
        Column("Band of probability", 1.15),
        Column("What moves the level", 1.8),
    )
    rows = tuple(_row(index, place, one) for place, one in enumerate(scenarios, start=1))
    return Table("Scenarios, worst first", columns, rows)


def _aside(index: Index) -> tuple[Block, ...]:
    """Name the scenarios that presume a plug in a socket, where the unit is fixed to the wall."""
    unit = index.assessment.case.unit
    if unit.build is not Build.FIXED:
        return ()
    outlet = unit.cable is Cable.DETACHABLE
    titles = "; ".join(f"'{plan.title}'" for plan in SCENARIOS if not plan.suits(fixed=True, outlet=outlet))
    said = f"Does not apply, for the unit is fixed and has no plug for a socket: {titles}."
    return (Paragraph((Text(said), Text(" "), Tag(Basis.OBSERVED)), Role.QUIET),)


def _row(index: Index, place: int, one: InjuryScenario) -> Row:
    level: list[Inline] = [Text(one.level.value, Face.STRONG)]
    band: list[Inline] = [Text(_reach(one.worst.bands)), Break(), Text(f"severity {one.worst.severity}", Face.QUIET)]
    if one.mildest != one.worst:
        level += [Break(), Text(f"{one.mildest.level.value} if what was not shown works", Face.QUIET)]
    moving = next((step for step in one.steps if step.id == one.mover), None)
    moves: Line = (Text("nothing within its range"),) if moving is None else _moves(index, moving)
    what: list[Inline] = [Text(one.plain), Text(" "), Tag(Basis.OPINION)]
    if one.decisive:
        what += [Break(), Text("Concluded before by ", Face.QUIET), *joined(map(index.to_finding, one.decisive))]
    return Row(
        ((Text(str(place)),), tuple(what), tuple(level), tuple(band), moves), index.anchors.place("scenario", one.id)
    )


def _moves(index: Index, step: ScenarioStep) -> Line:
    line: list[Inline] = [Text(step.text)]
    if step.ground is Ground.OPEN:
        line += [Break(), Text("not shown: ", Face.QUIET)]
        line += joined(
            index.anchors.link("function", name, index.functions[name].title) if name in index.functions else Text(name)
            for name in step.functions
            if name not in index.functions or index.functions[name].protecting is FunctionState.NOT_SHOWN
        )
    return tuple(line)


def _reach(bands: tuple[str, str]) -> str:
    low, high = (label.replace(" ", "\u00a0") for label in bands)
    return low if low == high else f"{low} to {high}"


def _section(index: Index, risk: SpecimenRisk, one: InjuryScenario) -> tuple[Block, ...]:
    facts = [
        Definition(
            "Ends in",
            (Text(f"{one.injury}; the level is that of severity {one.worst.severity} "), Tag(Basis.OPINION)),
        ),
        Definition("Rated", (Text(one.statement), Text(" "), Tag(Basis.OPINION))),
        Definition("By a factor of ten", (Text(one.sensitivity.statement), Text(" "), Tag(Basis.OPINION))),
    ]
    if one.own_severity:
        facts.append(Definition("Severity", (Text(_own_severity(one)), Text(" "), Tag(Basis.OPINION))))
    if one.circumstances:
        said = "; ".join(f"{_CIRCUMSTANCES.get(name, name)}: {value}" for name, value in one.circumstances)
        facts.append(Definition("Under", (Text(said),)))
    if any(step.ground is Ground.PHYSICS for step in one.steps):
        facts.append(Definition("A shock", (*_lines(_shocks(risk, one)), Text(" "), Tag(Basis.INFERRED))))
    return (
        Heading(3, one.title, index.anchors.fresh("scenario-chain")),
        scenario_chain(risk, one, index.anchors),
        _steps(index, one),
        Definitions(tuple(facts)),
    )


def _own_severity(one: InjuryScenario) -> str:
    ours = next(plan.severity for plan in SCENARIOS if plan.id == one.id)
    return f"At its end it is {one.severity} by an assumption of this case, in place of our {ours}: {one.own_severity}"


def _shocks(risk: SpecimenRisk, one: InjuryScenario) -> tuple[str, ...]:
    """Return what a shock does with the skin that the scenario's weather leaves; all of it where none is stated."""
    weather = dict(one.circumstances).get("weather", "")
    return tuple(text for text in risk.shock if text.lower().startswith(f"{weather} skin")) or risk.shock


def _lines(texts: tuple[str, ...]) -> Line:
    return tuple(piece for text in texts for piece in (Text(text), Break()))[:-1]


def _steps(index: Index, one: InjuryScenario) -> Table:
    columns = (
        Column("Step, given all before", 2.2),
        Column("Low", 0.7, Align.END),
        Column("Best", 0.7, Align.END),
        Column("High", 0.7, Align.END),
        Column("Rests on", 2.0),
    )
    return Table("Steps of the chain", columns, tuple(_step(index, step) for step in one.steps))


def _step(index: Index, step: ScenarioStep) -> Row:
    rests: list[Inline] = [Text(step.ground.value), Text(" "), Tag(BASIS_OF_GROUNDS[step.ground])]
    if step.findings:
        named = [index.to_finding(name) for name in step.findings[:3] if name in index.findings]
        rests += [Text(": "), *joined(named)] if named else []
    elif step.functions:
        rests += [
            Text(": "),
            *joined(
                index.anchors.link("function", name, index.functions[name].title)
                if name in index.functions
                else Text(name)
                for name in step.functions
            ),
        ]
    title: Line = (Text(step.text), Break(), Text(step.id, Face.CODE))
    cells = [_ends(step, end) for end in ("low", "best", "high")]
    return Row((title, *cells, tuple(rests)))


def _ends(step: ScenarioStep, end: str) -> Line:
    line: Line = (Text(_number(getattr(step.span, end))),)
    if step.if_works is not None:
        line += (Break(), Text(f"{_number(getattr(step.if_works, end))} if it works", Face.QUIET))
    return line


def _number(chance: float) -> str:
    return one_in(chance).removeprefix("about ").replace(" ", "\u202f")


def _chain(index: Index, one: InjuryScenario) -> Definition:
    del index
    said = "; ".join(f"{step.text.removesuffix('.')} ({_number(step.span.best)})" for step in one.steps)
    own = f" {_own_severity(one)}" if one.own_severity else ""
    return Definition(one.title, (Text(f"{said}. {one.statement}{own}"), Text(" "), Tag(Basis.OPINION)))


def _assumptions(index: Index, risk: SpecimenRisk) -> tuple[Block, ...]:
    columns = (
        Column("Step", 1.1),
        Column("What was taken", 2.6),
        Column("Low, best, high", 1.5),
        Column("From", 1.8),
    )
    return (
        Heading(3, "Estimates used", index.anchors.fresh("step-estimates")),
        Paragraph(
            (
                Text("Every estimate behind the chains. One of your own takes its place under [[estimates]] in "),
                Text("case.toml", Face.CODE),
                Text(
                    ": scenario (left out: every one), step, low, best, high, source, and for a step that rests on a "
                ),
                Text(
                    'function state = "works" or "does not work". Standing “judgement” is ours and published nowhere.'
                ),
            ),
            Role.QUIET,
        ),
        Table("Estimates of steps", columns, tuple(map(_assumed, risk.assumptions))),
    )


def _assumed(one: StepAssumption) -> Row:
    step: Line = (Text(one.step, Face.CODE),)
    if one.state:
        step += (Break(), Text(one.state, Face.QUIET))
    source = "judgement" if one.source == "judgement" else f"{one.source} ({one.standing})"
    return Row((step, (Text(one.title),), (Text(_three(one.span)),), (Text(source),)))


def _three(span: Span) -> str:
    return _number(span.best) if span.certain else ", ".join(map(_number, (span.low, span.best, span.high)))
