"""A quantity: a value, how sure we are of it, and what that rests on."""

from __future__ import annotations

import bisect
import math
from dataclasses import dataclass
from enum import StrEnum
from statistics import NormalDist
from typing import TYPE_CHECKING, Any

from coldpin.errors import InputError

if TYPE_CHECKING:
    from pydantic import GetCoreSchemaHandler
    from pydantic_core import CoreSchema

COVERAGE = 0.95
"""Coverage probability of every interval coldpin prints (JCGM 100:2008 6.2)."""

QUANTILES = 401
"""Quantiles kept of a distribution: steps of 0.25 %, so that 2.5 % and 97.5 % are among them."""

LOW, HIGH = round((QUANTILES - 1) * 0.5 * (1.0 - COVERAGE)), round((QUANTILES - 1) * 0.5 * (1.0 + COVERAGE))
"""Places of the ends of the interval among the quantiles."""

_NORMAL = NormalDist()

SQRT3 = math.sqrt(3.0)

_DOF_INFINITE = "dof: infinite"


class Shape(StrEnum):
    """The shape of the distribution behind a component (JCGM 101:2008 6.4)."""

    NORMAL = "normal"
    RECTANGULAR = "rectangular"
    TRIANGULAR = "triangular"
    ARCSINE = "arcsine"


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """One input's share in the uncertainty of a quantity.

    Two components with the same ``id`` are the same random variable, wherever they turn up: that is how
    correlation is carried. ``contribution`` is signed and in the unit of the quantity it belongs to
    (sensitivity times standard uncertainty), so the components of ``a - b`` cancel where they are shared.
    Components of one ``group`` were estimated together from the same readings and share their ``dof``.
    """

    id: str
    label: str
    contribution: float
    dof: float = math.inf
    shape: Shape = Shape.NORMAL
    group: str = ""


