"""The chapter on what could happen: decisive first, every scenario and estimate, figures told in words."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import pytest

from coldpin.conclusion.scenario_plans import SCENARIOS
from coldpin.records.assessment import Assessment
from coldpin.records.case import Build
from coldpin.records.finding import Outcome, Reach
from coldpin.records.function import FunctionState, ProtectiveFunction
from coldpin.records.notice import NOBODY_NAMED, Addressee
from coldpin.records.plain import from_json, to_json
from coldpin.records.scenario import OwnEstimate, OwnSeverity
from coldpin.report import build_document, render_html, render_pdf
from coldpin.report.chapters.injuries import MOST_DRAWN
from coldpin.report.document import Block, Callout, Document, Figure, Heading, Table, lines_of, text_of
from coldpin.report.notification import draft_notification
from coldpin.standards.book import load_book
from coldpin.standards.notices import notice_elements
from coldpin.workbench.injury import injury_scenarios
from tests.conclusion.findings import found
from tests.report.sample import SAMPLE

OWN = OwnEstimate(scenario="plug-burns", step="ignites", low=0.001, best=0.002, high=0.003, source="a test with straw")
LIVE = found(
    "live-pins.uncoupled",
    "supply-switching",
    Outcome.BEYOND,
    "The pins are live with nothing connected.",
    decisive=True,
    absence=True,
)
NAMES = tuple(dict.fromkeys(name for plan in SCENARIOS for step in plan.steps for name in step.functions))


def function(name: str, state: FunctionState) -> ProtectiveFunction:
    """A function with its findings."""
    of = (LIVE.id,) if name == "supply-switching" else ()
    return ProtectiveFunction(
        id=name, title=f"The {name}", question="?", state=state, reach=Reach.SPECIMEN, findings=of, because="So."
    )


@cache
def assessed(*, decisive: bool = True) -> Assessment:
    """The sample with one finding that concludes alone (or with none), and a function or two not shown."""
    states = dict.fromkeys(NAMES, FunctionState.SHOWN) | {"residual-current": FunctionState.NOT_SHOWN}
    if decisive:
        states["supply-switching"] = FunctionState.SHOWN_ABSENT
    functions = tuple(function(name, state) for name, state in states.items())
    findings = (LIVE,) if decisive else ()
    case = replace(SAMPLE.case, estimates=(OWN, replace(OWN, step="burns")))
    injuries = injury_scenarios(case, load_book(), functions, findings)
    return replace(
        SAMPLE,
        case=case,
        functions=functions,
        findings=(*SAMPLE.findings, *findings),
        scenarios=injuries.scenarios,
        risk=injuries.risk,
        problems=injuries.problems,
    )


def chapter(built: Document, title: str = "What could happen") -> list[Block]:
    """The blocks of a chapter."""
    starts = [at for at, block in enumerate(built.blocks) if isinstance(block, Heading) and block.level == 2]
    (start,) = [at for at in starts if title in built.blocks[at].text]  # type: ignore[union-attr]  # headings
    return list(built.blocks[start : next(at for at in starts if at > start)])


def words(blocks: list[Block]) -> str:
    """All that they say."""
    return "\n".join(text_of(line) for block in blocks for line in lines_of(block))


@pytest.mark.hand("what concludes alone stands before any probability")
def test_decisive_findings_stand_first() -> None:
    """Then the specimen, the matrix, the table of all scenarios."""
    blocks = chapter(build_document(assessed()))

    assert isinstance(blocks[1], Callout)
    assert "Concluded before any probability" in words(blocks[1:2])
    assert "The pins are live with nothing connected." in words(blocks[1:2])
    without = chapter(build_document(assessed(decisive=False)))
    assert not any(isinstance(block, Callout) for block in without)


@pytest.mark.hand("every scenario is in the table, the drawn ones with steps, the others as chains")
def test_every_scenario_and_every_step_is_told() -> None:
    """No scenario without its steps, and no estimate that is not listed with its source."""
    made = assessed()
    document = build_document(made)
    blocks = [*chapter(document), *chapter(document, "The chains and estimates")]
    said = words(blocks)
    figures = [block for block in blocks if isinstance(block, Figure)]

    assert len(figures) == 1 + MOST_DRAWN
    for one in made.scenarios:
        assert one.title in said
        for step in one.steps:
            assert step.text.removesuffix(".") in said
    assert made.risk is not None
    (estimates,) = [block for block in blocks if isinstance(block, Table) and block.caption == "Estimates of steps"]
    assert len(estimates.rows) == len(made.risk.assumptions)
    assert "a test with straw" in said
    assert "[[estimates]]" in said


@pytest.mark.hand("a figure's description holds its numbers")
def test_the_figures_are_told_in_words() -> None:
    """Matrix: each scenario with its band and level. Chain: each step with its three numbers."""
    made = assessed()
    matrix, *chains = [block for block in chapter(build_document(made)) if isinstance(block, Figure)]

    for one in made.scenarios:
        assert f"{one.title}: severity {one.worst.severity}, band '{one.worst.band}'" in matrix.alt
    for chain, one in zip(chains, made.scenarios, strict=False):
        assert all(step.text in chain.alt for step in one.steps)
        assert one.statement in chain.alt
    assert "<text" in matrix.svg
    assert len(set(re.findall(r">(\d+)</text>", matrix.svg))) >= len(made.scenarios)


@pytest.mark.hand("wet skin in rain, dry skin else; a level that rests on estimates is an opinion wherever it is told")
def test_a_scenario_tells_the_shock_of_its_weather_and_a_notice_tags_it_as_the_report_does() -> None:
    """The other skin is not told with it; a step that was found is inferred, one that is judged an opinion."""
    made = assessed()
    wet = next(one for one in made.scenarios if dict(one.circumstances).get("weather") == "wet")
    told = [
        text_of(line)
        for block in build_document(replace(made, scenarios=(wet,))).blocks
        for line in lines_of(block)
        if "skin, 230 V" in text_of(line)
    ]
    notice = draft_notification(
        made, Addressee.AUTHORITY, notice_elements(load_book(), Addressee.AUTHORITY.value), NOBODY_NAMED
    )
    (lines,) = [one.lines for one in notice.elements if one.id.endswith(".scenario")]

    assert told
    assert all("Wet skin" in line and "Dry skin" not in line for line in told)
    assert lines[0] == f"{made.scenarios[0].plain} [opinion]"
    assert {line.rsplit(" ", 1)[1] for line in lines if line.startswith("Step ")} == {"[opinion]", "[inferred]"}


@pytest.mark.hand("an own estimate that has no place is named and costs nothing else")
def test_an_estimate_without_a_place_is_a_problem() -> None:
    """The other one is used."""
    made = assessed()

    (problem,) = made.problems
    assert problem.where == "case.toml, [[estimates]]"
    assert "ignites" in problem.what
    assert made.risk is not None
    assert any(one.own and one.step == "ignites" for one in made.risk.assumptions)


@pytest.mark.hand("the same bytes; whole in the record")
def test_the_chapter_is_set_and_the_record_read_back() -> None:
    """As page and as paper; no level hangs on a draw that is made anew."""
    made = assessed()
    built = build_document(made)

    assert from_json(Assessment, to_json(made), where="here") == made
    assert render_html(built) == render_html(build_document(made))
    assert b"%PDF" in render_pdf(built)[:8]


@pytest.mark.hand("nothing was judged")
def test_a_fixed_unit_says_which_scenarios_do_not_apply() -> None:
    """A portable one says nothing of it."""
    sample = assessed()
    fixed = replace(sample, case=replace(sample.case, unit=replace(sample.case.unit, build=Build.FIXED)))
    said = "Does not apply, for the unit is fixed and has no plug for a socket: 'Plug or socket overheats"

    assert said in " ".join(text_of(line) for block in build_document(fixed).blocks for line in lines_of(block))
    assert "Does not apply, for the unit" not in render_html(build_document(sample))


def test_no_chapter_where_nothing_was_judged() -> None:
    """A record without scenarios has no such heading."""
    built = build_document(SAMPLE)

    assert not any(isinstance(block, Heading) and "What could happen" in block.text for block in built.blocks)


@pytest.mark.hand("an assumption of the case is told as the case's, with its reason, beside ours")
def test_an_own_severity_is_told_as_the_cases_own() -> None:
    """Of a chain that is drawn and of one that is not; an unusable one is a problem."""
    sample = assessed()
    drawn, other = sample.scenarios[0].id, sample.scenarios[-1].id
    own = tuple(OwnSeverity(scenario=name, severity=1, source=f"why {name}") for name in (drawn, other, other, "none"))
    injuries = injury_scenarios(replace(sample.case, severities=own), load_book(), sample.functions, sample.findings)
    document = build_document(replace(sample, scenarios=injuries.scenarios, risk=injuries.risk))
    said = words([*chapter(document), *chapter(document, "The chains and estimates")])

    for name in (drawn, other):
        assert f"At its end it is 1 by an assumption of this case, in place of our 4: why {name}" in said
    assert [problem.what for problem in injuries.problems if "given twice" in problem.what] != []
    assert [problem.what for problem in injuries.problems if "unknown scenario" in problem.what] != []
