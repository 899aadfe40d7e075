"""Three invented specimens: what each of them really is. Every number is invented."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from coldpin.simulator.conductor import conductor_of
from coldpin.simulator.lead import VirtualLead
from coldpin.simulator.relay import Relay
from coldpin.simulator.safeguards import Controller
from coldpin.simulator.unit import VirtualUnit

ROOM = 11.0
"""The yard's workshop in March. [°C]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class VirtualSpecimen:
    """A specimen with everything that a bench can read of it.

    ``lead`` is its cable with conductors and joints. ``insulation`` is from mains to pilot and earth, ``coding`` from
    proximity pin to earth [Ω]. ``standby`` is what the unit draws idle [W], [var]. ``stray`` is what a meter shows at
    pins that are switched off, as the cable couples a little [V]. ``wiring`` is the dead wiring map as found. ``seed``
    makes its captures and readings its own.
    """

    unit: VirtualUnit
    lead: VirtualLead
    insulation: float
    coding: float
    stray: float
    standby: tuple[float, float]
    wiring: Mapping[str, str]
    seed: int


def _wiring(supply: str, poles: str) -> Mapping[str, str]:
    """Return a map of a single-phase specimen with its earth through and its poles as said."""
    through = {(supply, "L1"): poles, ("N", "N"): poles, ("PE", "PE"): "joined"}
    connector = ("L1", "N", "PE", "CP")
    pairs = {f"{a} > {b}": through.get((a, b), "open") for a in (supply, "N", "PE") for b in connector}
    return MappingProxyType(pairs)


def map_wiring(specimen: VirtualSpecimen, *, closed: bool = False) -> Mapping[str, str]:
    """Return the dead wiring map of a specimen.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.
    closed : bool
        Whether its contacts are held closed meanwhile.

    Returns
    -------
    mapping of str to str
        "joined" or "open" for each pair of pins.

    Examples
    --------
    >>> [map_wiring(SKERROW_16, closed=closed)["N > N"] for closed in (False, True)]
    ['open', 'joined']
    """
    if not closed:
        return specimen.wiring
    poles = ("L > L1", "L1 > L1", "N > N")
    return MappingProxyType({pair: "joined" if pair in poles else found for pair, found in specimen.wiring.items()})


SKERROW_16 = VirtualSpecimen(
    unit=VirtualUnit(
        name="Skerrow 16",
        rail_high=12.05,
        rail_low=-11.96,
        source_resistance=1002.0,
        capacitance=1.2e-9,
        frequency=1000.4,
        duty=26.5,
        jitter=2.0e-8,
        controller=Controller(stop_delay=0.06, energise_delay=0.2, de_energise_delay=0.03, unplug_delay=0.02),
        relay=Relay(operate=0.011, release=0.006, spread=0.0015, bounce=0.002),
        mains=231.4,
    ),
    lead=VirtualLead(
        conductor=conductor_of("copper", 2.41, nominal_mm2=2.5),
        earth=conductor_of("copper", 2.43, nominal_mm2=2.5),
        length=5.0,
        plug_joints={"L": 0.7e-3, "N": 0.5e-3, "PE": 0.6e-3},
        connector_joints={"L": 0.4e-3, "N": 0.4e-3, "PE": 0.5e-3},
    ),
    insulation=352.0e6,
    coding=683.0,
    stray=1.3,
    standby=(0.62, -11.0),
    wiring=_wiring("L", "open"),
    seed=16,
)
"""An in-cable unit for 16 A on a 16 A plug: sound, over honest copper."""

PELLWICK_20 = VirtualSpecimen(
    unit=VirtualUnit(
        name="Pellwick 20",
        rail_high=11.88,
        rail_low=-11.82,
        source_resistance=991.0,
        capacitance=0.4e-9,
        frequency=1003.1,
        duty=33.3,
        jitter=2.0e-7,
        output="always live",
        controller=Controller(senses_state=False),
        mains=230.9,
    ),
    lead=VirtualLead(
        conductor=conductor_of("clad_10", 1.93, nominal_mm2=2.5),
        earth=conductor_of("clad_10", 1.48, nominal_mm2=2.5),
        length=4.0,
        plug_joints={"L": 1.1e-3, "N": 1.4e-3, "PE": 1.2e-3},
        connector_joints={"L": 0.9e-3, "N": 0.8e-3, "PE": 1.0e-3},
        insulation_thickness=0.7e-3,
        sheath_thickness=1.0e-3,
    ),
    insulation=127.0e6,
    coding=219.0,
    stray=0.0,
    standby=(0.4, -1.0),
    wiring=_wiring("L", "joined"),
    seed=20,
)
"""A bare lead: a small generator in the connector tells the car 20 A on a 16 A plug, and nothing switches the pins.

Its conductors are clad aluminium, and thinner than the 2.5 mm² on its sheath."""

DUNMARR_32 = VirtualSpecimen(
    unit=VirtualUnit(
        name="Dunmarr 32",
        rail_high=12.11,
        rail_low=-10.6,
        source_resistance=997.0,
        capacitance=1.5e-9,
        frequency=998.6,
        duty=53.2,
        ripple=0.04,
        controller=Controller(
            checks_diode=False,
            watches_diode=False,
            notices_weld=False,
            monitors_supply_earth=False,
            stop_delay=0.06,
            energise_delay=0.08,
            de_energise_delay=0.225,
            unplug_delay=0.06,
            short_delay=0.06,
        ),
        relay=Relay(operate=0.02, release=0.015, spread=0.003, bounce=0.003),
        mains=230.2,
    ),
    lead=VirtualLead(
        conductor=conductor_of("copper", 5.83, nominal_mm2=6.0),
        earth=conductor_of("copper", 5.86, nominal_mm2=6.0),
        length=5.0,
        plug_joints={"L": 0.3e-3, "N": 0.4e-3, "PE": 0.4e-3},
        connector_joints={"L": 0.5e-3, "N": 9.6e-3, "PE": 0.5e-3},
    ),
    insulation=2.4e9,
    coding=221.0,
    stray=2.1,
    standby=(3.4, -14.0),
    wiring=_wiring("L", "open"),
    seed=32,
)
"""A wall unit for 32 A: its negative rail is weak, its controller opens 240 ms after the vehicle stopped asking, and it
does not look for the vehicle's diode, neither before closing nor after. The crimp of N in its vehicle connector is
loose."""
