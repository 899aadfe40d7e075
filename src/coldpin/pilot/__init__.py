"""The control pilot: cycles, states, levels, duty cycle, offered current and diode, from a capture with equal steps."""

from coldpin.pilot.duty_cycle import duty_for_current, offered_current, zone_of
from coldpin.pilot.output import OutputSensor
from coldpin.pilot.picture import clean_cycles, glitch_pictures, reduce_trace
from coldpin.pilot.reading import read_pilot
from coldpin.pilot.stream.reading import read_pilot_stream
from coldpin.standards.accuracy import ScopeAccuracy

__all__ = [
    "OutputSensor",
    "ScopeAccuracy",
    "clean_cycles",
    "duty_for_current",
    "glitch_pictures",
    "offered_current",
    "read_pilot",
    "read_pilot_stream",
    "reduce_trace",
    "zone_of",
]
