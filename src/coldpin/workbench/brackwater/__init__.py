"""A weekend at Brackwater Boatyard, as data: three donated leads, who did what and when, what was written down.

All of it is invented: yard, people, makes, sellers, prices, instruments. What the instruments showed is not written
here; it comes from the virtual specimens.
"""

from coldpin.workbench.brackwater.dunmarr import DUNMARR
from coldpin.workbench.brackwater.instruments import INSTRUMENTS
from coldpin.workbench.brackwater.pellwick import PELLWICK
from coldpin.workbench.brackwater.skerrow import SKERROW

SHELF_TITLE = "Brackwater Boatyard: three donated leads"
QUESTION = "Can the yard lend it to berth holders for their cars?"
ZONE = "+01:00"

STORY = (SKERROW, PELLWICK, DUNMARR)
"""The three cases in the order of the first afternoon."""

__all__ = ["INSTRUMENTS", "QUESTION", "SHELF_TITLE", "STORY", "ZONE"]
