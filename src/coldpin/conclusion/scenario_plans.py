"""The injury scenarios: each a chain of conditional steps, with what it ends in."""

from __future__ import annotations

from coldpin.conclusion.scenario_steps import (
    BARE,
    DAMAGE,
    FINGER,
    FIRE,
    FULL_CURRENT,
    HEART,
    LASTS,
    OWN_RESIDUAL,
    PINS_LIVE,
    SHOCK,
    SHOCK_BEHIND_UNIT,
    UNCOUPLED,
    UPSTREAM,
    UPSTREAM_AFTER_OWN,
    WAY,
    Ends,
    ScenarioPlan,
    StepKind,
    StepPlan,
)
from coldpin.records.scenario import Upstream, Weather

ELECTROCUTION, BURNED_DOWN = "electrocution", "death by fire or smoke"
FATAL_SEVERITY, DOCTOR, FIRST_AID = 4, 2, 1

STARTLE = StepPlan(id="startle-fall", text="Who is startled falls or strikes something.", otherwise=Ends.STARTLED)

AT_THE_CONNECTOR = (
    "conductor-joints.connector-side",
    "plug-heating.connector",
    "plug-heating.pin",
    "construction.crimps",
)
"""Findings of heat that say nothing of the terminals of a fixed unit's supply: it has no plug, and its pins are those
of the connector; crimps are looked at where it was opened, and those of the building are not of it."""

