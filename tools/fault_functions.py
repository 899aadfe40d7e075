"""Which function each fault of the simulator takes away, and which checks a trial feeds with the simulator's truth."""

from __future__ import annotations

from collections.abc import Mapping

from coldpin.simulator import FAULTS
from coldpin.simulator.board_fault import BOARD_FAULTS
from coldpin.simulator.lead_fault import LEAD_FAULTS
from coldpin.simulator.residual import SAFEGUARD_FAULTS

FROM_TRUTH = (
    *("closing", "opening", "opening-unplugged", "pilot-short", "earth-loss", "diode-loss", "offer-withdrawal"),
    *("held-contact", "earth-missing"),
)
"""Checks whose evidence is the simulator's truth, all of it or beside what the scope saw."""

FUNCTIONS: Mapping[str, tuple[str, ...]] = {
    "weak negative rail": ("pilot-signal",),
    "weak positive rail": ("pilot-signal",),
    "wrong frequency": ("pilot-signal",),
    "high source resistance": ("pilot-signal",),
    "low source resistance": ("pilot-signal",),
    "ripple": ("pilot-signal",),
    "slow edges": ("pilot-signal",),
    "jittering oscillator": ("pilot-signal",),
    "pilot open": ("pilot-signal",),
    "pilot shorted": ("pilot-signal",),
    "bare generator": ("pilot-signal", "supply-switching", "vehicle-recognition"),
    "duty off": ("current-offer",),
    "old duty mapping": ("current-offer",),
    "drifting oscillator": ("current-offer",),
    "pins always live": ("supply-switching", "vehicle-recognition"),
    "closes in B": ("supply-switching", "state-recognition"),
    "closes without offer": ("supply-switching",),
    "one pole not switched": ("supply-switching",),
    "live at power-up": ("supply-switching", "restart"),
    "live on power return": ("restart",),
    "slow to close": ("supply-switching",),
    "diode not checked": ("vehicle-recognition",),
    "diode loss ignored": ("diode-monitoring",),
    "slow relay": ("timely-opening",),
    "sticking relay": ("timely-opening",),
    "welded relay": ("timely-opening",),
    "opens late on B": ("timely-opening",),
    "opens late on unplugging": ("timely-opening",),
    "never opens on pilot short": ("timely-opening",),
    "slow on pilot short": ("timely-opening",),
    "misses low B": ("state-recognition",),
    "misses high B": ("state-recognition",),
    "misses low C": ("state-recognition",),
    "misses high C": ("state-recognition",),
    "opens under load at once": ("orderly-stop",),
    "weld not noticed": ("contact-monitoring",),
    "thin conductor": ("conductor",),
    "clad conductor": ("conductor",),
    "aluminium conductor": ("conductor",),
    "steel-cored conductor": ("conductor",),
    "thin earth conductor": ("conductor",),
    "PE loss ignored": ("earth-monitoring",),
    "supply earth not monitored": ("supply-earth-monitoring",),
    "pilot track too near": ("pilot-separation",),
    "slot left out": ("pilot-separation",),
    "slot too narrow": ("pilot-separation",),
    "unused pin at the pilot": ("pilot-separation",),
    "low voltage too near": ("pilot-separation",),
    "optocoupler bridged": ("pilot-separation",),
    "poles too near": ("pole-separation",),
    "earth too near": ("pole-separation",),
    "residual current dead": ("residual-current", "residual-pulsating", "residual-smooth"),
    "residual current late": ("residual-current", "residual-pulsating", "residual-smooth"),
    "residual current alternating only": ("residual-pulsating", "residual-smooth"),
    "residual current of one polarity": ("residual-pulsating", "residual-smooth"),
    "smooth residual current not seen": ("residual-smooth",),
    "residual threshold too high": ("residual-current",),
    "residual current trips at half": ("residual-current",),
}
"""Which function each fault takes away. A fault that is not named here is no unit's: the vehicle's, or one that breaks
nothing known to us."""

MEANINGS = {
    **{name: fault.meaning for name, fault in FAULTS.items()},
    **{name: fault.meaning for name, fault in LEAD_FAULTS.items()},
    **{name: fault.meaning for name, fault in BOARD_FAULTS.items()},
    **{name: fault.meaning for name, fault in SAFEGUARD_FAULTS.items()},
}
"""What each fault is, of units before leads, of boards and safeguards at the end."""
