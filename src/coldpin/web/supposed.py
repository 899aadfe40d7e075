"""Cases opened to try assumptions on: kept as long as the assessment that answers are held beside."""

from __future__ import annotations

import threading
from collections import OrderedDict
from pathlib import Path

from coldpin.records.assessment import Assessment
from coldpin.workbench.supposing import Supposing, open_supposing

KEPT = 3
"""Ours: so many cases are kept open at most; nobody tries on more at once."""

LARGEST = 256 << 20
"""Ours: what the logs of all cases that are kept open may take in memory, some months of rows a second; a case with
more is opened anew for each question. [bytes]"""


class Opened:
    """The cases that something was tried on lately."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._held: OrderedDict[int, Supposing] = OrderedDict()

    def get(self, folder: Path, assessment: Assessment) -> Supposing:
        """Return a case opened to try assumptions on.

        Parameters
        ----------
        folder : Path
            The case.
        assessment : Assessment
            The very record that answers are held beside; an equal one is another.

        Returns
        -------
        Supposing
            Opened where it was not yet.

        Raises
        ------
        CaseError
            The case cannot be read any more.
        InputError
            An own constant leaves out a number that is needed.
        """
        with self._lock:
            known = self._held.pop(id(assessment), None) or open_supposing(folder, assessment)
            self._held[id(assessment)] = known
            while len(self._held) > KEPT or sum(one.nbytes for one in self._held.values()) > LARGEST:
                self._held.popitem(last=False)
            return known
