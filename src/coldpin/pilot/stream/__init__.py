"""Captures too long to hold: read page by page, in bounded memory, by several hands, to the same figures."""
