"""What a virtual controller looks at and how it reacts: its recognition windows, and each safeguard it has or lacks."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, fields

from coldpin.errors import OutsideRange
from coldpin.simulator import nominal

_LETTERS = "ABCDE"


@dataclass(frozen=True, slots=True, kw_only=True)
class Windows:
    """The high levels between which the unit takes the pilot for A, B, C, D or E, as parts of its own rail. [1]

    Each threshold lies between two letters; the sound ones halfway between the levels of twelve-volt rails. To leave
    a state the level must pass a threshold by ``hysteresis``. ``low_reached`` is how much of its negative rail the low
    level must reach before the unit believes in a diode.
    """

    a_b: float = 0.875
    b_c: float = 0.625
    c_d: float = 0.375
    d_e: float = 0.125
    hysteresis: float = nominal.HYSTERESIS
    low_reached: float = 0.92

    def __post_init__(self) -> None:
        if not 1.0 > self.a_b > self.b_c > self.c_d > self.d_e > 0.0:
            raise OutsideRange(
                f"virtual windows: thresholds {self.a_b:g}, {self.b_c:g}, {self.c_d:g}, {self.d_e:g}; "
                "each lies below the one before, all between 1 and 0"
            )

    def sense(self, part: float, before: str = "") -> str:
        """Return the state a level is taken for.

        Parameters
        ----------
        part : float
            The high level as a part of the rail. [1]
        before : str
            The state until now, whose thresholds are the hysteresis further away; empty for none.

        Returns
        -------
        str
            A letter from A to E.

        Examples
        --------
        >>> Windows().sense(0.63), Windows().sense(0.63, "C")
        ('B', 'C')
        """
        place = _LETTERS.find(before) if before else -1
        for above, threshold in enumerate((self.a_b, self.b_c, self.c_d, self.d_e)):
            shift = 0.0
            if above == place:
                shift = -self.hysteresis
            elif above + 1 == place:
                shift = self.hysteresis
            if part > threshold + shift:
                return _LETTERS[above]
        return "E"


@dataclass(frozen=True, slots=True, kw_only=True)
class Controller:
    """What a unit does with what it senses on its own pilot.

    ``senses_state`` is false for a bare generator: it oscillates whatever is connected. ``accepts_d`` is true for a
    unit meant for ventilated places. ``needs_offer`` keeps it from closing while its oscillator is off.

    ``checks_diode`` makes it look at the low level before it closes; ``watches_diode`` makes it open when a low level
    that was there is lost while closed. ``notices_weld`` makes it look at its output after opening: if that is still
    live it refuses for good. ``monitors_supply_earth`` makes it refuse without an earth upstream. It refuses by a
    steady low level (state F), for ``fault_hold`` at least, and then waits for a new request.

    Delays are from the change of the pilot until the oscillator or the relay's coil follows; the relay's own times
    come on top; an infinite one is a reaction that never comes [s]. ``offer_delay`` and ``stop_delay`` are the
    oscillator's, after plugging in and after unplugging; ``energise_delay`` is that of closing; those of opening are
    ``de_energise_delay`` on B, ``unplug_delay`` on A, ``short_delay`` on E, ``diode_loss_delay``,
    ``earth_loss_delay`` for the supply's earth, and ``withdrawal_patience`` where it stopped its offer and the vehicle
    stays in C. ``weld_delay`` is when it looks for a weld, ``refusal_delay`` how long after opening the pilot goes low:
    the contacts are given time to part first. ``offer_interval`` is the least time between two changes of
    the offer. After the supply has come it takes ``boot_delay`` before it senses anything.

    ``boot_pulse`` is for how long its relay pulls in as the supply comes [s]; ``resumes_after_interruption`` makes it
    close again at once if it was closed when the supply went.
    """

    senses_state: bool = True
    accepts_d: bool = False
    needs_offer: bool = True
    checks_diode: bool = True
    watches_diode: bool = True
    notices_weld: bool = True
    monitors_supply_earth: bool = True
    resumes_after_interruption: bool = False
    windows: Windows = field(default_factory=Windows)
    offer_delay: float = 0.04
    stop_delay: float = 0.02
    energise_delay: float = 0.06
    de_energise_delay: float = 0.03
    unplug_delay: float = 0.03
    short_delay: float = 0.03
    diode_loss_delay: float = 0.05
    earth_loss_delay: float = 0.2
    withdrawal_patience: float = 6.5
    weld_delay: float = 0.3
    refusal_delay: float = 0.1
    fault_hold: float = 0.5
    offer_interval: float = 5.0
    boot_delay: float = 0.4
    boot_pulse: float = 0.0

    def __post_init__(self) -> None:
        for one in fields(self):
            given = getattr(self, one.name)
            if isinstance(given, float) and (given < 0.0 or math.isnan(given)):
                raise OutsideRange(f"controller: {one.name} is {given:g} s; it cannot be negative")
