"""Tests as the ranking sees them, each of one check that bears on one function."""

from __future__ import annotations

from dataclasses import replace

from coldpin.conclusion import PLANS
from coldpin.conclusion.safety_order import BEFORE_MAINS, BEFORE_SIMULATOR
from coldpin.records.case import Build, Cable, Electronics, UnitClass
from coldpin.records.plan import Stage, TestBearing, TestOption
from tests.conclusion.findings import found

UNIT = UnitClass(charging_mode=2, build=Build.PORTABLE, cable=Cable.ATTACHED, electronics=Electronics.IN_CABLE)
HALF = {"other": 0.5}


def option(name: str, function: str, stage: Stage = Stage.DEAD, minutes: int = 10, **more: object) -> TestOption:
    """A test of one check that bears on one function."""
    made = TestOption(
        test=name,
        title=name,
        question=f"{name}?",
        stage=stage,
        live=stage in (Stage.MAINS, Stage.SIMULATOR, Stage.CAR),
        minutes=minutes,
        checks=(name,),
        open=(name,),
        answers=tuple(asked for plan in PLANS for asked in plan.asks if asked.startswith(f"{name}.")),
        bearings=(
            TestBearing(check=name, function=function, within_if_works=0.9, within_if_not=0.2, source="judgement"),
        ),
    )
    return replace(made, **more)  # type: ignore[arg-type]  # fields by name


EARTH = option("earth-resistance", "protective-earth")
PINS = option("live-pins", "supply-switching", Stage.MAINS)
LEVELS = option("pilot-levels", "pilot-signal", Stage.SIMULATOR)
HEATING = option("temperature-rise", "heating", Stage.EXTRA_LOW_VOLTAGE)
CAR = option("session-stop", "stopping", Stage.CAR)
INSIDE = option("pilot-distance", "pilot-separation", Stage.OPENED)
CUT = option("conductor-metal", "conductor", Stage.DESTRUCTIVE)
ALL = (EARTH, PINS, LEVELS, HEATING, CAR, INSIDE, CUT)
PASSED = tuple(found(name, "x") for name in (*BEFORE_MAINS, *BEFORE_SIMULATOR))
"""Every hold point within."""
