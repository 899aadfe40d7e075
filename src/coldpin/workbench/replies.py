"""The right of reply: who was asked, until when, and whether that was waited for."""

from __future__ import annotations

from coldpin.records.case import RIGHT_OF_REPLY, CaseDescription

NOBODY_ASKED = (
    "nobody was asked to reply before this is published: send the findings to the seller (coldpin notification CASE "
    "--to seller), give them a day, and write it under letters in case.toml"
)


def reply_remarks(case: CaseDescription, day: str) -> tuple[str, ...]:
    """Say what whoever publishes should know of the right of reply; nothing is refused by it.

    Parameters
    ----------
    case : CaseDescription
        With its letters.
    day : str
        Day of the issue, as 2026-05-30.

    Returns
    -------
    tuple of str
        Empty where everybody asked has answered, or had the time that was given.
    """
    asked = [letter for letter in case.letters if letter.about == RIGHT_OF_REPLY and letter.sent]
    if not asked:
        return (NOBODY_ASKED,)
    said = []
    for letter in asked:
        who = f"the {letter.to}{f' {letter.name}' if letter.name else ''}"
        if letter.answered:
            continue
        if not letter.deadline:
            said.append(f"{who} was asked on {letter.sent} and given no day by which to reply")
        elif letter.deadline >= day:
            said.append(f"{who} was given until {letter.deadline} to reply, and this issue is of {day}")
    return tuple(said)
