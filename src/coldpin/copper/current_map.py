"""Map of a lead's temperatures over current and ambient, and what one measured rise says of rated use."""

from __future__ import annotations

from coldpin.copper.rated import at_rated

__all__ = ["at_rated"]
