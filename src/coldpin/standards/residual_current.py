"""What is asked of a residual-current device, by its type: looked up in the book of constants."""

from __future__ import annotations

import math
import re
from dataclasses import replace

from coldpin.errors import InputError, OutsideRange, UnknownName
from coldpin.quantity import parse_quantity
from coldpin.records.finding import Limit
from coldpin.records.trip_test import DeviceType, ResidualDevice, ResidualKind, RowRole, TripRow
from coldpin.standards.book import Book
from coldpin.standards.table import Row, needed

HELD, THRESHOLD, RAISED, HIGH, RISE = "held", "threshold", "raised", "high", "rise"
"""The rows of each form of residual current: one that must not trip, three that must, and a rise."""

INSTEAD = "high-instead"
"""The row of 250 mA, which may be kept in place of five times the rated current."""

_TABLE = "residual-current."
_STEPS = ((THRESHOLD, "1x"), (RAISED, "2x"), (HIGH, "5x"))
_DIRECT = ((THRESHOLD, "6mA"), (RAISED, "60mA"), (HIGH, "200mA"))
_ALTERNATING_WATCH, _SMOOTH_WATCH = f"{_TABLE}watch.alternating", f"{_TABLE}watch.smooth"
_INVERSE = {
    DeviceType.CLASS_A: (f"{_TABLE}class-a.hold", f"{_TABLE}class-a.trip"),
    DeviceType.CCID5: (f"{_TABLE}class-a.hold", f"{_TABLE}class-a.trip"),
    DeviceType.CCID20: (f"{_TABLE}ccid20.hold", f"{_TABLE}ccid20.trip"),
}
_SEES_PULSATING = (DeviceType.A, DeviceType.F, DeviceType.B)
_TYPES = {kind.value.casefold().replace(" ", ""): kind for kind in DeviceType}


def find_type(text: str) -> DeviceType:
    """Return the type of device that a text names.

    Parameters
    ----------
    text : str
        As plate or papers write it: "A", "type A", "Typ B", "class A", "CCID20".

    Returns
    -------
    DeviceType
        The type; "A" alone is type A and not class A.

    Raises
    ------
    UnknownName
        The text names none known here.

    Examples
    --------
    >>> find_type("type A").value, find_type("Class A").value, find_type("ccid 20").value
    ('A', 'class A', 'CCID20')
    """
    plain = re.sub(r"^typ(e|us)? ", "", " ".join(text.split()).casefold()).replace(" ", "")
    if plain not in _TYPES:
        raise UnknownName.among("type of residual-current device", text, [kind.value for kind in DeviceType])
    return _TYPES[plain]


def find_residual_device(
    *, rated: str = "", kind: str = "", direct: str = "", in_cable: bool = False, selective: bool = False
) -> ResidualDevice:
    """Return a device by what is said of it.

    Parameters
    ----------
    rated : str
        Its rated residual operating current, "30 mA"; 30 mA where left out.
    kind : str
        Its type; "A" where left out.
    direct : str
        The smooth direct current at which it acts, "6 mA"; empty where nothing is said of one.
    in_cable : bool
        Whether it is an in-cable unit.
    selective : bool
        Whether it is delayed (type S).

    Returns
    -------
    ResidualDevice
        The device.

    Raises
    ------
    UnknownName
        There is no such type.
    OutsideRange
        A current is not above zero.
    InputError
        A text is no current.

    Examples
    --------
    >>> find_residual_device(rated="30 mA", kind="type A", direct="6 mA").name
    '30 mA type A, 6 mA d.c.'
    """
    current = _milliamperes(rated or "30 mA", "rated residual operating current")
    return ResidualDevice(
        type=find_type(kind or DeviceType.A.value),
        rated_ma=current,
        direct_ma=_milliamperes(direct, "smooth direct current at which it acts") if direct else None,
        in_cable=in_cable,
        selective=selective,
    )


