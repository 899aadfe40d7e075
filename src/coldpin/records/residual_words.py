"""Words for tests with residual currents: times to trip, currents at which a rise trips, captures of both."""

from __future__ import annotations

from coldpin.records.plausible import TRIP_MILLIAMPS, WITHIN_A_MINUTE
from coldpin.records.showing import OUTPUT_DELAY, OUTPUT_KIND, OUTPUT_KINDS, SEEN, SEEN_AT, SUPPLIES, SUPPLY, Showing
from coldpin.records.trip_test import ResidualKind

TRIP_TIME = {kind: f"trip time with {kind} residual current" for kind in ResidualKind}
"""A current put on at once: the time until the output is dead."""

TRIP_CURRENT = {kind: f"trip current with rising {kind} residual current" for kind in ResidualKind}
"""A current that rises slowly: what flowed when the output went dead."""

RESIDUAL_CAPTURE = "residual current capture"

PHASES = ("0°", "180°")
DIRECTIONS = ("positive", "negative")
FORMS = tuple(kind.value for kind in ResidualKind)
CUTS = ("0°", "90°", "135°")

_CURRENT = "residual current that flowed, with its limits: '31.5 mA ± 1.5 mA'; or state 'resistor' and 'voltage'"
_RESISTOR = "resistance of the test box as measured, such as '7.32 kΩ ± 0.5 %'; with 'voltage' it tells the current"
_VOLTAGE = "voltage of the supply over the test box, such as '231 V ± 2 V'"
_START = "phase at which the current began: '0°' or '180°'"
_POLARITY = "direction through the sensor: 'positive', from the supply towards the vehicle, or 'negative'"
_CUT = "angle at which the half waves are cut: '0°' (default, whole ones), '90°' or '135°'"
_RATE = "how fast the current rose, such as '0.5 mA/s'; of steps, the mean"
_DWELL = "how long each step was held, such as '5 s'; empty where it rose without steps"
_SENSOR = "volts of the first channel per ampere, as of a shunt or a clamp: '10 Ω ± 1 %' or '0.1 V/mA ± 1 %'"


_FORM = "form of the current: 'alternating', 'pulsating' or 'smooth'; recognised where left out, if it flows for long"


def _ways(kind: ResidualKind) -> tuple[dict[str, str], dict[str, tuple[str, ...]]]:
    if kind is ResidualKind.ALTERNATING:
        return {"start": _START}, {"start": PHASES}
    if kind is ResidualKind.PULSATING:
        return {"polarity": _POLARITY, "cut": _CUT}, {"polarity": DIRECTIONS, "cut": CUTS}
    return {"polarity": _POLARITY}, {"polarity": DIRECTIONS}


def _time(kind: ResidualKind) -> Showing:
    conditions, allowed = _ways(kind)
    box = {} if kind is ResidualKind.SMOOTH else {"resistor": _RESISTOR, "voltage": _VOLTAGE}
    return Showing(
        word=TRIP_TIME[kind],
        meaning=f"from the moment a {kind} residual current was put on to no voltage at the power pins; one reading "
        "for each operation, '> 2 s' where it did not act while the current was left on",
        recorded_as="readings",
        unit="s",
        measures="time",
        plausible=WITHIN_A_MINUTE,
        conditions={"current": _CURRENT, **box, **conditions, "supply": SUPPLY, "seen at": SEEN},
        allowed={**allowed, "supply": SUPPLIES, "seen at": SEEN_AT},
    )


def _rise(kind: ResidualKind) -> Showing:
    conditions, allowed = _ways(kind)
    return Showing(
        word=TRIP_CURRENT[kind],
        meaning=f"{kind} residual current that flowed when the power pins went dead while it rose slowly; one reading "
        "for each rise, '> 33 mA' where it did not act up to there",
        recorded_as="readings",
        unit="mA",
        measures="residual current",
        plausible=TRIP_MILLIAMPS,
        conditions={"rate": _RATE, "dwell": _DWELL, **conditions, "supply": SUPPLY, "seen at": SEEN},
        allowed={**allowed, "supply": SUPPLIES, "seen at": SEEN_AT},
    )


RESIDUAL = (
    *(_time(kind) for kind in ResidualKind),
    *(_rise(kind) for kind in ResidualKind),
    Showing(
        word=RESIDUAL_CAPTURE,
        meaning="residual current on the first channel against time, the output on the second: which current it was, "
        "when it began and when the output died is read from it",
        recorded_as="capture",
        unit="V",
        measures="voltage",
        conditions={
            "sensor": _SENSOR,
            "form": _FORM,
            "dwell": _DWELL,
            "full scale": "volts over the whole screen of the scope, for its accuracy statement",
            "supply": SUPPLY,
            "seen at": SEEN,
            "output kind": OUTPUT_KIND,
            "output delay": OUTPUT_DELAY,
        },
        allowed={"form": FORMS, "supply": SUPPLIES, "seen at": SEEN_AT, "output kind": OUTPUT_KINDS},
    ),
)
"""Everything about residual currents."""
