"""A fault at the far end of a lead: the loop, the device, and what line and earth conductor bear, taken together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from coldpin.copper.fault_loop import (
    FALLBACK,
    disconnection,
    fault_loop,
    loop_remark,
    loop_statement,
    residual_fallback,
    with_what_is_not_counted,
)
from coldpin.copper.fault_withstand import (
    EARTH,
    LINE,
    RESISTANCE,
    let_through,
    withstand,
    withstand_statement,
)
from coldpin.copper.overload import overload, overload_statement
from coldpin.copper.short_circuit import short_circuit, short_circuit_statement
from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity, decide, format_figure
from coldpin.records.fault import (
    Core,
    Disconnection,
    FaultLoop,
    FaultWithstand,
    Feed,
    LetThrough,
    ResidualDisconnection,
    Withstand,
)
from coldpin.records.finding import Limit, Outcome
from coldpin.records.lead_way import NotCounted
from coldpin.standards.book import Book
from coldpin.standards.fault_withstand import withstand_factor
from coldpin.standards.wording import limit_value

COPPER_FROM_RESISTANCE = (
    "An area taken from the resistance is that of copper of the same resistance: the unfavourable assumption, whatever "
    "the metal is."
)
SLOW = (
    "On a fault at the far end the device need not act at once: how long its current flows, and what the conductors "
    "must bear then, is not known."
)
UNTOLD = (
    "Whether the device acts at once on a fault at the far end is not known: that takes the loop at the socket, line "
    "and earth conductor of the lead, and a device of the tables."
)
UNSEEN = "Nobody looked which device stands before the socket: {device} is only what is usual, and settles nothing."
CLASS_UNSEEN = (
    "Short-circuit capacity or energy class of the device were not read, but taken as usual: by these alone nothing is "
    "shown to bear a fault."
)
LEAST_FACTOR = (
    "It bears less by the least factor. By that of another insulation, or were it aluminium, which is thicker at the "
    "same resistance, it might bear enough: the print and a fresh cut tell."
)
HERE = "It holds at this socket: at another one nearer to the source more may get through."
BETWEEN_LINES = (
    "With three phases a short circuit between the lines next to the plug draws up to twice what one of line and "
    "neutral does: of the line conductor it is bounded by the device's class alone."
)
FROM_MEMORY = "What the device's class lets through stands on memory: no public text with the whole table was found."


def fault_of_lead(
    cores: Iterable[Core],
    feed: Feed,
    book: Book,
    *,
    insulation: str = "",
    conductor_temperature: float | None = None,
    cable: Limit | None = None,
    neutral: Core | None = None,
    phases: int = 1,
) -> FaultWithstand:
    """Return what happens when line meets earth or neutral at the far end of a lead, and whether the lead bears it.

    Parameters
    ----------
    cores : iterable of Core
        Line and earth, or one of them.
    feed : Feed
        What stands before the socket.
    book : Book
        The constants.
    insulation : str
        Of the cores; where nothing is known of it the least factor of the metal is used.
    conductor_temperature : float, optional
        Of the conductors when the fault comes; that at which the insulation may be for hours where it is not said. [°C]
    cable : Limit, optional
        What the cable may carry. [A]
    neutral : Core, optional
        For a short circuit of line and neutral; taken to be like the line where it was not read.
    phases : int
        1 or 3. With three a short circuit between the lines draws more than any loop here tells.

    Returns
    -------
    FaultWithstand
        Loop, disconnection, short circuit, let-through, withstand of each core, overload, in words and numbers.

    Raises
    ------
    OutsideRange
        A value is one that cannot be.
    UnknownName
        A metal, an insulation or the system is not known.

    Examples
    --------
    >>> from coldpin.records.fault import ProtectiveDevice
    >>> from coldpin.standards.book import load_book
    >>> area, core = Quantity(1.5, 0.01, "mm²"), Quantity(0.0665, 1e-4, "Ω")
    >>> told = fault_of_lead(
    ...     [
    ...         Core(conductor=name, area=area, area_from="its resistance", resistance_20=core)
    ...         for name in ("line", "earth")
    ...     ],
    ...     Feed(
    ...         device=ProtectiveDevice(kind="B", rating_a=16.0), capacity=6000.0, supply=Quantity(0.8, 0.02, "Ω")
    ...     ),
    ...     load_book(),
    ...     insulation="PVC 70",
    ... )
    >>> told.disconnection.outcome.value, [(one.conductor, one.outcome.value) for one in told.conductors]
    ('within', [('line', 'undecided'), ('earth', 'within')])
    """
    listed, device = tuple(cores), feed.device
    passed = _passed(feed, feed.supply, book)
    conductors = tuple(_withstand(core, feed, book, insulation, phases) for core in listed)
    hot = conductor_temperature
    if hot is None:
        hot = max(
            withstand_factor(book, metal=core.metal, insulation=insulation).initial_temperature for core in listed
        )
    loop = _loop(listed, feed, hot, book)
    short, short_why = short_circuit(
        listed, feed, book, conductor_temperature=hot, insulation=insulation, neutral=neutral, phases=phases
    )
    told, unknown = _disconnection(loop, feed, book)
    protected = None if cable is None else overload(device, cable, book)
    slow = _slow(told, passed)
    unlike = tuple(LEAST_FACTOR for _ in filter(_by_least_factor, conductors))[:1]
    conductors = tuple(_settled(one, feed, slow=bool(slow)) for one in conductors)
    if told is not None and not feed.seen:
        told = replace(told, outcome=Outcome.UNDECIDED, probability=None)
    told_each = [withstand_statement(one, device, one.let_through) for one in conductors]
    residual = _residual(loop, feed, book)
    outcomes = [one.outcome for one in conductors]
    if residual is not None:
        outcomes.append(residual[1].outcome)
    elif told is not None:
        outcomes.append(told.outcome)
    outcomes.append(Outcome.NOT_TESTED if short is None else short.outcome)
    statements = [
        *([] if residual is None else [residual[0]]),
        *([] if loop is None else [loop_statement(loop, told, device)]),
        *told_each,
        *([slow] if slow else []),
        short_why if short is None else short_circuit_statement(short, feed),
        *([] if protected is None else [overload_statement(protected, device)]),
    ]
    more = (BETWEEN_LINES,) if phases > 1 else ()
    return FaultWithstand(
        schema="coldpin.fault_withstand/1",
        device=device,
        let_through=passed,
        conductors=conductors,
        loop=loop,
        disconnection=told,
        overload=protected,
        outcome=worst_outcome(outcomes),
        statements=tuple(statements),
        remarks=(*unknown, *unlike, *_remarks(listed, passed, loop, told, feed, book), *more),
        residual=None if residual is None else residual[1],
        short=short,
        short_why=short_why,
    )


def _residual(loop: FaultLoop | None, feed: Feed, book: Book) -> tuple[str, ResidualDisconnection] | None:
    """Say whether the residual-current device switches a fault off, where the earth is an electrode and it decides."""
    if loop is None or feed.residual_current is None or feed.system != "TT":
        return None
    limit, outcome = residual_fallback(loop.total_ohm, feed.residual_current, book)
    placed = {Outcome.WITHIN: "within it", Outcome.BEYOND: "beyond it"}.get(outcome, "too close to it to say")
    told = (
        f"With an earth electrode (TT) the residual-current device of {1000 * feed.residual_current:g} mA decides: "
        f"the loop may be {limit_value(limit)}, and {format_figure(loop.total_ohm)} are {placed}."
    )
    return told, ResidualDisconnection(largest_loop=limit, outcome=outcome)


def _passed(feed: Feed, supply: Quantity | None, book: Book) -> LetThrough:
    return let_through(feed.device, book, capacity=feed.capacity, energy_class=feed.energy_class, supply=supply)


def _withstand(core: Core, feed: Feed, book: Book, insulation: str, phases: int) -> Withstand:
    """Hold a core against each fault whose current flows in it; the one that it bears least is told."""
    # in the line a short circuit to neutral flows too; where its loop was not read only the class bounds it
    # and with three phases one between the lines, whose loop no tester here reads
    between = (None,) if phases > 1 or not feed.neutral else ()
    loops = (feed.supply, *feed.neutral, *between) if core.conductor == LINE else (feed.supply,)
    each = [
        withstand(
            core.conductor,
            core.area,
            book,
            area_from=core.area_from,
            passed=_passed(feed, loop, book),
            metal=core.metal,
            insulation=insulation,
        )
        for loop in loops
    ]
    return min(each, key=lambda one: (RANK.index(one.outcome), -(one.let_through.used_a2s or 0.0)))


def _by_least_factor(one: Withstand) -> bool:
    """Whether a conductor bears too little only by what is not known of its insulation or its metal."""
    passed = one.let_through
    if one.outcome is not Outcome.UNDECIDED or passed.used_a2s is None or not passed.of_this_supply:
        return False
    return decide(one.withstand_a2s, minimum=passed.used_a2s).outcome == "beyond"


def _by_class(passed: LetThrough) -> bool:
    return passed.limit is not None and passed.used_a2s == passed.limit.maximum


def _slow(told: Disconnection | None, passed: LetThrough) -> str:
    """Say why a fault at the far end may last; empty where the device acts, or where nothing is decided anyhow."""
    if passed.used_a2s is None or (told is not None and told.outcome is Outcome.WITHIN):
        return ""
    return UNTOLD if told is None else SLOW


def _settled(one: Withstand, feed: Feed, *, slow: bool) -> Withstand:
    """Leave open what rests on a device nobody saw; and what a fault that lasts, or a class not read, may undo."""
    undone = one.outcome is Outcome.WITHIN and (slow or (_by_class(one.let_through) and not feed.class_seen))
    open_device = one.outcome in (Outcome.WITHIN, Outcome.BEYOND) and not feed.seen
    return replace(one, outcome=Outcome.UNDECIDED, probability=None) if undone or open_device else one


def _loop(cores: tuple[Core, ...], feed: Feed, temperature: float, book: Book) -> FaultLoop | None:
    known = {core.conductor: core for core in cores if core.resistance_20 is not None}
    out, back = known.get(LINE), known.get(EARTH)
    if feed.supply is None or out is None or back is None:
        return None
    line, earth = out.resistance_20, back.resistance_20
    assert line is not None, "looked for above"
    assert earth is not None, "looked for above"
    beyond = NotCounted(
        what=tuple(dict.fromkeys((*out.not_counted, *back.not_counted))), allowed_20=out.allowed_20 + back.allowed_20
    )
    return fault_loop(
        feed.supply, line_20=line, earth_20=earth, conductor_temperature=temperature, book=book, beyond=beyond
    )


def _disconnection(loop: FaultLoop | None, feed: Feed, book: Book) -> tuple[Disconnection | None, tuple[str, ...]]:
    if loop is None:
        return None, ()
    try:
        told = disconnection(loop.total_ohm, feed.device, book, system=feed.system)
        return with_what_is_not_counted(told, loop.total_ohm, loop.allowed_ohm), ()
    except OutsideRange as unknown:
        return None, (f"Whether the device acts in time is not said: {unknown}.",)


def _remarks(
    cores: tuple[Core, ...],
    passed: LetThrough,
    loop: FaultLoop | None,
    told: Disconnection | None,
    feed: Feed,
    book: Book,
) -> tuple[str, ...]:
    remarks = [f"Let-through: {passed.why}."]
    if not feed.seen:
        remarks.append(UNSEEN.format(device=f"a {feed.device.name}"))
    elif not feed.class_seen and _by_class(passed):
        remarks.append(CLASS_UNSEEN)
    if passed.of_this_supply:
        remarks.append(HERE)
    if _by_class(passed) and passed.limit is not None and passed.limit.standing == "memory":
        remarks.append(FROM_MEMORY)
    if any(RESISTANCE in core.area_from for core in cores):
        remarks.append(COPPER_FROM_RESISTANCE)
    if loop is not None and loop.not_counted:
        remarks.append(loop_remark(loop))
    if told is not None and told.outcome is not told.outcome_without_factor:
        remarks.append(
            f"Without the tables' voltage factor the loop may be {limit_value(told.without_factor)}: by that practice "
            f"it is {told.outcome_without_factor}."
        )
    if told is not None and told.outcome is not Outcome.WITHIN:
        remarks.append(FALLBACK)
    if loop is not None and feed.residual_current is not None and feed.system != "TT":
        limit, outcome = residual_fallback(loop.total_ohm, feed.residual_current, book)
        rated = f"{1000 * feed.residual_current:g} mA"
        remarks.append(
            f"For a residual-current device of {rated} the loop may be {limit_value(limit)}: it is {outcome}."
        )
    return tuple(remarks)


def worst_outcome(outcomes: Iterable[Outcome]) -> Outcome:
    """Return the outcome that counts of several: one beyond is enough, then one undecided, then one not tested.

    Parameters
    ----------
    outcomes : iterable of Outcome
        May be empty.

    Returns
    -------
    Outcome
        Not tested where there is none.

    Examples
    --------
    >>> worst_outcome([Outcome.WITHIN, Outcome.UNDECIDED]).value
    'undecided'
    """
    return min((one for one in outcomes if one in RANK), key=RANK.index, default=Outcome.NOT_TESTED)


RANK = (Outcome.BEYOND, Outcome.UNDECIDED, Outcome.NOT_TESTED, Outcome.WITHIN)
"""Outcomes of a fault, the one that counts first."""