def _milliamperes(text: str, what: str) -> float:
    # papers write "6 mA d.c." and "DC 6 mA"; the form is known already
    plain = re.sub(r"\b(d\.?\s?c\.?|a\.?\s?c\.?)(?=\s|$)", " ", text, flags=re.IGNORECASE).strip()
    try:
        value = parse_quantity(plain, "mA").value
    except InputError as error:
        raise InputError(f"{what} {text!r}: {error}") from error
    if not value > 0.0:
        raise OutsideRange(f"{what} is {text!r}: it must be above 0 mA, as '30 mA'")
    return value


def longest_time(book: Book, current_ma: float) -> float:
    r"""Return the longest time of the North American inverse curve.

    .. math:: T = (20\,\mathrm{mA} / I)^{1.43}

    Parameters
    ----------
    book : Book
        The constants.
    current_ma : float
        Residual current I; above the end of the curve its end counts. [mA]

    Returns
    -------
    float
        T. [s]

    Raises
    ------
    OutsideRange
        The current lies below the curve's beginning, where nothing must act.
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> round(longest_time(load_book(), 6.0), 3), round(longest_time(load_book(), 264.0), 5)
    (5.594, 0.02498)

    Sources
    -------
    ``residual-current.inverse.*``, UL 943.
    """
    span = book.limit(f"{_TABLE}inverse.range")
    first, last = needed(span, "minimum"), needed(span, "maximum")
    if not current_ma >= first:
        raise OutsideRange(f"residual current is {current_ma:g} mA; the inverse curve begins at {first:g} mA")
    one_second = needed(book.limit(f"{_TABLE}inverse.current"), "nominal")
    exponent = needed(book.limit(f"{_TABLE}inverse.exponent"), "nominal")
    return float((one_second / min(current_ma, last)) ** exponent)


def inverse_limit(book: Book, current_ma: float) -> Limit:
    """Return the longest time of the inverse curve at a current, as a limit.

    Parameters
    ----------
    book : Book
        The constants.
    current_ma : float
        Residual current. [mA]

    Returns
    -------
    Limit
        In seconds.

    Raises
    ------
    OutsideRange
        The current lies below the curve's beginning.
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> inverse_limit(load_book(), 20.0).maximum
    1.0

    Sources
    -------
    ``residual-current.inverse.*``, UL 943.
    """
    curve = book.limit(f"{_TABLE}inverse.current")
    return replace(
        curve,
        id=f"{_TABLE}inverse",
        title=f"longest time at {current_ma:.3g} mA by the inverse curve",
        unit="s",
        nominal=None,
        maximum=longest_time(book, current_ma),
    )


def trip_rows(book: Book, device: ResidualDevice, kind: ResidualKind) -> tuple[TripRow, ...]:
    """Return what is asked of a device with one form of residual current.

    Parameters
    ----------
    book : Book
        The constants.
    device : ResidualDevice
        The device.
    kind : ResidualKind
        The form.

    Returns
    -------
    tuple of TripRow
        Its rows, least current first; none where such a device need not see this form.

    Raises
    ------
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> device = find_residual_device(rated="30 mA", kind="A", direct="6 mA")
    >>> [(row.name, row.current_ma) for row in trip_rows(load_book(), device, ResidualKind.ALTERNATING)]
    [('held', 15.0), ('threshold', 30.0), ('rise', 30.0), ('raised', 60.0), ('high', 150.0), ('high-instead', 250.0)]

    Sources
    -------
    ``residual-current.*``.
    """
    if device.type.inverse:
        return _inverse(book, device) if kind is ResidualKind.ALTERNATING else ()
    match kind:
        case ResidualKind.ALTERNATING:
            return _alternating(book, device)
        case ResidualKind.PULSATING:
            return _pulsating(book, device) if device.type in _SEES_PULSATING else ()
        case ResidualKind.SMOOTH if device.direct_ma is not None:
            return _direct(book)
        case ResidualKind.SMOOTH:
            return _type_b(book, device) if device.type is DeviceType.B else ()


