"""From a change of the pilot to the answer of the output: the delay as a quantity, and what may be said of its limit.

What is not stated is never taken as perfect: a delay read with a sensor or a clock of which nobody said anything has no
uncertainty. Far from its limit it can be judged all the same, by what holds for every sensor and every clock:

* a sensor shows late, never early, and no later than `UNSTATED_SENSOR`: with a sensor delay that nobody stated a delay
  is at most what was read;
* no instrument that records has a clock that is off by more than `UNSTATED_CLOCK`;
* a relay's coil moves before the contacts do: a delay read there is at least as long at the contacts, which may lag or
  weld. It shows no maximum kept and no minimum broken.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from coldpin.pilot.output import OutputSensor
from coldpin.quantity import Component, Quantity, Shape, assemble, decide, format_value, propagate
from coldpin.quantity.model import SQRT3
from coldpin.records.finding import Outcome
from coldpin.records.pilot import Bracket, OutputKind
from coldpin.standards.accuracy import ScopeAccuracy
from coldpin.standards.timing import SwitchingLimit

UNSTATED_CLOCK = 0.01
"""Ours: a clock nobody stated is off by no more than this. [1] Recorders and sound cards keep within a hundredth."""

UNSTATED_SENSOR = 0.5
"""Ours: a sensor nobody stated shows no later than this. [s] A rectifier's capacitor that follows the mains empties
sooner; of a sensor whose stated delay has no uncertainty, it is what may come on top."""

NO_CLOCK = "accuracy of the timebase not stated"
NO_SENSOR = "delay of the output's sensor not stated, so taken out of no delay"
VAGUE_SENSOR = "uncertainty of the sensor's delay not stated"
BY_COIL = "seen at the relay's coil: the contacts may lag or weld"


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """What stands between the contacts and the numbers: sensor, kind of channel, clock; and a name for the capture.

    ``exact`` asks for the interval of the true distribution, at some milliseconds a delay. ``cause`` is what the output
    answers, as a budget names it.
    """

    sensor: OutputSensor
    kind: OutputKind = OutputKind.MAINS
    accuracy: ScopeAccuracy | None
    name: str
    exact: bool = True
    cause: str = "pilot"

    def unstated(self) -> tuple[str, ...]:
        """Return what nobody stated.

        Returns
        -------
        tuple of str
            A clause for each.
        """
        found = []
        if self.accuracy is None or self.accuracy.timebase is None:
            found.append(NO_CLOCK)
        if self.sensor.delay is None:
            found.append(NO_SENSOR)
        elif self.sensor.delay.u is None:
            found.append(VAGUE_SENSOR)
        return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class Delay:
    """A delay and the bounds it keeps to whatever is unstated; ``open`` where the output did not follow. [s]"""

    quantity: Quantity
    least: float
    most: float
    open: bool = False


def delay_between(pilot: Bracket, output: Bracket, chain: Chain) -> Delay:
    r"""Return the delay from a change of the pilot to one of the output.

    .. math:: t = \bar t_{output} - \bar t_{pilot} - t_{sensor}

    Each instant is rectangular over its span. The clock counts as stated for the difference, and one sensor has one
    delay, shared by all operations of a capture.

    Parameters
    ----------
    pilot, output : tuple of float
        Earliest and latest time of the two changes. [s]
    chain : Chain
        What stands between.

    Returns
    -------
    Delay
        The delay [s], of unknown uncertainty where clock or sensor are not stated; its ``low`` and ``high`` are then
        the bounds that hold whatever they are.

    Examples
    --------
    >>> from coldpin.standards.accuracy import parse_accuracy
    >>> chain = Chain(
    ...     sensor=OutputSensor(delay=Quantity(2e-3, 0.1e-3, "s")),
    ...     kind=OutputKind.MAINS,
    ...     accuracy=ScopeAccuracy(timebase=parse_accuracy("50 ppm")),
    ...     name="capture",
    ... )
    >>> delay = delay_between((0.1, 0.101), (0.1600, 0.1606), chain).quantity
    >>> round(delay.value, 4), round(delay.u, 5)
    (0.0578, 0.00035)
    """
    late = 0.0 if chain.sensor.delay is None else chain.sensor.delay.value
    value = 0.5 * (sum(output) - sum(pilot)) - late
    least, most = output[0] - pilot[1], output[1] - pilot[0]
    bounds = _bounds(least, most, chain)
    if unstated := chain.unstated():
        between = f"between {format_value(least, 's')} and {format_value(most, 's')} as read"
        why = "; ".join((*unstated, between))
        quantity = Quantity(value, None, "s", low=bounds[0], high=bounds[1], why=why)
        return Delay(quantity=quantity, least=bounds[0], most=bounds[1])
    parts = [
        _span(f"{chain.name}: {chain.cause} changed at {pilot[0]:.9f} s", f"when the {chain.cause} changed", pilot),
        _span(f"{chain.name}: output changed at {output[0]:.9f} s", "when the output changed", output),
        *_clock(value, chain),
        *(replace(part, contribution=-part.contribution) for part in _of_sensor(chain)),
    ]
    quantity = assemble(value, "s", [part for part in parts if part.contribution != 0.0])
    if chain.exact and quantity.u:
        quantity = replace(propagate(lambda delay: delay, {"delay": quantity}, "s"), value=value)
    return Delay(quantity=quantity, least=bounds[0], most=bounds[1])


def delay_at_least(watched: float, chain: Chain) -> Delay:
    """Return a delay of which only is known that it is longer than the output was watched.

    Parameters
    ----------
    watched : float
        For how long, surely. [s]
    chain : Chain
        What stands between.

    Returns
    -------
    Delay
        Its value is the time watched less the sensor's delay, its ``low`` that less all that sensor and clock may take
        of it, stated or not; its ``high`` is open. [s]

    Examples
    --------
    >>> chain = Chain(sensor=OutputSensor(), kind=OutputKind.MAINS, accuracy=None, name="capture")
    >>> delay = delay_at_least(4.0, chain).quantity
    >>> delay.value, round(delay.low, 2), delay.high is None
    (4.0, 3.46, True)
    """
    late = chain.sensor.delay
    seen = watched - (0.0 if late is None else late.value)
    least, _ = _bounds(watched, math.inf, chain)
    why = "; ".join((f"did not follow within {format_value(seen, 's')}: at least", *chain.unstated()))
    return Delay(quantity=Quantity(seen, None, "s", low=least, why=why), least=least, most=math.inf, open=True)


def judge_delay(delay: Delay, limit: SwitchingLimit | None, chain: Chain) -> tuple[Outcome, str]:
    """Place a delay against its limit.

    Parameters
    ----------
    delay : Delay
        The delay.
    limit : SwitchingLimit or None
        The limit, None where there is none.
    chain : Chain
        What stands between.

    Returns
    -------
    tuple of Outcome and str
        The outcome by the usual decision rule, and why where that needs saying.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> from coldpin.standards.editions import Edition
    >>> from coldpin.standards.timing import switching_limits
    >>> from coldpin.records.pilot import State, Switching
    >>> limit = switching_limits(load_book(), Edition.IEC_3).find(Switching.OPENS_ON_B, State.B2)
    >>> chain = Chain(sensor=OutputSensor(), kind=OutputKind.MAINS, accuracy=None, name="capture")
    >>> judge_delay(delay_between((0.1, 0.101), (0.13, 0.131), chain), limit, chain)[0].value
    'within'
    >>> judge_delay(delay_between((0.1, 0.101), (0.33, 0.331), chain), limit, chain)[0].value
    'undecided'
    """
    if limit is None:
        return Outcome.NOT_APPLICABLE, "no text known to us limits it"
    if delay.open or delay.quantity.u is None:
        outcome = _by_bounds(delay, limit)
    elif limit.kind == "max":
        outcome = Outcome(decide(delay.quantity, maximum=limit.seconds).outcome)
    else:
        outcome = Outcome(decide(delay.quantity, minimum=limit.seconds).outcome)
    favourable = Outcome.WITHIN if limit.kind == "max" else Outcome.BEYOND
    if chain.kind is OutputKind.COIL and outcome is favourable:
        return Outcome.UNDECIDED, BY_COIL
    if outcome is Outcome.UNDECIDED:
        # watched for longer than the limit, an output whose sensor nobody stated may still have been dead in time
        unsure = "; ".join(chain.unstated())
        ended = delay.open and (not unsure or delay.quantity.value <= limit.seconds)
        return outcome, "ended before its limit had surely passed" if ended else unsure
    return outcome, ""


def _by_bounds(delay: Delay, limit: SwitchingLimit) -> Outcome:
    if limit.kind == "max":
        within, beyond = delay.most <= limit.seconds, delay.least > limit.seconds
    else:
        within, beyond = delay.least >= limit.seconds, delay.most < limit.seconds
    return Outcome.WITHIN if within else Outcome.BEYOND if beyond else Outcome.UNDECIDED


def _bounds(least: float, most: float, chain: Chain) -> tuple[float, float]:
    """Return the bounds of a delay whatever is unstated: a sensor shows late, a clock is off, each by so much."""
    # a stated clock by the ends of its limits
    clock = sum(SQRT3 * abs(part.contribution) for part in _clock(1.0, chain)) or UNSTATED_CLOCK
    late = chain.sensor.delay
    if late is None or late.u is None:
        soonest, latest = 0.0, UNSTATED_SENSOR + (0.0 if late is None else late.value)
    else:
        soonest = late.value if late.low is None else late.low
        latest = late.value if late.high is None else late.high
    return least - clock * abs(least) - latest, most + (clock * abs(most) if math.isfinite(most) else 0.0) - soonest


def _span(name: str, label: str, span: Bracket) -> Component:
    half = 0.5 * (span[1] - span[0])
    return Component(id=name, label=label, contribution=half / SQRT3, shape=Shape.RECTANGULAR)


def _clock(delay: float, chain: Chain) -> tuple[Component, ...]:
    if chain.accuracy is None or chain.accuracy.timebase is None:
        return ()
    return chain.accuracy.timebase.components(delay, "s", id=f"{chain.accuracy.id}: timebase", label="timebase")


def _of_sensor(chain: Chain) -> tuple[Component, ...]:
    late = chain.sensor.delay
    if late is None or not late.u:
        return ()
    if not late.components:
        return (Component(id="output sensor: delay", label="delay of the sensor", contribution=late.u, dof=late.dof),)
    named = ((part.id or "output sensor: delay", part.label or "delay of the sensor", part) for part in late.components)
    return tuple(replace(part, id=name, label=label) for name, label, part in named)
