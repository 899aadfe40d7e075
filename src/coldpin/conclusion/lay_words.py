"""What is good and what is not, of every check and function, as a lay viewer would say it.

Each is two clauses: how it should be, and how it is where it is not so. Which of them is said follows from the outcome.
"""

from __future__ import annotations

from collections.abc import Mapping

from coldpin.records.function import ProtectiveFunction

Clauses = tuple[str, str]
"""How it should be, and how it is where it is not so."""

OF_FUNCTIONS: Mapping[str, Clauses] = {
    "protective-earth": ("the earth reaches the car's body", "the earth does not reach the car's body as it should"),
    "fault-withstand": ("the lead would survive a fault until the fuse acts", "the lead may not survive a fault"),
    "conductor": ("the wires are as thick as marked", "the wires are thinner, or of another metal, than marked"),
    "heating": ("cable and plug stay cool enough", "cable, plug or a joint gets hotter than it should"),
    "wiring": ("every wire leads where it belongs", "a wire leads where it does not belong"),
    "supply-switching": (
        "the pins at the car's end stay dead until a car asks for power",
        "the pins at the car's end are live although no car asks for power",
    ),
    "timely-opening": ("the power is cut in time", "the power is not cut in time"),
    "vehicle-recognition": ("it tells a car from water or a toy", "it takes something that is no car for one"),
    "diode-monitoring": ("it goes on looking whether it is still a car", "it does not go on looking for the car"),
    "state-recognition": (
        "it understands a car at the edge of what is allowed",
        "it may misunderstand a car at the edge of what is allowed",
    ),
    "orderly-stop": (
        "it lets the car stop before it cuts the power",
        "it does not let the car stop before it cuts the power",
    ),
    "stopping": ("a user can end a charge", "a user cannot simply end a charge"),
    "restart": ("nothing becomes live by itself after a power cut", "pins become live by themselves after a power cut"),
    "contact-monitoring": ("it notices a switch that has stuck", "it does not notice a switch that has stuck"),
    "pilot-signal": ("its signal to the car is right", "its signal to the car is not right"),
    "current-offer": (
        "it asks for no more current than its plug, cable and plate are rated for",
        "it asks for more current than its plug, cable or plate is rated for",
    ),
    "pilot-separation": (
        "the mains is kept away from the thin wire that a hand can touch",
        "the mains comes too near to the thin wire that a hand can touch",
    ),
    "access-protection": (
        "nothing live can be reached from outside",
        "something live can be reached from outside",
    ),
    "ingress-protection": ("water and dust stay out", "water or dust get in"),
    "touch-separation": (
        "the mains inside is far from what you touch",
        "the mains inside comes near to what you touch",
    ),
    "pole-separation": ("the live wires inside are kept apart", "the live wires inside come too near to each other"),
    "touch-protection": (
        "little current or charge reaches your hand",
        "more current or charge than there should be can reach your hand",
    ),
    "residual-current": ("it cuts the power when current leaks", "it does not cut the power when current leaks"),
    "residual-pulsating": ("it notices the leaks a car's charger makes", "it misses leaks that a car's charger makes"),
    "residual-smooth": (
        "it notices the leak that makes the protection of a house blind",
        "it misses the leak that makes the protection of a house blind",
    ),
    "earth-monitoring": ("it stops when the earth to the car breaks", "it goes on when the earth to the car breaks"),
    "supply-earth-monitoring": ("it refuses a socket without earth", "it works on a socket without earth"),
    "current-setting": ("the current can be turned down and stays so", "the current cannot be relied on to stay down"),
}
"""Of every protective function."""

OF_PRACTICE: Mapping[str, str] = {
    "contact-monitoring": "a watch for a switch that has stuck",
    "diode-monitoring": "a watch on the car while it charges",
    "stopping": "a way for its user to end a charge",
    "supply-earth-monitoring": "a watch on the earth of the supply",
}
"""What is good practice and no duty: of every protective function that no text known to us asks for."""


