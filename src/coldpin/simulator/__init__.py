"""A virtual specimen and a virtual bench with faults, to test the analysis against; shares no formula with it."""

from coldpin.simulator.bench import Bench, set_up_bench
from coldpin.simulator.capture import SimulatedCapture, simulate_capture
from coldpin.simulator.controller import Schedule, output_voltage
from coldpin.simulator.export import STYLES, as_csv
from coldpin.simulator.fault import FAULTS, Fault, fault, old_duty
from coldpin.simulator.meter import MeterRange, VirtualMeter
from coldpin.simulator.scope import VirtualScope
from coldpin.simulator.truth import CaptureTruth, TrueRun
from coldpin.simulator.unit import Controller, VirtualUnit, draw_unit
from coldpin.simulator.vehicle import LOADS, VirtualVehicle, draw_vehicle

__all__ = [
    "VirtualUnit",
    "Controller",
    "draw_unit",
    "VirtualVehicle",
    "LOADS",
    "draw_vehicle",
    "VirtualScope",
    "VirtualMeter",
    "MeterRange",
    "Bench",
    "set_up_bench",
    "Schedule",
    "simulate_capture",
    "SimulatedCapture",
    "CaptureTruth",
    "TrueRun",
    "output_voltage",
    "FAULTS",
    "Fault",
    "fault",
    "old_duty",
    "STYLES",
    "as_csv",
]
