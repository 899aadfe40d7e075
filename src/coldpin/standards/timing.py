"""How long a supply unit may take to follow its pilot, by edition; each limit apart from the others."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from coldpin.errors import InputError
from coldpin.records.finding import Limit
from coldpin.records.pilot import State, Switching
from coldpin.standards.book import Book
from coldpin.standards.editions import Edition
from coldpin.standards.table import needed


@dataclass(frozen=True, slots=True, kw_only=True)
class SwitchingLimit:
    """A time within which, or before which not, the output follows. [s]"""

    kind: Literal["max", "min"]
    seconds: float
    limit: Limit


@dataclass(frozen=True, slots=True, kw_only=True)
class SwitchingLimits:
    """The limits of the events that have one.

    ``without_oscillator`` is that of opening on B while the oscillator is off. ``touch`` is the voltage from which an
    output that never changes is taken as live, where it is read in true volts. [V]
    """

    by_event: Mapping[Switching, SwitchingLimit]
    without_oscillator: SwitchingLimit
    touch: float

    def find(self, event: Switching, entered: State) -> SwitchingLimit | None:
        """Return the limit of an event.

        Parameters
        ----------
        event : Switching
            The event.
        entered : State
            The state the pilot changed to.

        Returns
        -------
        SwitchingLimit or None
            None where no text known to us limits it.
        """
        if event is Switching.OPENS_ON_B and not entered.oscillating:
            return self.without_oscillator
        return self.by_event.get(event)


_IDS: Mapping[Switching, tuple[str, Literal["max", "min"]]] = {
    Switching.CLOSES_IN_C: ("timing.close-after-C2", "max"),
    Switching.CLOSES_IN_D: ("timing.close-after-C2", "max"),
    Switching.OPENS_ON_B: ("timing.open-on-S2", "max"),
    Switching.OPENS_ON_A: ("timing.open-on-unplug", "max"),
    Switching.OPENS_ON_D: ("timing.refuse-ventilation", "max"),
    Switching.OPENS_ON_SHORT: ("timing.open-on-short", "max"),
    Switching.OPENS_ON_OSCILLATOR_OFF: ("timing.open-under-load", "min"),
}
_SAE_IDS: Mapping[Switching, str] = {
    Switching.CLOSES_IN_C: "timing.close-after-C2.sae",
    Switching.CLOSES_IN_D: "timing.close-after-C2.sae",
    Switching.OPENS_ON_B: "timing.open-on-S2.sae",
    Switching.OPENS_ON_A: "timing.open-on-unplug.sae",
    Switching.OPENS_ON_OSCILLATOR_OFF: "timing.withdraw-then-open.sae",
}


def switching_limits(book: Book, edition: Edition) -> SwitchingLimits:
    """Return the limits of switching.

    Both editions of IEC 61851-1 share the times of edition 3.0; what SAE J1772 is not known to limit is limited by
    IEC 61851-1, and the limit says so.

    Parameters
    ----------
    book : Book
        The constants.
    edition : Edition
        The text the unit is judged by.

    Returns
    -------
    SwitchingLimits
        A limit for each event that has one.

    Raises
    ------
    InputError
        An own value of the case leaves a limit without the number it needs.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> limits = switching_limits(load_book(), Edition.IEC_3)
    >>> limits.find(Switching.OPENS_ON_B, State.B2).seconds, limits.find(Switching.OPENS_ON_SHORT, State.E).seconds
    (0.1, 3.0)
    >>> off = switching_limits(load_book(), Edition.SAE).find(Switching.OPENS_ON_OSCILLATOR_OFF, State.C1)
    >>> off.kind, off.seconds
    ('min', 3.0)

    Sources
    -------
    ``timing.*``; ``touch.ac``.
    """
    own = _SAE_IDS if edition is Edition.SAE else {}
    by_event = {event: _limit(book, own.get(event, name), kind) for event, (name, kind) in _IDS.items()}
    idle = by_event[Switching.OPENS_ON_B]
    if edition is not Edition.SAE:
        idle = _limit(book, "timing.open-on-S2-without-oscillator", "max")
    return SwitchingLimits(by_event=by_event, without_oscillator=idle, touch=needed(book.limit("touch.ac"), "maximum"))


def _limit(book: Book, name: str, kind: Literal["max", "min"]) -> SwitchingLimit:
    limit = book.limit(name)
    seconds = needed(limit, "maximum" if kind == "max" else "minimum")
    if not seconds > 0.0:
        raise InputError(f"constant {name!r} ({limit.source}) is {seconds:g} s; a time limit is above 0: correct it")
    return SwitchingLimit(kind=kind, seconds=seconds, limit=limit)
