"""The contacts of a virtual unit as time goes on: they follow the coil, and remember every touch."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from coldpin.simulator.course import Contact, Response
from coldpin.simulator.relay import Movement, Relay
from coldpin.simulator.unit import OutputSwitch


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """The last change of load: when, from what, to what."""

    at: float
    load_from: str
    load_to: str


@dataclass(slots=True, kw_only=True)
class Contacts:
    """Coil and contacts; ``part`` is the part of the supply at the pins while there is one. [1]

    ``due`` is when the contacts will move, None while they rest.
    """

    relay: Relay
    output: OutputSwitch
    rng: np.random.Generator
    coil: bool = False
    part: float = 0.0
    due: float | None = None
    closed_before: int = 0
    touches: list[Contact] = field(default_factory=list)
    responses: list[Response] = field(default_factory=list)
    _coming: Movement = field(default_factory=lambda: Movement(delay=0.0))

    def __post_init__(self) -> None:
        if self.output == "always live":
            self.part = 1.0
        elif self.output == "switched":
            self.part = self.relay.part_left(self.closed_before)

    def drive(self, on: bool, now: float, cause: Cause) -> None:
        """Drive the coil or let it go; a movement that is still coming is overtaken.

        Parameters
        ----------
        on : bool
            Whether the coil is driven.
        now : float
            When. [s]
        cause : Cause
            The change of load behind it.
        """
        self.coil, self.due = on, None
        self.responses.append(
            Response(
                changed=cause.at,
                load_from=cause.load_from,
                load_to=cause.load_to,
                closes=on,
                commanded=now,
                contacts=None,
                settled=None,
            )
        )
        if self.output != "switched":
            return
        self._coming = self.relay.close(self.rng) if on else self.relay.open(self.rng, closed_before=self.closed_before)
        self.due = now + self._coming.delay

    def move(self, now: float) -> bool:
        """Let the contacts move if it is time.

        Parameters
        ----------
        now : float
            The time. [s]

        Returns
        -------
        bool
            Whether something moved.
        """
        if self.due is None or self.due > now:
            return False
        self.due = None
        part = 1.0 if self.coil else self.relay.part_left(self.closed_before)
        if part == self.part:
            return False
        if self.coil:
            self.closed_before += 1
        ends = [self.part if edge == 0 else part for parting in self._coming.partings for edge in (0, 1)]
        edges = [now + edge for parting in self._coming.partings for edge in parting]
        # A relay let go while it still bounced: the rest of its bounces never came.
        self.touches = [touch for touch in self.touches if touch.at < now]
        self.touches.append(Contact(at=now, part=part))
        self.touches.extend(Contact(at=at, part=part_then) for at, part_then in zip(edges, ends, strict=True))
        self.part = part
        last = self.responses[-1]
        if self.coil or part == 0.0:
            self.responses[-1] = replace(last, contacts=now, settled=edges[-1] if edges else now)
        return True