def most_in_cable(book: Book) -> Limit:
    """Return the largest rated residual operating current that an in-cable unit may have.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    Limit
        Its maximum is the current. [mA]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> most_in_cable(load_book()).maximum
    30.0

    Sources
    -------
    ``residual-current.in-cable.most``, scope of IEC 62752:2024.
    """
    return book.limit(f"{_TABLE}in-cable.most")


def trip_span(book: Book) -> Limit:
    """Return how far a test current may lie from that of its row where the device must act, as a factor.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    Limit
        From the row's current on, and not so far above it that acting is too easy. [1]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> trip_span(load_book()).maximum
    1.1

    Sources
    -------
    ``residual-current.test.trip``, IEC 61557-6 (standing: memory).
    """
    return book.limit(f"{_TABLE}test.trip")


def hold_span(book: Book) -> Limit:
    """Return how far a test current may lie from that of its row where the device must not act, as a factor.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    Limit
        Up to the row's current, and not so far below it that holding is too easy. [1]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> hold_span(load_book()).minimum
    0.9

    Sources
    -------
    ``residual-current.test.hold``, IEC 61557-6 (standing: memory).
    """
    return book.limit(f"{_TABLE}test.hold")


def tolerated_direct(book: Book, kind: DeviceType) -> Limit:
    """Return on how much smooth direct current a device still works.

    Parameters
    ----------
    book : Book
        The constants.
    kind : DeviceType
        Its type, one of IEC 60755.

    Returns
    -------
    Limit
        In mA.

    Raises
    ------
    UnknownName
        No text known to us says it of this type.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [tolerated_direct(load_book(), kind).maximum for kind in (DeviceType.AC, DeviceType.A, DeviceType.F)]
    [0.0, 6.0, 10.0]

    Sources
    -------
    ``residual-current.tolerates.*``, BS 7671 531.3.3.
    """
    return book.limit(f"{_TABLE}tolerates.{kind.value.casefold()}")


def _in_ma(limit: Limit, rated_ma: float) -> Limit:
    """Return a limit in parts of the rated current as one in mA."""
    return replace(
        limit,
        unit="mA",
        title=limit.title.replace(", in parts of IΔn", ""),
        minimum=None if limit.minimum is None else limit.minimum * rated_ma,
        maximum=None if limit.maximum is None else limit.maximum * rated_ma,
        place=f"{limit.place}; of {rated_ma:g} mA",
    )


def _trip(name: str, row: Row, rated_ma: float) -> TripRow:
    current = row.number("multiple") * rated_ma if "multiple" in row.data else row.number("current_ma")
    return TripRow(
        name=name, title=f"at {current:g} mA", role=RowRole.TRIP, current_ma=round(current, 9), limit=row.limit
    )


def _held(limit: Limit, watch: Limit) -> TripRow:
    current = needed(limit, "maximum")
    return TripRow(
        name=HELD,
        title=f"at {current:g} mA, where it must not act",
        role=RowRole.HOLD,
        current_ma=current,
        limit=limit,
        watch_s=needed(watch, "minimum"),
    )


def _rise(limit: Limit, *, name: str = RISE, angle_deg: float = 0.0) -> TripRow:
    cut = f", half waves cut at {angle_deg:g}°" if angle_deg else ""
    return TripRow(
        name=name,
        title=f"while it rises{cut}",
        role=RowRole.RISE,
        current_ma=needed(limit, "maximum"),
        limit=limit,
        angle_deg=angle_deg,
    )


