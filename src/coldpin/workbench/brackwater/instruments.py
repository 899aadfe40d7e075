"""The instruments on the boatyard's shelf; their statements are those by which the virtual ones err."""

from __future__ import annotations

from collections.abc import Mapping

from coldpin.records.instrument import Instrument

INSTRUMENTS: Mapping[str, Instrument] = {
    "scope": Instrument(
        name="Tidepool 204 oscilloscope, ×10 probe, isolated sensor on the second channel",
        kind="oscilloscope",
        model="204",
        serial="T204-0931",
        calibrated="2025-09-18",
        statements={
            "voltage": "1 % of reading + 0.05 V + 8 bit on 40 V",
            "time": "50 ppm",
            "bandwidth": "20 MHz",
        },
    ),
    "recorder": Instrument(
        name="Gullwing pocket recorder",
        kind="oscilloscope without a screen",
        serial="GW-5510",
        calibrated="2025-09-18",
        statements={"voltage": "1 % of reading + 0.05 V", "time": "50 ppm"},
    ),
    "logger": Instrument(
        name="Limpet two-channel logger, isolated sensor on the second channel",
        kind="oscilloscope without a screen",
        serial="LP-0077",
        calibrated="2025-11-20",
        statements={"voltage": "0.5 % of reading + 0.02 V + 10 bit on 40 V", "time": "50 ppm"},
    ),
    "multimeter": Instrument(
        name="Kelpie 60 multimeter",
        kind="multimeter",
        serial="K60-22817",
        calibrated="2025-10-02",
        statements={
            "voltage": "0.8 % + 3 digits on 600 V, resolution 0.1 V",
            "resistance": "0.5 % + 2 digits on 2 kΩ, resolution 1 Ω",
        },
    ),
    "insulation tester": Instrument(
        name="Barnacle 500 insulation tester",
        kind="insulation tester",
        serial="B5-1174",
        calibrated="2025-10-02",
        statements={"insulation": "3 % + 5 digits on 999 MΩ, resolution 1 MΩ"},
    ),
    "milliohm meter": Instrument(
        name="Eelgrass milliohm meter, four-wire, 10 A",
        kind="milliohm meter",
        serial="EG-0408",
        calibrated="2025-10-02",
        statements={"resistance": "0.5 % + 2 digits on 2 Ω, resolution 0.001 Ω"},
    ),
    "low-ohm meter": Instrument(
        name="Samphire low-ohm meter, four-wire, reverses its current of 1 A",
        kind="milliohm meter",
        serial="SA-0219",
        calibrated="2025-11-20",
        statements={"resistance": "0.3 % + 2 digits on 200 mΩ, resolution 0.01 mΩ"},
    ),
    "scale": Instrument(
        name="Cockle pocket scale",
        kind="scale",
        serial="C500-71",
        calibrated="2025-11-20",
        statements={"mass": "0.1 % + 2 digits on 500 g, resolution 0.01 g"},
    ),
    "micrometer": Instrument(
        name="Winkle micrometer",
        kind="micrometer",
        serial="W25-3380",
        calibrated="2025-11-20",
        statements={"length": "2 digits on 25 mm, resolution 0.001 mm"},
    ),
    "temperature logger": Instrument(
        name="Saltmarsh logger, six thermocouples and a clamp",
        kind="temperature logger",
        serial="SM6-0152",
        calibrated="2025-11-20",
        statements={"temperature": "0.2 % + 0.4 °C, resolution 0.1 °C", "current": "0.2 %, resolution 0.01 A"},
    ),
    "power meter": Instrument(
        name="Driftwood single-phase power meter, logs",
        kind="power meter",
        serial="DW-1180",
        calibrated="2025-11-20",
        statements={
            "power": "0.5 % + 1 digit on 99 W, resolution 0.01 W",
            "current": "0.5 % + 1 digit, resolution 0.01 A",
            "voltage": "0.5 % + 1 digit, resolution 0.1 V",
        },
    ),
    "loop tester": Instrument(
        name="Fathom loop tester, for circuits of 30 mA",
        kind="loop tester",
        serial="FL-0663",
        calibrated="2025-11-20",
        statements={"loop impedance": "5 % + 3 digits on 9.99 Ω, resolution 0.01 Ω"},
    ),
    "residual current tester": Instrument(
        name="Razorbill tester of residual-current devices",
        kind="residual-current tester",
        serial="RB-2071",
        calibrated="2025-11-20",
        statements={
            "time": "2 % + 2 digits, resolution 1 ms",
            "residual current": "3 % + 2 digits, resolution 0.1 mA",
        },
    ),
    "direct current source": Instrument(
        name="Dulse source of direct current, isolated, limits itself to 250 mA at 6 V",
        kind="current source",
        serial="DU-0046",
        calibrated="2025-11-20",
        statements={"residual current": "0.5 % + 2 digits, resolution 0.01 mA"},
    ),
    "calliper": Instrument(
        name="Winkle calliper",
        kind="calliper",
        serial="W150-1207",
        calibrated="2025-11-20",
        statements={"length": "3 digits on 150 mm, resolution 0.01 mm"},
    ),
}
"""By the names that entries call them."""
