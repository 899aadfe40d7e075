"""Risks put into words: of a scenario and of a specimen, with the end that was found apart from what was not tested.

A level that only an untested function would bring was not found. Every text here says both ends, and what is between.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from coldpin.records.scenario import InjuryScenario, RiskLevel, ScenarioBand, SpecimenRisk


def scenario_statement(worst_band: ScenarioBand, mildest: ScenarioBand, open_: list[str], moving: str) -> str:
    """Say how a scenario is rated, with and without what was not shown, and what moves it.

    Parameters
    ----------
    worst_band : ScenarioBand
        With nothing working that was not shown.
    mildest : ScenarioBand
        With all of it working.
    open_ : list of str
        Titles of the functions that were not shown.
    moving : str
        The step that moves the level; empty for none.

    Returns
    -------
    str
        Sentences.
    """
    said = [_rated(worst_band)]
    if open_ and mildest != worst_band:
        listed = "', '".join(open_)
        said = [
            f"If what was not shown ('{listed}') does not work: {_rated(worst_band)}",
            f"If it works: {_rated(mildest)}",
        ]
    said.append(f"What moves the level: '{moving}'" if moving else "No single step moves the level within its range")
    return " ".join(f"{one.removesuffix('.')}." for one in said)


def _rated(band: ScenarioBand) -> str:
    low, high = band.bands
    reach = f"within the band '{low}'" if low == high else f"from the band '{low}' to the band '{high}'"
    between = "" if band.levels[0] is band.levels[1] else f" ({band.levels[0].value} to {band.levels[1].value})"
    return f"{band.level.value}{between}, probability {reach} of an injury of severity {band.severity} or graver"


def plain_scenario(title: str, injury: str, worst: RiskLevel, mildest: RiskLevel, open_: list[str]) -> str:
    """Say a scenario in plain words, with the end that was not tested told as such.

    Parameters
    ----------
    title : str
        Of the scenario.
    injury : str
        What it ends in.
    worst : RiskLevel
        With nothing working that was not shown.
    mildest : RiskLevel
        With all of it working.
    open_ : list of str
        Titles of the functions that were not shown.

    Returns
    -------
    str
        One or two sentences.

    Examples
    --------
    >>> plain_scenario("Water inside", "a burn", RiskLevel.HIGH, RiskLevel.MEDIUM, ["Water kept out"])
    "Water inside: it can end in a burn. Not shown: 'Water kept out'. If it works the risk is medium, if not high."
    """
    if mildest is not worst:
        listed, works = "', '".join(open_), "it works" if len(open_) == 1 else "all of it works"
        return (
            f"{title}: it can end in {injury}. Not shown: '{listed}'. If {works} the risk is {mildest.value}, if not "
            f"{worst.value}."
        )
    return f"{title}: it can end in {injury}. {_LIKELY[worst]}"


_LIKELY = {
    RiskLevel.LOW: "So much must come together that the risk is low.",
    RiskLevel.MEDIUM: "The risk is medium: it is rare, but not so rare that nobody need think of it.",
    RiskLevel.HIGH: "The risk is high: this is more than a product of this kind should ask anybody to bear.",
    RiskLevel.SERIOUS: "The risk is serious: this should not be used so.",
}


def specimen_statement(
    worst_ones: tuple[InjuryScenario, ...],
    at_best: tuple[InjuryScenario, ...],
    *,
    titles: Mapping[str, str],
    decisive: int,
) -> str:
    """Say the risk of a specimen: one level, or two ends and what lies between them.

    Parameters
    ----------
    worst_ones : tuple of InjuryScenario
        The gravest with nothing working that was not shown, the most probable first.
    at_best : tuple of InjuryScenario
        The gravest with all of it working.
    titles : mapping
        Titles of functions by id.
    decisive : int
        How many findings conclude alone.

    Returns
    -------
    str
        Sentences.
    """
    said = []
    if decisive:
        said.append(
            f"{'One finding concludes' if decisive == 1 else f'{decisive} findings conclude'} before any of this; what "
            "follows only rates it"
        )
    level, mildest = worst_ones[0].level, at_best[0].mildest.level
    if mildest is level:
        by = f", by {_named(worst_ones)}" if level is not RiskLevel.LOW else ""
        said.append(f"The risk of this specimen is that of its worst scenario: {level.value}{by}")
        if any(one.open_functions for one in worst_ones):
            said.append("Whether what was not shown works does not change that")
        return _sentences(said)
    remains = f", by {_named(at_best)}" if mildest is not RiskLevel.LOW else ""
    listed = " or ".join(f"'{titles.get(name, name)}'" for name in _open(worst_ones))
    said += [
        f"By our estimates the risk of this specimen lies between {mildest.value} and {level.value}",
        f"If all that was not shown works it is {mildest.value}{remains}",
        f"It is {level.value} only if {listed} does not work, by {_named(worst_ones)}: no test has shown either",
    ]
    return _sentences(said)


def _named(ones: tuple[InjuryScenario, ...]) -> str:
    return f"'{ones[0].title}'{f' and {len(ones) - 1} more' if len(ones) > 1 else ''}"


def _sentences(said: Iterable[str]) -> str:
    return " ".join(f"{one}." for one in said)


def _open(worst_ones: Iterable[InjuryScenario]) -> tuple[str, ...]:
    """Return the functions not shown that alone bring the worst level."""
    return tuple(
        dict.fromkeys(name for one in worst_ones if one.mildest.level is not one.level for name in one.open_functions)
    )


def risk_in_brief(risk: SpecimenRisk, scenarios: Iterable[InjuryScenario], titles: Mapping[str, str]) -> str:
    """Say the risk in one line, for a picture: both ends where they differ, and what the upper one hangs on.

    Parameters
    ----------
    risk : SpecimenRisk
        Of the specimen.
    scenarios : iterable of InjuryScenario
        All of them.
    titles : mapping
        Titles of functions by id.

    Returns
    -------
    str
        One line.
    """
    if risk.mildest is risk.level:
        return f"Risk by our estimates: {risk.level.value}."
    named = _open(one for one in scenarios if one.id in risk.worst)
    listed = " or ".join(f"'{titles.get(name, name)}'" for name in named)
    return (
        f"Risk by our estimates: {risk.mildest.value} to {risk.level.value}; {risk.level.value} only if what was not "
        f"shown does not work: {listed}."
    )
