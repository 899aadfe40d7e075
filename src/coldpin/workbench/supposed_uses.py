"""What if it were used otherwise: a condition of use tried on a case beside a recorded one; nothing is written."""

from __future__ import annotations

from coldpin.conclusion.conditions import judge_use
from coldpin.conclusion.uses import read_use
from coldpin.errors import UnknownName
from coldpin.quantity import format_value
from coldpin.records.case import ConditionOfUse
from coldpin.records.scenario import Circuit, Earthing, Person, ResidualType, Upstream, Watch
from coldpin.records.supposed import SupposedUse
from coldpin.records.use import Coiled, Use
from coldpin.workbench.supposing import Supposing
from coldpin.workbench.uses import bounds_of


def suppose_use(known: Supposing, condition: ConditionOfUse, *, beside: str = "") -> SupposedUse:
    """Judge a condition of use that a person tries.

    Parameters
    ----------
    known : Supposing
        The case.
    condition : ConditionOfUse
        As it would stand in the case.
    beside : str
        Name of a recorded use that it is held beside; none where empty.

    Returns
    -------
    SupposedUse
        Its answer with measures and grounds, and what is decided outside the case.

    Raises
    ------
    CaseError
        A word or number of it cannot be read.
    UnknownName
        No recorded use has that name.
    InputError
        An own constant leaves out a number that is needed.
    """
    by_name = {one.name: one for one in known.assessment.conditions_of_use}
    if beside and beside not in by_name:
        raise UnknownName.among("condition of use", beside, by_name)
    recorded = by_name.get(beside)
    use = read_use(known.book, condition, country=known.assessment.case.claims.country)
    supposed = judge_use(use, bounds_of(known.bench, use), known.grounds)
    return SupposedUse(
        condition=condition,
        supposed=supposed,
        recorded=recorded,
        outside=_outside(supposed.local_codes, use, None if recorded is None else recorded.use),
    )


def _outside(local_codes: str, use: Use, base: Use | None) -> tuple[str, ...]:
    """Say what no test of this case decides: the supply as stated, sockets, local codes."""
    stated = [
        words
        for words, known in (
            ("a residual-current device before the socket", use.circumstances.upstream),
            ("its type", use.circumstances.residual_type),
            ("the earthing of the supply", use.circumstances.earthing),
            ("the circuit", use.circumstances.circuit),
        )
        if known.value != "unknown"
    ]
    said = [f"Taken as stated, and not looked at in these tests: {', '.join(stated)}."] if stated else []
    if use.circumstances.upstream is Upstream.TESTED:
        said.append("That the device before the socket was tried is the user's own record, and wants trying again.")
    if base is not None and base.sockets and not use.sockets:
        said.append("Which sockets fit there is not asked of a use of the case's own.")
    return (*said, local_codes)


_PEOPLE = {Person.SKILLED: "electricians", Person.HOUSEHOLD: "a household", Person.ANYONE: "anybody"}
_CIRCUITS = {Circuit.OWN: "yes", Circuit.SHARED: "no", Circuit.UNKNOWN: ""}
_COILS = {Coiled.YES: "yes", Coiled.NO: "no", Coiled.UNKNOWN: ""}


def condition_of(use: Use, *, name: str) -> ConditionOfUse:
    """Write a use that is understood, such as a usual place, in the words of a case, to be varied.

    Parameters
    ----------
    use : Use
        As understood.
    name : str
        What it is to be called.

    Returns
    -------
    ConditionOfUse
        Read again it gives the same circumstances, supply, air, hours and cable.

    Examples
    --------
    >>> from coldpin.records.scenario import Circumstances
    >>> condition_of(Use(id="", name="x", circumstances=Circumstances(), supply_a=16.0), name="shed").supply_rating
    '16 A'
    """
    given = use.circumstances
    return ConditionOfUse(
        name=name,
        place=given.place.value,
        weather=given.weather.value,
        person=_PEOPLE[given.person],
        supply_rating="" if use.supply_a is None else format_value(use.supply_a, "A"),
        device=use.device,
        residual_device="" if given.upstream is Upstream.UNKNOWN else given.upstream.value,
        residual_type="" if given.residual_type is ResidualType.UNKNOWN else given.residual_type.value,
        residual_current=use.residual_current,
        earthing="" if given.earthing is Earthing.UNKNOWN else given.earthing.value,
        own_circuit=_CIRCUITS[given.circuit],
        ambient="" if use.ambient is None else format_value(use.ambient, "°C"),
        coiled=_COILS[use.coiled],
        hours="" if use.hours is None else format_value(use.hours, "h"),
        country=use.country,
        attended="yes" if given.watch is Watch.ATTENDED else "no",
    )
