"""What one word of the vocabulary is, and the closed lists of values that its conditions take."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from coldpin.records.plausible import Plausible


@dataclass(frozen=True, slots=True, kw_only=True)
class Showing:
    """One word of the vocabulary: what it means and how it is recorded.

    ``recorded_as`` is "pairs" (a wiring map), "readings" (one text per repeat), "answer" (yes / no / cannot tell),
    "capture" (a filed waveform), "log" (a filed log), "board" (a filed drawing of a board), or "note" (words, a
    photograph, a paper). ``unit`` is what readings must be convertible to, ``measures`` names the accuracy statement of
    the instrument that applies; ``conditions`` are those an entry may state, with what they mean; ``allowed`` holds the
    values of those that take no other. ``plausible`` is where readings usually lie: what lies outside is questioned.
    """

    word: str
    meaning: str
    recorded_as: str
    unit: str = ""
    measures: str = ""
    plausible: Plausible | None = None
    conditions: Mapping[str, str]
    allowed: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


SUPPLIES = ("mains", "extra-low voltage", "board on bench supply")
INPUTS = ("low impedance", "high impedance")
LOADS = ("nothing", "vehicle simulator B", "vehicle simulator C", "vehicle simulator D", "steps")
DIODES = ("present", "shorted", "absent")
CONTACTS = ("as found", "held closed")
LATCHES = ("released", "pressed")
SEEN_AT = ("output", "relay coil")
OUTPUT_KINDS = ("mains", "level")
BOUNDARIES = ("B lowest", "B highest", "C lowest", "C highest")
EVENTS = (
    "states",
    "plugged in asking",
    "unplugging",
    "pilot short",
    "loss of earth",
    "loss of the diode",
    "withdrawal of the offer",
    "wake-up",
    "change of setting",
    "supply interruption",
)

SUPPLY = (
    "'mains' or 'extra-low voltage' at the plug, or 'board on bench supply': the opened board fed behind its own supply"
)
INPUT = "'low impedance' or 'high impedance' of the meter: a high one also shows what couples across open contacts"
LOAD = "what was connected: 'nothing', 'vehicle simulator B', 'vehicle simulator C', 'vehicle simulator D', 'steps'"
DIODE = "'present' (default), 'shorted' or 'absent' in the vehicle simulator"
SETTING = "current the unit was set to, with unit; empty for the declared one"
SEEN = "where the switching was seen: 'output' (default) or 'relay coil', which moves before the contacts do"
OUTPUT_KIND = (
    "what the second channel sees: 'mains' through an isolated sensor or a rated differential probe, or 'level', "
    "a d.c. voltage that is up while the output is live; recognised where left out"
)
OUTPUT_DELAY = "by how much the output's sensor shows late, such as '2 ms ± 1 ms'"
OUTPUT_SEEN = (
    "id of another capture, or the name of its file, taken with the same second channel as it stands, in which the "
    "output was seen to be switched on: then a channel that stays flat here shows an output that is off"
)
OSCILLATOR = "in state B, whether the pilot was seen to oscillate: 'running' or 'at rest'"
OSCILLATORS = ("running", "at rest")
BOUNDARY = (
    "which resistors were in the vehicle simulator, of the largest tolerance the unit must take: "
    "'B lowest', 'B highest', 'C lowest' or 'C highest'"
)
EVENT = (
    "what was done meanwhile: 'states' (default: A, B, C by switches), 'plugged in asking', "
    "'unplugging', 'pilot short', 'loss of earth', 'loss of the diode', 'withdrawal of the offer', 'wake-up', "
    "'change of setting' or 'supply interruption'"
)
PILOT_FACTOR, OUTPUT_FACTOR = "pilot factor", "output factor"
PILOT_CHANNEL, OUTPUT_CHANNEL = "pilot channel", "output channel"
READ_OTHERWISE = {
    PILOT_FACTOR: (
        "by what the pilot's voltage in the file is to be multiplied, because probe and instrument were not set alike: "
        "'10', '0.1', or '-1' for a probe the wrong way round"
    ),
    PILOT_CHANNEL: "which column or channel of the file is the pilot, where another was taken for it",
    OUTPUT_FACTOR: "by what the voltage of the output in the file is to be multiplied",
    OUTPUT_CHANNEL: "which column or channel of the file is the output, where another was taken for it",
}
"""How a capture is to be read otherwise than it was when it was filed; the file itself stays as it came."""