def coverage_factor(dof: float, coverage: float = COVERAGE) -> float:
    """Return the factor k of a two-sided coverage interval of a normal or Student variable.

    Parameters
    ----------
    dof : float
        Degrees of freedom; infinite for a normal variable. [1]
    coverage : float
        Coverage probability. [1]

    Returns
    -------
    float
        k, so that value ± k·u covers with the probability asked for. [1]

    Examples
    --------
    >>> round(coverage_factor(math.inf), 3), round(coverage_factor(10), 2)
    (1.96, 2.23)

    Sources
    -------
    JCGM 100:2008 Table G.2 (standing: memory, recomputed).
    """
    upper = 0.5 * (1.0 + coverage)
    if math.isinf(dof):
        return _NORMAL.inv_cdf(upper)
    # loading scipy takes longer than a short command; only the t distribution needs it
    from scipy import special

    return float(special.stdtrit(dof, upper))


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value with standard uncertainty, unit, degrees of freedom and 95 % interval.

    ``u`` is None where the uncertainty is not known (it is then never shown as zero), and ``why`` says so; ``low`` and
    ``high`` are then bounds, where any hold whatever is unknown.
    ``quantiles`` holds the distribution, convolved or from a Monte Carlo run, where that is the better description: its
    equally spaced quantiles from probability 0 to 1.

    Examples
    --------
    >>> round(Quantity(7.95, 0.06, "Ω/km").expanded, 4)
    0.1176
    >>> Quantity(5.0, None, "mm", why="picking uncertainty unknown").low is None
    True
    """

    value: float
    u: float | None
    unit: str
    dof: float = math.inf
    low: float | None = None
    high: float | None = None
    components: tuple[Component, ...] = ()
    quantiles: tuple[float, ...] = ()
    why: str = ""

    def __post_init__(self) -> None:
        if self.u is None:
            return
        if not 0.0 <= self.u < math.inf:
            raise InputError(
                f"the standard uncertainty of {self.value} {self.unit} is {self.u}: it must be finite, not below "
                "0, or None with the reason where it is not known"
            )
        if self.low is not None:
            return
        half = self.u * self._factor()
        object.__setattr__(self, "low", self.value - half)
        object.__setattr__(self, "high", self.value + half)

    def _sole_shape(self) -> Shape:
        return self.components[0].shape if len(self.components) == 1 else Shape.NORMAL

    def _factor(self) -> float:
        match self._sole_shape():
            case Shape.RECTANGULAR:
                return COVERAGE * SQRT3
            case Shape.TRIANGULAR:
                return math.sqrt(6.0) * (1.0 - math.sqrt(1.0 - COVERAGE))
            case Shape.ARCSINE:
                return math.sqrt(2.0) * math.sin(0.5 * math.pi * COVERAGE)
            case Shape.NORMAL:
                return coverage_factor(self.dof)

    @property
    def expanded(self) -> float | None:
        """U, the half-width of the 95 % interval, or None where the uncertainty is unknown."""
        if self.u is None or self.low is None or self.high is None:
            return None
        return 0.5 * (self.high - self.low)

    def probability_below(self, maximum: float) -> float | None:
        """Return the probability that the true value is at most ``maximum``.

        Parameters
        ----------
        maximum : float
            The limit, in the unit of the quantity.

        Returns
        -------
        float or None
            The probability [1], or None where the uncertainty is unknown.

        Sources
        -------
        JCGM 106:2012 7.2 (standing: memory, recomputed).
        """
        if self.u is None:
            return None
        if self.u == 0.0:
            return 1.0 if self.value <= maximum else 0.0
        if self.quantiles:
            return _probability_from(self.quantiles, maximum)
        z = (maximum - self.value) / self.u
        match self._sole_shape():
            case Shape.RECTANGULAR:
                return min(1.0, max(0.0, 0.5 * (1.0 + z / SQRT3)))
            case Shape.TRIANGULAR:
                t = max(-1.0, min(1.0, z / math.sqrt(6.0)))
                return 0.5 * (1.0 + t) ** 2 if t < 0.0 else 1.0 - 0.5 * (1.0 - t) ** 2
            case Shape.ARCSINE:
                return 0.5 + math.asin(max(-1.0, min(1.0, z / math.sqrt(2.0)))) / math.pi
            case Shape.NORMAL:
                return _student_below(self.dof, z)

    def probability_within(self, minimum: float | None, maximum: float | None) -> float | None:
        """Return the probability that the true value lies between two limits, either of which may be absent.

        Parameters
        ----------
        minimum, maximum : float or None
            The limits, in the unit of the quantity; None where there is none.

        Returns
        -------
        float or None
            The probability [1], or None where the uncertainty is unknown.

        Sources
        -------
        JCGM 106:2012 7.4 (standing: memory, recomputed).
        """
        if self.u is None:
            return None
        if self.u == 0.0:
            return float((minimum is None or self.value >= minimum) and (maximum is None or self.value <= maximum))
        above = 1.0 if maximum is None else self.probability_below(maximum)
        below = 0.0 if minimum is None else self.probability_below(minimum)
        assert above is not None
        assert below is not None
        return max(0.0, above - below)

    def as_json(self) -> dict[str, float | str | None]:
        """Return the JSON form ``{value, u, unit, dof, low, high}``; what is null is explained under ``why``.

        Returns
        -------
        dict
            Numbers, the unit, and ``why`` where a member is null or there is more to say.

        Examples
        --------
        >>> Quantity(12.0, 0.1, "V", dof=9.0).as_json()["unit"]
        'V'
        """
        plain: dict[str, float | str | None] = {
            "value": _finite(self.value),
            "u": _finite(self.u),
            "unit": self.unit,
            "dof": _finite(self.dof),
            "low": _finite(self.low),
            "high": _finite(self.high),
        }
        reasons = [self.why] if self.why else []
        if self.u is not None and math.isinf(self.dof):
            reasons.append(_DOF_INFINITE)
        if self.why or any(member is None for member in plain.values()):
            plain["why"] = "; ".join(reasons) or "not known"
        return plain

    @classmethod
    def from_json(cls, plain: dict[str, Any]) -> Quantity:
        """Read the JSON form back; components are not part of it.

        Parameters
        ----------
        plain : dict
            What :meth:`as_json` returned.

        Returns
        -------
        Quantity
            The quantity without its components.

        Examples
        --------
        >>> Quantity.from_json(Quantity(1.5, 0.1, "V").as_json()) == Quantity(1.5, 0.1, "V")
        True
        """
        return cls(
            value=math.nan if plain["value"] is None else float(plain["value"]),
            u=plain["u"],
            unit=plain["unit"],
            dof=math.inf if plain["dof"] is None else float(plain["dof"]),
            low=plain["low"],
            high=plain["high"],
            why=plain.get("why", "").removesuffix(_DOF_INFINITE).removesuffix("; "),
        )

    @classmethod
    def __get_pydantic_core_schema__(cls, source: object, handler: GetCoreSchemaHandler) -> CoreSchema:
        from pydantic_core import core_schema

        number = core_schema.nullable_schema(core_schema.float_schema())
        fields = {name: core_schema.typed_dict_field(number) for name in ("value", "u", "dof", "low", "high")} | {
            "unit": core_schema.typed_dict_field(core_schema.str_schema()),
            "why": core_schema.typed_dict_field(core_schema.str_schema(), required=False),
        }
        plain = core_schema.typed_dict_schema(fields, extra_behavior="forbid", ref="Quantity")
        read = core_schema.no_info_after_validator_function(cls.from_json, plain)
        return core_schema.json_or_python_schema(
            json_schema=read,
            python_schema=core_schema.union_schema([core_schema.is_instance_schema(cls), read]),
            serialization=core_schema.plain_serializer_function_ser_schema(cls.as_json, return_schema=plain),
        )


def _probability_from(quantiles: tuple[float, ...], maximum: float) -> float:
    """Interpolate the probability below a limit between equally spaced quantiles."""
    if maximum < quantiles[0]:
        return 0.0
    above = bisect.bisect_right(quantiles, maximum)
    if above == len(quantiles):
        return 1.0
    step = quantiles[above] - quantiles[above - 1]
    return (above - 1 + (maximum - quantiles[above - 1]) / step) / (len(quantiles) - 1)


def _student_below(dof: float, z: float) -> float:
    if math.isinf(dof):
        return 0.5 * math.erfc(-z / math.sqrt(2.0))
    from scipy import special

    return float(special.stdtr(dof, z))


def _finite(number: float | None) -> float | None:
    return number if number is not None and math.isfinite(number) else None
