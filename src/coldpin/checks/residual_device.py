"""What residual-current protection a specimen is judged by: what it claims, else what its kind of unit must have."""

from __future__ import annotations

from dataclasses import dataclass, replace

from coldpin.checks.evidence import BenchEvidence
from coldpin.errors import CaseError, InputError
from coldpin.records.case import Build
from coldpin.records.trip_test import DeviceType, ResidualDevice, ResidualKind
from coldpin.standards.editions import Edition
from coldpin.standards.residual_current import find_residual_device, most_in_cable
from coldpin.standards.table import needed
from coldpin.standards.wording import limit_value

CLAIMED = "what plate or papers say"
OF_ITS_KIND = "what an in-cable unit must have as known"
NOTHING_SAID = "the usual device of an installation, for the unit claims none"

MODE_IN_CABLE = 2
"""Charging mode of the leads that carry their own protection (IEC 61851-1)."""

DIRECT = "6 mA"
"""Smooth direct current that an in-cable unit must see: names the rows ``residual-current.smooth.*`` of the tables."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedDevice:
    """The device a specimen is judged as.

    ``duties`` are the forms of residual current that its kind or its claims ask it to see: a wall unit that claims
    smooth direct current alone leaves the others to the installation.
    """

    device: ResidualDevice
    duties: frozenset[ResidualKind]
    remark: str = ""

    def duty(self, kind: ResidualKind) -> bool:
        """Say whether it must see a form of residual current.

        Parameters
        ----------
        kind : ResidualKind
            The form.

        Returns
        -------
        bool
            False where only good practice asks for it.
        """
        return kind in self.duties


def device_of(bench: BenchEvidence) -> JudgedDevice:
    """Return the residual-current device that a specimen is judged as.

    An in-cable unit is of type A and of 30 mA at most, with 6 mA of smooth direct current at least, whatever it claims
    beside (one of type B would let flow what blinds the device before it, one of more than 30 mA what kills); under the
    North American text it is a CCID20 where nothing is said, the milder of the two. Any other unit is judged by what it
    claims.

    Parameters
    ----------
    bench : BenchEvidence
        With claims, class of unit and edition.

    Returns
    -------
    JudgedDevice
        The device and whether it is a duty.

    Raises
    ------
    CaseError
        A claim cannot be read.
    InputError
        An own value of the case leaves a number out.
    """
    claims = bench.case.claims
    claimed = {
        "residual_current": claims.residual_current,
        "residual_type": claims.residual_type,
        "residual_direct": claims.residual_direct,
    }
    said = any(claimed.values())
    in_cable = bench.case.unit.charging_mode == MODE_IN_CABLE and bench.case.unit.build is Build.PORTABLE
    kind = claims.residual_type or (DeviceType.CCID20.value if _american(bench) else "")
    try:
        device = find_residual_device(
            rated=claims.residual_current, kind=kind, direct=claims.residual_direct, in_cable=in_cable
        )
    except InputError as error:
        told = ", ".join(f"claims.{name} = {text!r}" for name, text in claimed.items() if text)
        raise CaseError(f"case.toml, {told}: {error}") from error
    if device.type.inverse:
        american = replace(device, said_by=CLAIMED if said else OF_ITS_KIND)
        return JudgedDevice(device=american, duties=frozenset(ResidualKind if in_cable or said else ()))
    remarks = []
    most = most_in_cable(bench.book)
    wide = in_cable and device.rated_ma > needed(most, "maximum")
    if wide:
        remarks.append(
            f"It claims {device.rated_ma:g} mA; an in-cable unit has {limit_value(most)} ({most.source}, standing: "
            f"{most.standing}), and is judged by that."
        )
        device = replace(device, rated_ma=needed(most, "maximum"))
    if in_cable and device.type is DeviceType.AC:
        device = replace(device, type=DeviceType.A)
        remarks.append(
            "It claims type AC; an in-cable unit must see pulsating and smooth direct current as well, as known."
        )
    if device.direct_ma is None and (in_cable or not said):
        if device.type is DeviceType.B:
            remarks.append(
                f"It claims type B; an in-cable unit must act at {DIRECT} of smooth direct current all the same."
            )
        device = replace(device, direct_ma=find_residual_device(direct=DIRECT).direct_ma)
    own = said and not wide
    by = CLAIMED if own else OF_ITS_KIND if in_cable else NOTHING_SAID
    duties: set[ResidualKind] = set(ResidualKind) if in_cable else set()
    if claims.residual_current or claims.residual_type:
        duties |= {ResidualKind.ALTERNATING, ResidualKind.PULSATING}
    if claims.residual_direct or device.type is DeviceType.B:
        duties.add(ResidualKind.SMOOTH)
    return JudgedDevice(device=replace(device, said_by=by), duties=frozenset(duties), remark=" ".join(remarks))


def _american(bench: BenchEvidence) -> bool:
    return bench.edition is Edition.SAE
