"""Drafts of notices and letters for a case: nothing private in them, nothing sent by the program."""

from __future__ import annotations

from pathlib import Path

from coldpin.casefile.private import read_mapping, read_private
from coldpin.records.assessment import Assessment
from coldpin.records.notice import NOBODY_NAMED, Addressee, Notification, Sender
from coldpin.report.notification import draft_notification
from coldpin.standards.book import load_book
from coldpin.standards.notices import notice_elements
from coldpin.workbench.drafting import assessment_of
from coldpin.workbench.shelving import open_bench
from coldpin.workbench.withholding import withheld_texts, without


def notification(
    folder: Path | str, to: Addressee, sender: Sender = NOBODY_NAMED, *, assessment: Assessment | None = None
) -> Notification:
    """Draft a notice to an authority or a marketplace, or a letter to the seller.

    Parameters
    ----------
    folder : Path or str
        The case.
    to : Addressee
        To whom it goes.
    sender : Sender
        Who sends it, as far as said; kept nowhere.
    assessment : Assessment, optional
        The case as it was assessed; as it stands where left out.

    Returns
    -------
    Notification
        The draft, with what is missing.

    Raises
    ------
    CaseError
        The case or its ``private.toml`` cannot be read.
    """
    case = open_bench(folder).case
    made = assessment or assessment_of(folder)
    texts = withheld_texts(made, read_private(case.folder), read_mapping(case.folder))
    return draft_notification(without(made, texts), to, notice_elements(load_book(), to.value), sender)
