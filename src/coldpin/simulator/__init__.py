"""A virtual specimen and a virtual bench with faults, to test the analysis against; shares no formula with it."""

from coldpin.simulator.bench import Bench, set_up_bench
from coldpin.simulator.capture import SimulatedCapture, simulate_capture, simulate_waveform
from coldpin.simulator.conductor import VirtualConductor, VirtualPath, conductor_of, draw_conductor
from coldpin.simulator.conductor_bench import (
    ConductorBench,
    ConductorReadings,
    measure_conductor,
    set_up_conductor_bench,
)
from coldpin.simulator.controller import follow, output_voltage
from coldpin.simulator.course import Course, Response
from coldpin.simulator.export import STYLES, as_csv, as_npz
from coldpin.simulator.fault import FAULTS, Fault, fault, old_duty
from coldpin.simulator.load import BESIDES, LOADS, Schedule, repeated
from coldpin.simulator.meter import MeterRange, VirtualMeter
from coldpin.simulator.output import VirtualSensor
from coldpin.simulator.relay import Relay
from coldpin.simulator.safeguards import Controller, Windows
from coldpin.simulator.scope import VirtualScope
from coldpin.simulator.truth import CaptureTruth, TrueRun
from coldpin.simulator.unit import VirtualUnit, draw_unit
from coldpin.simulator.vehicle import VirtualVehicle, draw_vehicle
from coldpin.simulator.wire import WIRES, Wire, wire

__all__ = [
    "VirtualUnit",
    "Controller",
    "Windows",
    "Relay",
    "VirtualSensor",
    "draw_unit",
    "VirtualVehicle",
    "LOADS",
    "BESIDES",
    "repeated",
    "draw_vehicle",
    "VirtualScope",
    "VirtualMeter",
    "MeterRange",
    "Bench",
    "set_up_bench",
    "WIRES",
    "Wire",
    "wire",
    "VirtualConductor",
    "VirtualPath",
    "conductor_of",
    "draw_conductor",
    "ConductorBench",
    "ConductorReadings",
    "set_up_conductor_bench",
    "measure_conductor",
    "Schedule",
    "simulate_capture",
    "simulate_waveform",
    "SimulatedCapture",
    "CaptureTruth",
    "TrueRun",
    "output_voltage",
    "follow",
    "Course",
    "Response",
    "FAULTS",
    "Fault",
    "fault",
    "old_duty",
    "STYLES",
    "as_csv",
    "as_npz",
]
