"""An estimate of metal and area in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from coldpin.quantity import Quantity, find_rule, format_quantity
from coldpin.records.metal import (
    Metal,
    MetalEstimate,
    MetalEvidenceKind,
    MetalEvidenceUsed,
    PriorAnswer,
    SizeProbability,
)

SHIFTS = 0.1
"""Ours: beliefs beforehand whose answers lie further apart than this, in probability, are said to matter."""

FAR = 3.0
"""Ours: evidence that departs by more standard deviations than this is named where things do not go together."""

METAL_WORDS: Mapping[Metal, str] = {
    Metal.COPPER: "copper",
    Metal.TINNED_COPPER: "tinned copper",
    Metal.CLAD_10: "clad aluminium, 10 % copper",
    Metal.CLAD_15: "clad aluminium, 15 % copper",
    Metal.ALUMINIUM: "aluminium",
    Metal.STEEL_CORED: "copper on steel",
}
"""How a metal is told in a sentence."""

EVIDENCE_WORDS: Mapping[MetalEvidenceKind, str] = {
    MetalEvidenceKind.RESISTANCE: "resistance",
    MetalEvidenceKind.MASS: "mass",
    MetalEvidenceKind.STRANDS: "wires",
    MetalEvidenceKind.HEATING: "heating",
    MetalEvidenceKind.MAGNET: "magnet",
    MetalEvidenceKind.CUT: "cut",
}
"""How a piece of evidence is told."""


def percent(probability: float) -> str:
    """Return a probability as it is told: never as certain.

    Parameters
    ----------
    probability : float
        The probability. [1]

    Returns
    -------
    str
        In per cent.

    Examples
    --------
    >>> percent(0.5), percent(0.9234), percent(0.99999), percent(1e-6)
    ('50 %', '92 %', 'more than 99.9 %', 'less than 0.1 %')
    """
    if probability > _ALMOST:
        return f"more than {100.0 * _ALMOST:g} %"
    if probability < 1.0 - _ALMOST:
        return f"less than {100.0 * (1.0 - _ALMOST):.2g} %"
    return f"{100.0 * probability:.{0 if abs(probability - 0.5) < _NEAR_SURE else 1}f} %"


_ALMOST = 0.999
_NEAR_SURE = 0.45
"""Ours: how a probability is printed, with a decimal beyond 95 % and with no more than three nines."""


def metal_statement(estimate: MetalEstimate) -> str:
    """Return what an estimate says in one or two sentences.

    Parameters
    ----------
    estimate : MetalEstimate
        The estimate; its own statement is not looked at.

    Returns
    -------
    str
        The sentences.
    """
    if not estimate.explained or estimate.likeliest is None or estimate.copper is None or estimate.area_mm2 is None:
        return f"No metal of the list explains these together: {_what(estimate.evidence)}. {_apart(estimate.evidence)}"
    if not any(one.used for one in estimate.evidence):
        return "Nothing was measured that tells the metal: what is said of it is only what is believed beforehand."
    shown, (least, most) = copper_shown(estimate), copper_between(estimate)
    likely = sorted(estimate.metals, key=lambda share: -(share.probability or 0.0))
    if shown:
        head = f"The core is copper, plain or tinned ({percent(least)})"
    elif shown is False:
        named = METAL_WORDS[estimate.likeliest]
        head = f"The core is not copper ({percent(1.0 - most)}); likeliest is {named}" + _beside(likely[0].probability)
    else:
        listed = "; ".join(
            f"{percent(share.probability or 0.0)} {METAL_WORDS[share.metal]}"
            for share in likely
            if (share.probability or 0.0) >= _LISTED
        )
        head = f"Whether the core is copper cannot be told yet: {listed}"
    area = f"; {format_quantity(estimate.area_mm2)} of metal" if _is_one(estimate.area_mm2) else ""
    return f"{head}{area}.{_of_size(estimate.size)}"


def copper_between(estimate: MetalEstimate) -> tuple[float, float]:
    """Return the least and the most that any of the listed beliefs comes to for copper.

    Parameters
    ----------
    estimate : MetalEstimate
        The estimate.

    Returns
    -------
    tuple of float, float
        Probability of copper, plain or tinned; from 0 to 1 where no metal explains the evidence. [1]
    """
    if estimate.copper is None:
        return 0.0, 1.0
    found = [estimate.copper, *(one.copper for one in estimate.priors)]
    return min(found), max(found)


def copper_shown(estimate: MetalEstimate) -> bool | None:
    """Say whether a core is shown to be copper, by whichever of the listed beliefs one begins with.

    Parameters
    ----------
    estimate : MetalEstimate
        The estimate.

    Returns
    -------
    bool or None
        None where it is not decided, or one belief would decide it and another would not.
    """
    confidence = find_rule("confidence").confidence or 1.0
    least, most = copper_between(estimate)
    if least >= confidence:
        return True
    return False if most <= 1.0 - confidence else None


def _is_one(area: Quantity) -> bool:
    """Say whether an area is narrow enough to be one, and not several for several metals."""
    return area.expanded is not None and area.expanded < ONE_AREA * area.value


ONE_AREA = 0.15
"""Ours: an area known to this part of itself is told; clad wire and copper of one resistance lie further apart."""

_LISTED = 0.02
"""Ours: metals less likely than this are not listed in a sentence."""


def _beside(probability: float | None) -> str:
    return "" if probability is None else f" ({percent(probability)})"


def _of_size(size: SizeProbability | None) -> str:
    if size is None:
        return ""
    return (
        f" That it keeps the resistance of {size.nominal_mm2:g} mm², class {size.conductor_class}, has a probability "
        f"of {percent(size.by_resistance)}; that it does so and is copper, {percent(size.as_copper)}."
    )


def _what(evidence: Sequence[MetalEvidenceUsed]) -> str:
    return ", ".join(
        f"{EVIDENCE_WORDS[one.kind]} {one.answer if one.quantity is None else format_quantity(one.quantity)}"
        for one in evidence
        if one.used
    )


def _apart(evidence: Sequence[MetalEvidenceUsed]) -> str:
    far = [EVIDENCE_WORDS[one.kind] for one in evidence if one.departure is not None and abs(one.departure) > FAR]
    named = f" first {' and '.join(dict.fromkeys(far))}," if far else ""
    tried = any(one.kind is MetalEvidenceKind.MAGNET and one.used for one in evidence)
    steel = "" if tried else ", such as steel under more copper: try a magnet"
    return f"Check{named} units, lengths and whether all is of one bare core; or its metal is not listed{steel}."


POOR = 0.05
"""Ours: a likeliest metal whose evidence would go together so badly less often than this is doubted."""


def fit_remarks(estimate: MetalEstimate) -> tuple[str, ...]:
    """Say where the likeliest metal fits poorly, although no other fits better.

    Parameters
    ----------
    estimate : MetalEstimate
        The estimate; its remarks are not looked at.

    Returns
    -------
    tuple of str
        Empty where it fits.
    """
    fits = [share.fit for share in estimate.metals if share.metal is estimate.likeliest]
    if not fits or max(fits) >= POOR:
        return ()
    assert estimate.likeliest is not None, "only a likeliest metal has a fit"
    poorly = (
        f"{METAL_WORDS[estimate.likeliest].capitalize()} is the likeliest metal of the list, and fits poorly "
        f"({percent(fits[0])}). A weight with insulation on, a wrong length or two cores give such numbers too: check "
        "them, and look for what contradicts it."
    )
    return (poorly,)


def belief_told(metals: Mapping[Metal, float], sizes_mm2: Sequence[float]) -> str:
    """Return what is believed of a core before anything of it is measured.

    Parameters
    ----------
    metals : mapping
        How likely each metal is. [1]
    sizes_mm2 : sequence of float
        Sizes as sold, where these are believed in. [mm²]

    Returns
    -------
    str
        Metals in per cent, and the area.

    Examples
    --------
    >>> belief_told({Metal.COPPER: 0.75, Metal.ALUMINIUM: 0.25}, ())
    '75 % copper; 25 % aluminium; any area as likely as another of its octave, and one octave as the next'
    """
    shares = "; ".join(f"{100.0 * share:.0f} % {METAL_WORDS[metal]}" for metal, share in metals.items())
    if not sizes_mm2:
        return f"{shares}; any area as likely as another of its octave, and one octave as the next"
    return f"{shares}; areas a little below sizes as they are sold"


def answers_told(answers: Sequence[PriorAnswer]) -> tuple[str, ...]:
    """Return what comes out by each belief, for printing beside the estimate.

    Parameters
    ----------
    answers : sequence of PriorAnswer
        Under several beliefs.

    Returns
    -------
    tuple of str
        One sentence for each.
    """
    return tuple(
        f"Believing beforehand “{one.prior}” ({one.believed}): copper {percent(one.copper)}"
        + ("." if one.meets_size is None else f", the marked size kept {percent(one.meets_size)}.")
        for one in answers
    )


def belief_remarks(answers: Sequence[PriorAnswer]) -> tuple[str, ...]:
    """Say where the answer rests on what was believed beforehand.

    Parameters
    ----------
    answers : sequence of PriorAnswer
        Under several beliefs, the one that is used first.

    Returns
    -------
    tuple of str
        Empty where all come to the same.
    """
    found = []
    for name, values in (
        ("copper", [one.copper for one in answers]),
        ("the marked size being kept", [one.meets_size for one in answers if one.meets_size is not None]),
    ):
        if values and max(values) - min(values) > SHIFTS:
            found.append(
                f"The probability of {name} rests on belief: {percent(min(values))} to {percent(max(values))} under "
                "the beliefs named. Measure more before saying it."
            )
    return tuple(found)
