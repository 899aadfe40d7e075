"""What is said of a vehicle simulator beside its numbers: what never to leave bare, proof before use, switch order."""

from __future__ import annotations

WIRING = (
    "From the pilot through the diode and its switch (in, bridged, open) to R2 and R3 side by side, and from these to "
    "earth. What is 'across' goes straight from pilot to earth. 'low' and 'high' are the edges of what must be taken "
    "for a state; '−' and '+' change the whole load of a state by {percent}."
)
BUILD = (
    "R2 stays on while R3 is switched to it, or the unit sees an unplugging; a switch that changes R2 makes before it "
    "breaks."
)

NEVER_BARE = (
    (
        "Once the unit closes, the power contacts of the inlet are at mains. A proper inlet in an insulating box, its "
        "power contacts on nothing or on insulated sockets made for mains; no bare terminal, no crocodile clip."
    ),
    (
        "The pilot is referred to earth. If earth is lost, or the unit puts mains on the pilot, all of the circuit can "
        "stand at mains: insulating box, knobs and shafts, the switch that opens earth inside it, nobody and no "
        "metalwork touching it. Prove first that the pilot is not at mains."
    ),
    (
        "No car and no earthed object is ever joined to the box. A scope's clip goes to its earth socket only after "
        "the earth path is proved, and comes off before earth is opened."
    ),
)

ORDER = (
    "Box proved today, position A, unit off. Earth path proved; then power on.",
    "A, B, C, B, A with nominal loads. Wait in each until the unit has answered, at least as long as its limits allow.",
    "Edges and hysteresis: set the new load in B and go to C or D from there; note taken or not taken.",
    "Diode bridged in B, then C. Diode open while in C is an unplugging under power.",
    "Last the shorts: the one across the pilot after C or D was held for 5 s, then the one behind the diode.",
    "Back to A, unit off and unplugged, output proved dead, before the box is opened.",
)

DIODE = (
    "A small-signal silicon switching diode, anode to the pilot; no Schottky diode (its drop is too small), no mains "
    "rectifier (too slow)."
)
DIODE_FIGURES = (
    "Drop {least:g} V to {most:g} V from {low:.1f} mA to {high:.1f} mA; forward current {forward:.0f} mA or more; "
    "reverse voltage {reverse:.0f} V or more; reverse recovery at most {recovery} (standing: {standing})."
)
PROOF_RESISTANCE = (
    "Unplugged from everything, diode bridged, resistance range from pilot to earth: each position reads within the "
    "column 'Meter', the meter's own accuracy on top, and the same with the leads exchanged."
)
PROOF_DIODE = (
    "Diode in, short behind diode, diode range: about {drop:.1f} V with plus on the pilot, over range with the leads "
    "exchanged. Diode open: over range both ways, but for the resistor across."
)
PROOF_POWER = (
    "Every power contact to every other contact and to the outside of the box: over range on the highest resistance "
    "range. Earth contact to the earth socket: as good as the meter's own leads."
)

STATE_ASKS = {
    "A": "output off",
    "B": "output off",
    "C": "closes after its check of the diode",
    "D": "closes if ventilated, else refuses",
}
TAKEN = "must be taken for {state}"
HYSTERESIS_ASKS = "stays {state}, no chatter"
NO_DIODE_ASKS = "must not close, or must open"
OPEN_DIODE_ASKS = "A: opens within {limit}"
SHORT_ASKS = "E: opens within {limit}"
BEHIND_ASKS = "E too; the low level stays"

ONE_EDITION = "The loads at the edges are those of IEC 61851-1:2017; none are known for {edition}."
PARTS_FOR_PILOT = (
    "Heat is told resistor by resistor. It and the ratings are for the pilot alone, at {rail} and {source} with a "
    "factor of {factor:g} in hand (ours): they are no protection against mains."
)
FROM_INSIDE = "Loads at an edge are made from within the window; measure each and write down what it is."