SCENARIOS: tuple[ScenarioPlan, ...] = (
    ScenarioPlan(
        id="touch-live-pins",
        title="Touching the live pins of a connector that is plugged into nothing",
        injury=ELECTROCUTION,
        severity=FATAL_SEVERITY,
        steps=(UNCOUPLED, PINS_LIVE, FINGER, *SHOCK),
    ),
    ScenarioPlan(
        id="live-pins-in-rain",
        title="Live pins of an uncoupled connector in rain or in a puddle",
        injury=ELECTROCUTION,
        severity=FATAL_SEVERITY,
        steps=(
            UNCOUPLED,
            PINS_LIVE,
            StepPlan(id="rained-on", text="The open connector lies in rain or a puddle.", by=("place",)),
            StepPlan(id="water-bridges", text="Water joins a live pin to a hand or to the ground under somebody."),
            *SHOCK,
        ),
        given={"weather": Weather.WET},
    ),
    ScenarioPlan(
        id="water-taken-for-car",
        title="Water in the connector is taken for a car",
        injury=ELECTROCUTION,
        severity=FATAL_SEVERITY,
        steps=(
            UNCOUPLED,
            StepPlan(id="rained-on", text="The open connector lies in rain or a puddle.", by=("place",)),
            StepPlan(
                id="water-taken-for-car",
                text="The unit takes the water for a car and makes the pins live.",
                functions=("vehicle-recognition",),
            ),
            FINGER,
            *SHOCK,
        ),
        given={"weather": Weather.WET},
    ),
    ScenarioPlan(
        id="object-poked-in",
        title="Something that conducts is put into the open connector",
        injury=ELECTROCUTION,
        severity=FATAL_SEVERITY,
        steps=(
            UNCOUPLED,
            PINS_LIVE,
            StepPlan(
                id="object-poked",
                text="Something that conducts is put in, meets a live pin and is held.",
                by=("person",),
                functions=("access-protection",),
            ),
            *SHOCK,
        ),
    ),
    ScenarioPlan(
        id="damage-behind-device",
        title="Damaged cable, or water inside, with a residual-current device before the socket",
        on_wall="Damaged cable, or water inside, with a residual-current device before the unit",
        injury=ELECTROCUTION,
        severity=FATAL_SEVERITY,
        steps=(
            DAMAGE,
            BARE,
            *SHOCK_BEHIND_UNIT,
        ),
        given={"upstream": Upstream.FITTED},
    ),
    ScenarioPlan(
        id="damage-without-device",
        title="Damaged cable, or water inside, with no residual-current device before the socket",
        on_wall="Damaged cable, or water inside, with no residual-current device before the unit",
        injury=ELECTROCUTION,
        severity=FATAL_SEVERITY,
        steps=(
            DAMAGE,
            BARE,
            *SHOCK_BEHIND_UNIT,
        ),
        given={"upstream": Upstream.NONE},
    ),
    ScenarioPlan(
        id="line-on-body",
        title="A line lies on the earth pin, and so on the car's body",
        injury=ELECTROCUTION,
        severity=FATAL_SEVERITY,
        steps=(
            StepPlan(
                id="line-on-body",
                text="A line is joined to the earth that leads to the car's body.",
                functions=("wiring",),
                sure=("wiring.live-earth",),
                kept=("wiring.earth-through", "wiring.live-earth", "live-pins.state-c"),  # closed it would be a short
            ),
            StepPlan(
                id="car-touched", text="Somebody touches the car and the ground while it charges.", by=("weather",)
            ),
            UPSTREAM,
            LASTS,
            HEART,
        ),
    ),
    ScenarioPlan(
        id="earth-lost",
        title="The earth is lost, and the car's body is live by a fault in the car",
        injury=ELECTROCUTION,
        severity=FATAL_SEVERITY,
        steps=(
            StepPlan(
                id="earth-lost",
                text="The earth through the lead to the car is lost.",
                functions=("protective-earth",),
                sure=("wiring.earth-through",),
            ),
            StepPlan(id="loss-unnoticed", text="The unit does not switch off for it.", functions=("earth-monitoring",)),
            StepPlan(
                id="car-touched", text="Somebody touches the car and the ground while it charges.", by=("weather",)
            ),
            StepPlan(
                id="car-insulation-lost",
                text="Insulation in the car gives way to its body.",
                otherwise=Ends.STARTLED,
            ),
            OWN_RESIDUAL,
            UPSTREAM_AFTER_OWN,
            LASTS,
            HEART,
        ),
    ),
    ScenarioPlan(
        id="broken-pen",
        title="The supply's combined earth and neutral breaks with the car outdoors",
        injury=ELECTROCUTION,
        severity=FATAL_SEVERITY,
        steps=(
            StepPlan(id="pen-supply", text="Earth and neutral of the supply are one conductor.", by=("earthing",)),
            StepPlan(id="pen-breaks", text="It breaks, and the earth of the house becomes live."),
            StepPlan(
                id="pen-unnoticed",
                text="The unit keeps that earth joined to the car.",
                functions=("supply-earth-monitoring",),
            ),
            StepPlan(id="car-outdoors", text="The car stands where the ground is earth.", by=("place",)),
            StepPlan(
                id="car-touched", text="Somebody touches the car and the ground while it charges.", by=("weather",)
            ),
            LASTS,
            HEART,
        ),
    ),
    ScenarioPlan(
        id="direct-current-blinds",
        title="Smooth direct current from the car blinds the house's own protection",
        injury=ELECTROCUTION,
        severity=FATAL_SEVERITY,
        steps=(
            StepPlan(id="direct-current-leaks", text="The car leaks more than 6 mA of smooth direct current."),
            StepPlan(
                id="direct-current-stands",
                text="The unit does not switch off for it.",
                functions=("residual-smooth",),
            ),
            StepPlan(
                id="device-blinded",
                text="The device before the socket no longer acts with it.",
                on_wall="The device before the unit no longer acts with it.",
                by=("residual_type",),
            ),
            StepPlan(
                id="second-fault", text="Meanwhile something else in the house goes wrong and somebody touches it."
            ),
            WAY,
            LASTS,
            HEART,
        ),
        needs_device=True,
    ),
    ScenarioPlan(
        id="half-waves-unnoticed",
        title="Half waves of current to earth go unnoticed, and somebody touches what they come from",
        injury=ELECTROCUTION,
        severity=FATAL_SEVERITY,
        steps=(
            StepPlan(
                id="half-waves-flow",
                text="A fault behind a rectifier in the car makes a part live, in half waves, that is touched.",
            ),
            WAY,
            StepPlan(
                id="half-waves-stand",
                text="The unit does not switch off for half waves.",
                functions=("residual-pulsating",),
                otherwise=Ends.CUT_BY_UNIT,
            ),
            StepPlan(
                id="upstream-half-waves",
                text="Nor does one before the socket: there is none, it does not act, or its type sees no half waves.",
                on_wall="Nor does one before the unit: there is none, it does not act, or its type sees no half waves.",
                otherwise=Ends.JOLTED,
                kind=StepKind.UPSTREAM,
                common_with="half-waves-stand",
                blind="half-waves-unseen",
            ),
            LASTS,
            HEART,
        ),
    ),
    ScenarioPlan(
        id="mains-on-pilot",
        title="The mains gets onto the pilot wire",
        injury=ELECTROCUTION,
        severity=FATAL_SEVERITY,
        steps=(
            StepPlan(
                id="mains-on-pilot",
                text="The mains gets onto the pilot.",
                functions=("pilot-separation",),
                sure=("wiring.pilot-alone",),
            ),
            StepPlan(
                id="pilot-touched", text="A hand touches the pilot's pin, or what it leads to in the car, meanwhile."
            ),
            *SHOCK_BEHIND_UNIT,
        ),
    ),
    ScenarioPlan(
        id="plug-burns",
        title="Plug or socket overheats and sets fire to the building",
        injury=BURNED_DOWN,
        severity=FATAL_SEVERITY,
        steps=(
            FULL_CURRENT,
            StepPlan(
                id="plug-hot",
                text="Plug or socket gets hot enough to char.",
                functions=("heating", "current-offer"),
            ),
            *FIRE,
        ),
        mated=True,
    ),
    ScenarioPlan(
        id="terminal-burns",
        title="A terminal of the supply overheats and sets fire to the building",
        injury=BURNED_DOWN,
        severity=FATAL_SEVERITY,
        steps=(
            FULL_CURRENT,
            StepPlan(
                id="terminal-hot",
                text="A terminal at which the supply is joined gets hot enough to char.",
                functions=("heating", "current-offer"),
                elsewhere=AT_THE_CONNECTOR,
            ),
            *FIRE,
        ),
        fixed=True,
    ),
    ScenarioPlan(
        id="joint-burns",
        title="A joint inside overheats and sets fire to the building",
        injury=BURNED_DOWN,
        severity=FATAL_SEVERITY,
        steps=(
            FULL_CURRENT,
            StepPlan(id="joint-hot", text="A joint inside gets hot enough to char.", functions=("heating",)),
            *FIRE,
        ),
    ),
    ScenarioPlan(
        id="coil-burns",
        title="The cable, left coiled, overheats and sets fire to the building",
        injury=BURNED_DOWN,
        severity=FATAL_SEVERITY,
        steps=(
            FULL_CURRENT,
            StepPlan(id="left-coiled", text="The cable is left coiled.", by=("person",)),
            StepPlan(id="coil-hot", text="The coil gets hot enough to char.", functions=("heating", "conductor")),
            *FIRE,
        ),
    ),
    ScenarioPlan(
        id="adaptor-chain",
        title="An adaptor to a smaller socket overheats and sets fire to the building",
        injury=BURNED_DOWN,
        severity=FATAL_SEVERITY,
        steps=(
            StepPlan(id="adaptor-used", text="It is used behind an adaptor to a smaller socket.", by=("person",)),
            StepPlan(
                id="offer-not-lowered", text="The current is not set lower for it.", functions=("current-setting",)
            ),
            FULL_CURRENT,
            StepPlan(id="smaller-socket-hot", text="The smaller socket or the adaptor gets hot enough to char."),
            *FIRE,
        ),
        plugged=True,
    ),
    ScenarioPlan(
        id="circuit-overloaded",
        title="A smaller or worn circuit is overloaded and sets fire to the building",
        injury=BURNED_DOWN,
        severity=FATAL_SEVERITY,
        steps=(
            StepPlan(
                id="smaller-circuit",
                text="The circuit is smaller than the plug, worn, or carries other loads.",
                on_wall="The circuit is made for less than the unit draws, worn, or carries other loads.",
                by=("circuit",),
            ),
            StepPlan(
                id="offer-not-lowered", text="The current is not set lower for it.", functions=("current-setting",)
            ),
            FULL_CURRENT,
            StepPlan(
                id="breaker-does-not-act",
                text="The breaker does not act, or not before a worn joint of the house chars.",
            ),
            *FIRE,
        ),
    ),
    ScenarioPlan(
        id="fault-burns-cable",
        title="Line meets earth in the car, and the cable chars before the breaker acts",
        injury=BURNED_DOWN,
        severity=FATAL_SEVERITY,
        steps=(
            StepPlan(id="fault-in-car", text="Line meets earth in the car or at the end of the cable."),
            StepPlan(
                id="cable-burns-through",
                text="The cable chars before the breaker acts.",
                functions=("fault-withstand",),
            ),
            *FIRE,
        ),
    ),
    ScenarioPlan(
        id="tracking-inside",
        title="Current tracks between line, neutral and earth inside and sets fire to the building",
        injury=BURNED_DOWN,
        severity=FATAL_SEVERITY,
        steps=(
            StepPlan(
                id="tracks-inside",
                text="Current tracks between line, neutral and earth inside until it chars.",
                functions=("pole-separation",),
            ),
            *FIRE,
        ),
    ),
    ScenarioPlan(
        id="welded-contact",
        title="A contact welds, and the pins stay live after the charge",
        injury=ELECTROCUTION,
        severity=FATAL_SEVERITY,
        steps=(
            StepPlan(id="contact-welds", text="A contact stays closed."),
            StepPlan(id="weld-unnoticed", text="The unit does not notice.", functions=("contact-monitoring",)),
            StepPlan(id="weld-in-line", text="It is in a live pole, or the other pole's stays closed with it."),
            UNCOUPLED,
            FINGER,
            *SHOCK,
        ),
        needs=("supply-switching",),
    ),
    ScenarioPlan(
        id="supply-returns",
        title="The supply returns while the connector lies uncoupled",
        injury=ELECTROCUTION,
        severity=FATAL_SEVERITY,
        steps=(
            StepPlan(id="supply-returns", text="The supply is lost and returns while the connector lies uncoupled."),
            StepPlan(
                id="live-after-return",
                text="The pins are live then.",
                functions=("restart",),
                sure=("supply-return.uncoupled", "live-pins.uncoupled", "wiring.switched"),
            ),
            FINGER,
            *SHOCK,
        ),
    ),
    ScenarioPlan(
        id="parted-under-load",
        title="Plug or connector is pulled while current flows",
        on_wall="The connector is pulled while current flows",
        injury="a burn of the hand or the eyes that needs a doctor",
        severity=DOCTOR,
        steps=(
            StepPlan(
                id="pulled-under-load",
                text="The plug is pulled while current flows, or the connector where the car's lock does not hold.",
                on_wall="The connector is pulled while current flows, where the car's lock does not hold.",
            ),
            StepPlan(
                id="not-off-before-parting",
                text="The current is not gone before the contacts part.",
                functions=("timely-opening",),
            ),
            StepPlan(id="arc-reaches-hand", text="The arc reaches the hand."),
            StepPlan(id="arc-burn-grave", text="The burn needs a doctor.", otherwise=Ends.STARTLED),
        ),
    ),
    ScenarioPlan(
        id="ill-used",
        title="Dropped, driven over, or hanging by its plug: a live part comes within reach",
        on_wall="Struck, driven over, or torn from its wall: a live part comes within reach",
        injury=ELECTROCUTION,
        severity=FATAL_SEVERITY,
        steps=(
            StepPlan(
                id="ill-used",
                text="It is dropped, driven over, or hangs by its plug.",
                on_wall="It is struck or torn from its wall, or its cable is driven over.",
            ),
            StepPlan(id="housing-opens", text="Its housing opens or gives way."),
            StepPlan(
                id="live-part-near",
                text="A live part comes within reach of a finger.",
                functions=("touch-separation",),
            ),
            BARE,
            *SHOCK,
        ),
    ),
    ScenarioPlan(
        id="hanging-plug-burns",
        title="A unit that hangs by its plug loosens a contact, which sets fire to the building",
        injury=BURNED_DOWN,
        severity=FATAL_SEVERITY,
        steps=(
            StepPlan(id="ill-used", text="It hangs by its plug."),
            FULL_CURRENT,
            StepPlan(id="contact-loosened", text="Its weight loosens a contact in the socket until it chars."),
            *FIRE,
        ),
        plugged=True,
    ),
    ScenarioPlan(
        id="charged-plug",
        title="Current or charge reaches the hand from the housing or a drawn plug",
        injury="a fall or a blow after a startle",
        severity=DOCTOR,
        steps=(
            StepPlan(id="plug-drawn-touched", text="The pins of the plug are touched just after it was drawn."),
            StepPlan(
                id="charge-left",
                text="A charge that is felt is left on it, or current reaches the hand.",
                functions=("touch-protection",),
            ),
            STARTLE,
        ),
        plugged=True,
    ),
    ScenarioPlan(
        id="charged-housing",
        title="Current reaches the hand from the housing",
        injury="a fall or a blow after a startle",
        severity=DOCTOR,
        steps=(
            StepPlan(id="housing-touched", text="The housing, or metal on it, is touched by somebody on the ground."),
            StepPlan(
                id="current-in-hand",
                text="A current that is felt reaches the hand.",
                functions=("touch-protection",),
            ),
            STARTLE,
        ),
        fixed=True,
    ),
)
"""The scenarios, those of shock at the open connector first."""
