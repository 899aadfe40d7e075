"""Findings for the tests: plain ones by hand, and random ones for properties that must hold whatever was found."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from hypothesis import strategies as st

from coldpin.conclusion import PLANS
from coldpin.quantity import Quantity
from coldpin.records.case import Build, Cable, Electronics, UnitClass
from coldpin.records.finding import Finding, Limit, Outcome, Reach, Standing

ASKED = tuple(dict.fromkeys(name for plan in PLANS for name in plan.asks))
FUNCTIONS = {name: tuple(plan.id for plan in PLANS if name in plan.asks) for name in ASKED}
MODE_1 = UnitClass(charging_mode=1, build=Build.PORTABLE, cable=Cable.ATTACHED, electronics=Electronics.NONE)


def found(
    name: str, function: str, outcome: Outcome = Outcome.WITHIN, statement: str = "", *, reach: str = "", **more: Any
) -> Finding:
    """One finding of a check that bears on one function."""
    return Finding(
        id=name,
        check=name.split(".")[0],
        title=name.replace(".", " ").replace("-", " "),
        statement=statement or f"The answer of {name} was noted.",
        outcome=outcome,
        reach=Reach(reach) if reach else Reach.SPECIMEN,
        functions=(function,),
        **more,
    )


def limit(standing: Standing = Standing.MEMORY) -> Limit:
    """A limit that is known in some way."""
    return Limit(id="touch.ac", title="Touch voltage", unit="V", maximum=50.0, source="handbook", standing=standing)


def one_finding(outcomes: tuple[Outcome, ...] = tuple(Outcome)) -> st.SearchStrategy[Finding]:
    """A finding that some function asks for, with any outcome, reach and standing."""

    def make(name: str, outcome: Outcome, reach: Reach, absence: bool, decisive: bool, standing: Standing) -> Finding:
        made = found(name, "", outcome, reach=reach.value)
        beyond = outcome is Outcome.BEYOND
        return replace(
            made,
            functions=FUNCTIONS[name],
            absence=absence and beyond,
            decisive=decisive and beyond,
            limit=limit(standing),
            quantity=Quantity(40.0, 1.0, "V") if decisive else None,
        )

    return st.builds(
        make,
        st.sampled_from(ASKED),
        st.sampled_from(outcomes),
        st.sampled_from(tuple(Reach)),
        st.booleans(),
        st.booleans(),
        st.sampled_from(tuple(Standing)),
    )


def many_findings() -> st.SearchStrategy[list[Finding]]:
    """Any set of findings, each id at most once; often enough all of them and all within."""
    whole = [replace(found(name, ""), functions=FUNCTIONS[name]) for name in ASKED]
    anything = st.lists(one_finding(), max_size=len(ASKED), unique_by=lambda finding: finding.id)

    def laid_over(changed: list[Finding]) -> list[Finding]:
        by_id = {finding.id: finding for finding in (*whole, *changed)}
        return list(by_id.values())

    return st.one_of(anything, st.lists(one_finding(), max_size=3, unique_by=lambda one: one.id).map(laid_over))
