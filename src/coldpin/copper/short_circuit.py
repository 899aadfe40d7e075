r"""A short circuit of line and neutral at the far end of a lead: the least current, and whether it is off in time.

.. math:: I = c\,U_0 / (Z_{LN} + R_L + R_N) \qquad t \leq (k S / I)^2

The longer the lead, the less flows, and the longer the device before the socket may wait. So the least current is held
against it: conductors warm, the supply low by the factor of the loop tables, magnitudes added. Of the device's curve
only that is used which the tables hold; of a current below that it is told how soon the device must act.

With three phases two lines, or all three, draw more than line and neutral as long as the neutral has a sixth of a
line's impedance, 2/√3 − 1, or more: the least current is that of line and neutral there too.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from coldpin.copper.drop_formulas import at_temperature
from coldpin.copper.fault_loop import check_loop, loop_with_lead, prospective_current
from coldpin.copper.fault_withstand import LINE, largest_heat
from coldpin.copper.resistance import Number
from coldpin.copper.steady import hot_resistance
from coldpin.copper.unread_neutral import LIKE_THE_LINE, THIN_NEUTRAL, UNREAD_NEUTRAL, neutral_like
from coldpin.quantity import Quantity, decide, format_figure, format_value, propagate
from coldpin.records.fault import Core, Feed, ShortCircuit
from coldpin.records.finding import Outcome
from coldpin.standards.book import Book
from coldpin.standards.disconnection import Opening, longest_short_circuit, opening, voltage_factor
from coldpin.standards.fault_withstand import withstand_factor
from coldpin.standards.metals import temperature_coefficient
from coldpin.standards.protective_device import largest_let_through
from coldpin.standards.table import needed
from coldpin.standards.voltage_drop import supply_voltage

NO_LOOP = (
    "A short circuit of line and neutral at the far end is not reckoned: that takes the loop of line and neutral at "
    "the socket; the loop to earth does not tell it."
)
NO_LINE = (
    "A short circuit of line and neutral at the far end is not reckoned: that takes the line conductor from end to end."
)
UNREAD = "the neutral, which nobody read, may be half as thick and bear it less long: read it"
OF_THREE_PHASES = (
    "With three phases a short circuit of two lines or of all three draws more at the far end than the one of line and "
    "neutral that is told, unless the neutral were six times as thick as a line."
)


def longest_time(*, k: Number, area: Number, current: Number) -> Number:
    r"""Return how long a conductor bears a current, if it keeps all its heat.

    .. math:: t = (k S / I)^2

    Parameters
    ----------
    k : float or array of shape (n,)
        Its factor. [A·√s/mm²]
    area : float or array of shape (n,)
        S. [mm²]
    current : float or array of shape (n,)
        I. [A]

    Returns
    -------
    float or array of shape (n,)
        t. [s]

    Examples
    --------
    >>> round(longest_time(k=115.0, area=1.5, current=200.0), 3)
    0.744

    Sources
    -------
    IEC 60364-4-43 434.5.2.
    """
    return largest_heat(k=k, area=area) / current**2


def short_circuit(
    cores: Iterable[Core],
    feed: Feed,
    book: Book,
    *,
    conductor_temperature: float,
    insulation: str = "",
    neutral: Core | None = None,
    phases: int = 1,
) -> tuple[ShortCircuit | None, str]:
    """Return the least short circuit of line and neutral at the far end of a lead, and whether it is off in time.

    Parameters
    ----------
    cores : iterable of Core
        Those of the lead, the line among them.
    feed : Feed
        What stands before the socket; of several loops of line and neutral the one that serves least is told.
    book : Book
        The constants.
    conductor_temperature : float
        Of the conductors when the fault comes. [°C]
    insulation : str
        Of the cores; where nothing is known of it the least factor of the metal is used.
    neutral : Core, optional
        Taken to be like the line where it was not read; a thinner one is allowed for.
    phases : int
        1 or 3.

    Returns
    -------
    tuple of ShortCircuit or None and str
        None with the reason where the loop of line and neutral, or the line conductor, is not known.

    Raises
    ------
    OutsideRange
        A loop, a resistance or the temperature is no such thing.
    UnknownName
        Metal or insulation are in no row.

    Examples
    --------
    >>> from coldpin.records.fault import ProtectiveDevice
    >>> from coldpin.standards.book import load_book
    >>> line = Core(
    ...     conductor="line",
    ...     area=Quantity(1.5, 0.01, "mm²"),
    ...     area_from="the print",
    ...     resistance_20=Quantity(0.0665, 1e-4, "Ω"),
    ... )
    >>> device = ProtectiveDevice(kind="B", rating_a=16.0)
    >>> feed = Feed(device=device, capacity=6000.0, neutral=(Quantity(0.8, 0.02, "Ω"),))
    >>> told, _ = short_circuit([line], feed, load_book(), conductor_temperature=70.0, insulation="PVC 70")
    >>> round(told.least_current_a.value), round(told.bears_s.value, 2), told.outcome.value
    (228, 0.57, 'within')
    """
    line = next((core for core in cores if core.conductor == LINE and core.resistance_20 is not None), None)
    if line is None:
        return None, NO_LINE
    if not feed.neutral:
        return None, NO_LOOP
    found = [
        _behind(loop, _Lead(line, neutral, insulation, conductor_temperature), feed, book) for loop in feed.neutral
    ]
    least = min(found, key=lambda one: (one.outcome is Outcome.WITHIN, one.least_current_a.value))
    return replace(least, remarks=_remarks(least, phases)), ""


@dataclass(frozen=True, slots=True)
class _Lead:
    """The two conductors through which the current flows, what is around them, and how warm they are. [°C]"""

    line: Core
    neutral: Core | None
    insulation: str
    temperature: float


def _behind(supply: Quantity, lead: _Lead, feed: Feed, book: Book) -> ShortCircuit:
    """Hold the least current behind one loop of the socket against the device."""
    check_loop(supply)
    line, neutral = lead.line, lead.neutral
    unread = neutral is None or neutral.resistance_20 is None
    if neutral is None or neutral.resistance_20 is None:
        neutral = neutral_like(line)
    total, parts = _loop(supply, line, neutral, lead.temperature, book)
    allowed = hot_resistance(
        resistance=line.allowed_20 + neutral.allowed_20,
        temperature=lead.temperature,
        coefficient=temperature_coefficient(book),
    )
    factor = voltage_factor(book)
    least = _current(total, factor, book)
    weakest = min((line, neutral), key=lambda core: _heat(core, lead.insulation, book).value)
    k = withstand_factor(book, metal=weakest.metal, insulation=lead.insulation).k
    bears = propagate(longest_time, {"k": k, "area": weakest.area, "current": least}, "s")
    told = ShortCircuit(
        supply_ohm=supply,
        line_ohm=parts[0],
        neutral_ohm=parts[1],
        total_ohm=total,
        conductor_temperature_c=lead.temperature,
        prospective_current_a=_current(total, 1.0, book),
        least_current_a=least,
        conductor=weakest.conductor,
        bears_s=bears,
        longest=longest_short_circuit(book),
        acts_from_a=None,
        acts_within=None,
        let_through_a2s=None,
        outcome=Outcome.UNDECIDED,
        probability=None,
        not_counted=tuple(dict.fromkeys((*line.not_counted, *neutral.not_counted))),
        allowed_ohm=float(allowed),
        taken=UNREAD_NEUTRAL.format(percent=100.0 * LIKE_THE_LINE) if unread else "",
    )
    return _placed(told, _heat(weakest, lead.insulation, book), feed, book, thin=THIN_NEUTRAL if unread else 0.0)


def _loop(
    supply: Quantity, line: Core, neutral: Core, temperature: float, book: Book
) -> tuple[Quantity, tuple[Quantity, Quantity]]:
    out, back = line.resistance_20, neutral.resistance_20
    assert out is not None, "looked for before"
    assert back is not None, "taken to be like the line where it was not read"
    warm = Quantity(temperature, 0.0, "°C")
    hot = (at_temperature(out, warm, book), at_temperature(back, warm, book))
    # the formula is that of the loop to earth, with the neutral in the place of the earth conductor
    return propagate(loop_with_lead, {"supply": supply, "line": hot[0], "earth": hot[1]}, "Ω"), hot


def _current(loop: Quantity, factor: float, book: Book) -> Quantity:
    given: dict[str, Quantity | float] = {"voltage": supply_voltage(book), "loop": loop, "factor": factor}
    return propagate(prospective_current, given, "A", monte_carlo=False)


def _heat(core: Core, insulation: str, book: Book) -> Quantity:
    k = withstand_factor(book, metal=core.metal, insulation=insulation).k
    return propagate(largest_heat, {"k": k, "area": core.area}, "A²s", monte_carlo=False)


def _placed(told: ShortCircuit, heat: Quantity, feed: Feed, book: Book, *, thin: float) -> ShortCircuit:
    """Say whether the device acts before the conductor has borne what it can; ``thin`` is what a neutral may lack."""
    points = opening(book, feed.device)
    name = feed.device.name
    if not points:
        return replace(told, settles=f"when a {name} opens is in no table known to us: {_curve(told)}")
    point = next((one for one in points if _reached(told, one, 0.0)), None) or points[-1]
    told = replace(told, acts_from_a=point.current, acts_within=point.within, limits=(*point.limits, told.longest))
    seconds = needed(point.within, "maximum")
    at = f"{_amperes(point.current)} from which a {name} acts within {seconds:g} s"
    slow = _too_little(told, point, at, book)
    if slow:
        return replace(told, settles=slow)
    if not feed.seen:
        return replace(told, settles=f"nobody saw that a {name} stands before the socket: look at it")
    harder = _harder(told, thin)
    by_time = decide(told.bears_s, minimum=seconds * harder)
    if by_time.outcome == "within":
        return replace(told, outcome=Outcome.WITHIN, probability=by_time.probability)
    through = _by_class(feed, book)
    by_class = None if through is None else decide(heat, minimum=through * (1.0 + thin) ** 2)
    if by_class is not None and by_class.outcome == "within":
        return replace(told, outcome=Outcome.WITHIN, probability=by_class.probability, let_through_a2s=through)
    if thin and decide(told.bears_s, minimum=seconds).outcome == "within":
        return replace(told, settles=UNREAD)
    sooner = f"a {name} acts within {seconds:g} s, and how much sooner is in no table known to us"
    return replace(told, settles=f"{sooner}: {_curve(told)}")


def _harder(told: ShortCircuit, thin: float) -> float:
    """Return by how much a neutral that is thinner than the line bears the current less long that it then lets flow."""
    more = 1.0 + thin * told.line_ohm.value / told.total_ohm.value
    return ((1.0 + thin) / more) ** 2


def _too_little(told: ShortCircuit, point: Opening, at: str, book: Book) -> str:
    """Say why the least current is not shown to be enough for the device; empty where it is."""
    if _reached(told, point, told.allowed_ohm):
        return ""
    if _reached(told, point, 0.0):
        return f"with the {_allowed(told)} more allowed for what is not counted it may be less than the {at}"
    if decide(told.least_current_a, minimum=point.current).outcome != "beyond":
        return f"too close to the {at}, or not known well enough, to say"
    less = f"less than the {at}, and how soon it acts on less is in no table known to us: {_curve(told)}"
    if decide(_current(told.supply_ohm, voltage_factor(book), book), minimum=point.current).outcome == "within":
        return less
    return f"{less}. The loop of the socket alone is so high already, which says nothing of the lead"


def _reached(told: ShortCircuit, point: Opening, more: float) -> bool:
    """Whether the least current is enough for the device, with so much more in its loop. [Ω]"""
    # current goes by the inverse of the loop: so much more in it asks for so much more current without it
    enough = point.current * (told.total_ohm.value + more) / told.total_ohm.value
    return decide(told.least_current_a, minimum=enough).outcome == "within"


def _by_class(feed: Feed, book: Book) -> float | None:
    """Return what the class of a device lets through; None where it was not read, or no table has it."""
    if not feed.class_seen:
        return None
    limit = largest_let_through(book, feed.device, capacity=feed.capacity, energy_class=feed.energy_class)
    return None if limit is None else needed(limit, "maximum")


def _curve(told: ShortCircuit) -> str:
    most = needed(told.longest, "maximum")
    edge = told.bears_s.value if told.bears_s.low is None else told.bears_s.low
    return f"its maker's curve must show less than {format_value(float(f'{min(edge, most):.2g}'), 's')} at that current"


def _amperes(current: float) -> str:
    return format_value(float(f"{current:.3g}"), "A")


def short_circuit_statement(told: ShortCircuit, feed: Feed) -> str:
    """Return what a short circuit at the far end comes to, in one sentence or two.

    Parameters
    ----------
    told : ShortCircuit
        The short circuit.
    feed : Feed
        What stands before the socket.

    Returns
    -------
    str
        With the least current, how long it is borne, and whether the device acts in time.

    Examples
    --------
    >>> from coldpin.records.fault import ProtectiveDevice
    >>> from coldpin.standards.book import load_book
    >>> line = Core(
    ...     conductor="line",
    ...     area=Quantity(1.5, 0.01, "mm²"),
    ...     area_from="the print",
    ...     resistance_20=Quantity(0.0665, 1e-4, "Ω"),
    ... )
    >>> device = ProtectiveDevice(kind="B", rating_a=16.0)
    >>> feed = Feed(device=device, capacity=6000.0, neutral=(Quantity(0.8, 0.02, "Ω"),))
    >>> told, _ = short_circuit([line], feed, load_book(), conductor_temperature=70.0, insulation="PVC 70")
    >>> "a B16 acts within 0.1 s from 80 A on" in short_circuit_statement(told, feed)
    True
    """
    most = needed(told.longest, "maximum")
    long = f"for more than {most:g} s" if _surely_longer(told, most) else f"for {format_figure(told.bears_s)}"
    first = (
        "On a short circuit of line and neutral at the far end "
        f"{format_figure(told.least_current_a)} flow at the least, which the {told.conductor} conductor bears {long}"
    )
    if told.outcome is not Outcome.WITHIN or told.acts_within is None or told.acts_from_a is None:
        return f"{first}: {told.settles}."
    seconds = f"{needed(told.acts_within, 'maximum'):g} s from {_amperes(told.acts_from_a)} on"
    also = _also_with(told)
    if told.let_through_a2s is not None:
        return (
            f"{first}: a {feed.device.name} acts within {seconds}, and lets no more than the "
            f"{told.let_through_a2s:.0f} A²s of its class through, which is borne{also}."
        )
    return f"{first}: a {feed.device.name} acts within {seconds}{also}."


def _surely_longer(told: ShortCircuit, most: float) -> bool:
    return decide(told.bears_s, minimum=most).outcome == "within"


def _also_with(told: ShortCircuit) -> str:
    return f", also with the {_allowed(told)} more allowed for what is not counted" if told.allowed_ohm else ""


def _allowed(told: ShortCircuit) -> str:
    return format_value(float(f"{told.allowed_ohm:.2g}"), "Ω")


def _remarks(told: ShortCircuit, phases: int) -> tuple[str, ...]:
    """Say what a short circuit at the far end rests on."""
    warm = f"{told.conductor_temperature_c:g} °C"
    said = [f"The least current: conductors at {warm}, supply low, a loop of {format_figure(told.total_ohm)}."]
    if told.taken:
        said.append(told.taken)
    if told.not_counted:
        said.append(
            f"Not in the loop of line and neutral: {'; '.join(told.not_counted)}. At most {_allowed(told)} more is "
            "allowed for that."
        )
    if phases > 1:
        said.append(OF_THREE_PHASES)
    return tuple(said)
