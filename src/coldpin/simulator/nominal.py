"""Nominal values of the virtual bench: its own, so that no slip in the tables can hide in both places.

They are the makings of an ordinary specimen, not limits: nothing is judged by them. Each says where it comes from;
the tests of this package compare the levels they lead to with tolerance corners computed elsewhere.
"""

from __future__ import annotations

RAIL = 12.0
"""Rails of the pilot's driver, plus and minus. [V] The value every description of the control pilot starts from."""

SOURCE_RESISTANCE = 1000.0
"""Resistance between driver and pilot. [Ω] The 1 kΩ of the same descriptions; 1 % parts are usual."""

FREQUENCY = 1000.0
"""Oscillator. [Hz] A crystal or a microcontroller's own clock, so good to a few thousand ppm at worst."""

DRIVER_EDGE = 1.0e-6
"""Time the driver takes from rail to rail. [s] An operational amplifier of about 20 V/µs."""

UNIT_CAPACITANCE = 1.1e-9
"""Unit and five metres of cable from pilot to earth. [F] A 300 pF filter and about 160 pF per metre, rounded."""

VEHICLE_CAPACITANCE = 1.0e-9
"""Filter at the vehicle's inlet or in its stand-in. [F] A 1 nF part is the usual choice."""

R2 = 2740.0
"""Load that says "connected". [Ω] E96 value of every vehicle stand-in."""

R3_C = 1300.0
"""Load switched in parallel to ask for power. [Ω] E24 value."""

R3_D = 270.0
"""The same where ventilation is wanted. [Ω] E12 value."""

PILOT_SHORT = 80.0
"""Resistor that stands for a shorted pilot on a test box. [Ω]"""

DIODE_SATURATION = 2.52e-9
"""Saturation current of a small fast silicon diode, as its common circuit model has it. [A]"""

DIODE_EMISSION = 1.752
"""Emission coefficient of the same model. [1]"""

THERMAL_VOLTAGE = 0.02585
"""k·T/q at 27 °C, the temperature circuit simulators assume. [V]"""

MAINS = 230.0
"""Supply at the bench, r.m.s. [V]"""

MAINS_FREQUENCY = 50.0
"""[Hz]"""

PROBE_RESISTANCE = 10.0e6
"""Input of a ×10 probe. [Ω]"""

PROBE_CAPACITANCE = 12.0e-12
"""Input of a ×10 probe. [F]"""

RELAY_OPERATE = 0.012
"""Time from a driven coil to the first touch. [s] Data sheets of 32 A printed-board relays say 10 ms to 20 ms."""

RELAY_RELEASE = 0.008
"""Time from a coil let go to parted contacts. [s] The same data sheets say 5 ms to 10 ms, with a diode at the coil."""

STRAY_PART = 0.15
"""Part of the supply that shows between the pins with one pole closed. [1] Cable against a sensor of 10 MΩ."""

COIL = 12.0
"""Coil of the relay. [V]"""

DRIVER_COLLAPSE = 2.0e-5
"""Time in which the driver goes or comes with the supply. [s] A supervisor switches it before its rails sag."""

HYSTERESIS = 0.02
"""By how much of the rail a level must pass a threshold before the unit believes it. [1] A quarter of a volt."""

OUTPUT_LEAKAGE = 10.0e6
"""What discharges the output where no part is fitted for it: sensor and insulation. [Ω]"""