def practice_of(function: ProtectiveFunction) -> str:
    """Say of a function that is good practice alone that it is so, by what it would do.

    Parameters
    ----------
    function : ProtectiveFunction
        As judged, and not there or not as it should be.

    Returns
    -------
    str
        A sentence with a space before it; empty where the function is a duty.

    Examples
    --------
    >>> from coldpin.records.function import FunctionState
    >>> told = ProtectiveFunction(
    ...     id="stopping", title="t", question="q", state=FunctionState.SHOWN_ABSENT, reach=None, findings=(),
    ...     because="", duty=False)
    >>> practice_of(told)
    ' A way for its user to end a charge would be good practice; no text known to us asks for it.'
    """
    if function.duty:
        return ""
    named = OF_PRACTICE.get(function.id, f"“{function.title}”")
    return f" {named[:1].upper()}{named[1:]} would be good practice; no text known to us asks for it."


OF_CHECKS: Mapping[str, Clauses] = {
    "markings": ("what was looked for stands on plate or papers", "something was not found on plate or papers"),
    "wiring": OF_FUNCTIONS["wiring"],
    "earth-resistance": ("the earth wire conducts well", "the earth wire conducts badly"),
    "live-access": OF_FUNCTIONS["access-protection"],
    "ingress-claim": (
        "nothing seen speaks against its claim of water and dust",
        "what was seen speaks against its claim",
    ),
    "pilot-insulation": ("no mains leaks to the thin wire", "mains leaks to the thin wire"),
    "housing-insulation": ("no mains leaks to the housing", "mains leaks to the housing"),
    "contact-insulation": ("nothing leaks through the open switch", "something leaks through the open switch"),
    "cable-rating": ("the cable is thick enough for its current", "the cable is too thin for its current"),
    "coding": ("the cable tells the car no more than it bears", "more is offered than the cable says it bears"),
    "coding-print": ("coding and print of the cable agree", "the cable says more to the car than on its print"),
    "section-print": ("the thickness sold is the one printed", "the thickness sold is not the one printed"),
    "coding-section": ("its thickness is the usual one", "it is thinner than usual"),
    "conductor-resistance": OF_FUNCTIONS["conductor"],
    "conductor-joints": ("the joints inside are good", "a joint inside is bad and gets hot"),
    "voltage-drop": ("little voltage is lost in the lead", "too much voltage is lost in the lead"),
    "fault-withstand": OF_FUNCTIONS["fault-withstand"],
    "overload": ("the fuse protects the cable", "the fuse may let the cable overheat"),
    "current-path": ("no part is asked for more than it is rated for", "a part is asked for more than it is rated for"),
    "plug-practice": (
        "it is sold for what such a plug bears for hours",
        "it is sold for more than such a plug bears for hours",
    ),
    "length-variants": ("longer ones hold the claim as well", "longer ones do not hold the claim"),
    "earth-continuity": ("the joints of the earth are good", "a joint of the earth is bad"),
    "temperature-rise": ("the cable stays cool enough to touch", "the cable gets too hot to touch"),
    "plug-heating": ("plug and connector stay cool enough", "plug, pin or connector gets too hot"),
    "conductor-hot-resistance": ("the metal inside stays cool enough", "the metal inside gets too hot"),
    "cable-comparison": ("it warms no more than a known cable", "it warms more than a known cable of its size"),
    "fault-loop": ("the fuse would cut a fault off in time", "the fuse would not cut a fault off in time"),
    "live-pins": OF_FUNCTIONS["supply-switching"],
    "supply-return": OF_FUNCTIONS["restart"],
    "pilot-levels": ("its signal has the right voltages", "its signal has a wrong voltage"),
    "pilot-ripple": ("its signal is clean", "its signal is not clean"),
    "pilot-glitches": ("its signal has no slips", "its signal slips now and then"),
    "pilot-edges": ("its signal is quick enough", "its signal is too slow"),
    "source-resistance": ("cars can answer its signal", "cars may not be able to answer its signal"),
    "pilot-frequency": ("its signal has the right beat", "its signal has a wrong beat"),
    "idle-oscillator": ("it rests while no car is there", "it does not rest while no car is there"),
    "pilot-duty": ("it tells the car the current it means", "it tells the car another current than it means"),
    "pilot-meaning": ("the car understands what it may draw", "the car is told something that must not be said"),
    "offer-steady": ("what it tells the car stays the same", "what it tells the car wanders"),
    "offer-interval": ("it gives the car time to follow", "it changes its mind faster than a car follows"),
    "current-setting": OF_FUNCTIONS["current-setting"],
    "offer-plug": ("it asks no more of its plug than it bears", "it asks more of its plug than it bears"),
    "offer-rating": ("it tells the car no more than its plate says", "it tells the car more than its plate says"),
    "offer-country": ("it offers what such a plug bears for hours", "it offers more than such a plug bears for hours"),
    "pilot-diode": ("it can see that it is a car", "it cannot see that it is a car"),
    "diode-before-closing": OF_FUNCTIONS["vehicle-recognition"],
    "recognition-boundaries": OF_FUNCTIONS["state-recognition"],
    "recognition-thresholds": ("it does not waver between yes and no", "it may waver between yes and no"),
    "plugged-in-asking": ("a car that asks at once is served", "a car that asks at once is not served"),
    "wake-up": ("it is not fooled by a wake-up call", "it takes a wake-up call for a request"),
    "live-states": OF_FUNCTIONS["supply-switching"],
    "closing": ("it gives power soon enough", "it gives power too late"),
    "opening": OF_FUNCTIONS["timely-opening"],
    "opening-unplugged": ("the power is cut in time when unplugged", "the power is not cut in time when unplugged"),
    "ventilation": ("it refuses a car that needs a fan", "it serves a car that needs a fan it does not have"),
    "offer-withdrawal": OF_FUNCTIONS["orderly-stop"],
    "pilot-short": ("it cuts the power when its signal is shorted", "it goes on when its signal is shorted"),
    "diode-loss": OF_FUNCTIONS["diode-monitoring"],
    "fault-state": ("it tells the car when it is out of order", "it does not tell the car that it is out of order"),
    "restart": ("it goes on for a car that still asks", "it does not go on for a car that still asks"),
    "socket-release": ("its socket lets go in time", "its socket does not let go in time"),
    "earth-loss": OF_FUNCTIONS["earth-monitoring"],
    "earth-missing": OF_FUNCTIONS["supply-earth-monitoring"],
    "residual-alternating": OF_FUNCTIONS["residual-current"],
    "residual-pulsating": OF_FUNCTIONS["residual-pulsating"],
    "residual-smooth": OF_FUNCTIONS["residual-smooth"],
    "held-contact": OF_FUNCTIONS["contact-monitoring"],
    "plug-discharge": ("the drawn plug does not sting", "the drawn plug may sting"),
    "touch-current": ("little current reaches a hand on car or housing", "a current can be felt on car or housing"),
    "standby-power": ("it draws little while idle", "it draws more than usual while idle"),
    "session-current": ("the car drew what it was offered", "the car drew more than it was offered"),
    "offer-followed": ("the car followed a lower offer", "the car did not follow a lower offer in time"),
    "session-interruption": ("what follows a power cut was seen", "a power cut is followed by something unwanted"),
    "session-stop": OF_FUNCTIONS["stopping"],
    "conductor-metal": ("the wires are copper", "the wires are not copper"),
    "pilot-distance": OF_FUNCTIONS["pilot-separation"],
    "low-voltage-distance": (
        "the mains is kept away from its electronics",
        "the mains comes too near to its electronics",
    ),
    "bridging-parts": ("parts across the barrier leave room", "parts across the barrier leave too little room"),
    "floating-parts": ("nothing loose narrows the barrier", "something loose narrows the barrier"),
    "unused-pins": ("nothing useless is left in the barrier", "something useless is left in the barrier"),
    "pole-distance": OF_FUNCTIONS["pole-separation"],
    "earth-distance": ("the mains is kept apart from the earth inside", "the mains comes too near to the earth inside"),
    "surface-distance": OF_FUNCTIONS["touch-separation"],
    "parts-inside": ("the parts inside are of the right kind", "a part inside is missing, or of the wrong kind"),
    "construction": ("it is put together soundly", "it is not put together soundly"),
    "protective-impedance": ("each resistor to the hand is enough alone", "one resistor alone stands before a hand"),
    "electric-strength": ("the insulation held its test", "the insulation did not hold its test"),
}
"""Of every check; a finding with a plain sentence of its own is said by that."""

OF_FINDINGS: Mapping[str, Clauses] = {
    "markings.agree": ("the same ratings stand everywhere", "two places say different ratings"),
    "wiring.switched": (
        "the poles are open while it has no power",
        "a wire goes straight through to the car's end, with nothing that switches it off",
    ),
    "wiring.pilot-alone": (
        "the thin wire to the car is joined to nothing but its electronics",
        "the thin wire to the car is joined to something else",
    ),
}
"""Of findings of which the words of their check would say something else."""