def _alternating(book: Book, device: ResidualDevice) -> tuple[TripRow, ...]:
    rated = device.rated_ma
    table = "selective" if device.selective else "in-cable" if device.in_cable else "general"
    half = book.limit(f"{_TABLE}half")
    held = _in_ma(half, rated)
    threshold, raised, high = (_trip(name, book.row(f"{_TABLE}{table}.{step}"), rated) for name, step in _STEPS)
    band = replace(
        held,
        id=f"{_TABLE}rise",
        title="operating current, from where it must not act to where it must",
        minimum=held.maximum,
        maximum=rated,
    )
    rows = (
        _held(replace(held, title=half.title.replace(", in parts of IΔn", "")), book.limit(_ALTERNATING_WATCH)),
        threshold,
        _rise(band),
        raised,
        high,
    )
    instead = book.row(f"{_TABLE}general.250mA")
    if device.selective or rated > instead.number("small"):
        return rows
    other = _trip(INSTEAD, instead, rated)
    other = replace(other, title=f"{other.title} in place of {high.current_ma:g} mA")
    return (*rows[:-1], replace(high, stands_for=f"{other.current_ma:g} mA"), other)


def _pulsating(book: Book, device: ResidualDevice) -> tuple[TripRow, ...]:
    rated = device.rated_ma
    small = book.row(f"{_TABLE}pulsating.small")
    bands = []
    for angle in ("0", "90", "135"):
        row = book.row(f"{_TABLE}pulsating.{angle}deg")
        limit = row.limit
        if rated <= small.number("small"):
            limit = replace(limit, maximum=needed(small.limit, "maximum"))
        bands.append((row.number("angle_deg"), _in_ma(limit, rated)))
    first = bands[0][1]
    held = replace(first, minimum=None, maximum=first.minimum)
    steps = [_trip(name, book.row(f"{_TABLE}pulsating.{step}"), rated) for name, step in _STEPS]
    if rated <= small.number("small"):
        part = needed(small.limit, "maximum") / book.row(f"{_TABLE}pulsating.1x").number("multiple")
        steps = [_scaled(one, part) for one in steps]
    return (
        _held(held, book.limit(_ALTERNATING_WATCH)),
        steps[0],
        _rise(first),
        *(_rise(limit, name=f"{RISE}-{angle:g}", angle_deg=angle) for angle, limit in bands[1:]),
        *steps[1:],
    )


def _scaled(row: TripRow, part: float) -> TripRow:
    current = round(row.current_ma * part, 9)
    return replace(row, current_ma=current, title=f"at {current:g} mA")


def _direct(book: Book) -> tuple[TripRow, ...]:
    hold = book.limit(f"{_TABLE}smooth.hold")
    trip = book.limit(f"{_TABLE}smooth.threshold")
    threshold, raised, high = (_trip(name, book.row(f"{_TABLE}smooth.{step}"), 0.0) for name, step in _DIRECT)
    return (
        _held(hold, book.limit(_SMOOTH_WATCH)),
        threshold,
        _rise(replace(trip, id=f"{_TABLE}smooth.rise", minimum=hold.maximum, standing=hold.standing)),
        raised,
        high,
    )


def _type_b(book: Book, device: ResidualDevice) -> tuple[TripRow, ...]:
    band = _in_ma(book.limit(f"{_TABLE}smooth-b.threshold"), device.rated_ma)
    steps = [_trip(name, book.row(f"{_TABLE}smooth-b.{step}"), device.rated_ma) for name, step in _STEPS]
    held = replace(band, minimum=None, maximum=band.minimum)
    return (_held(held, book.limit(_SMOOTH_WATCH)), steps[0], _rise(band), *steps[1:])


def _inverse(book: Book, device: ResidualDevice) -> tuple[TripRow, ...]:
    hold, trip = (book.limit(name) for name in _INVERSE[device.type])
    first, last = needed(trip, "maximum"), needed(book.limit(f"{_TABLE}inverse.range"), "maximum")
    currents = ((THRESHOLD, first), (RAISED, math.sqrt(first * last)), (HIGH, last))
    rows = [
        TripRow(
            name=name,
            title=f"at {current:.3g} mA",
            role=RowRole.TRIP,
            current_ma=current,
            limit=inverse_limit(book, current),
            inverse=True,
        )
        for name, current in currents
    ]
    band = replace(trip, id=f"{trip.id}.rise", minimum=hold.maximum)
    return (_held(hold, book.limit(_ALTERNATING_WATCH)), rows[0], _rise(band), *rows[1:])
