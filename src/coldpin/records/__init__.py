"""Frozen records that the parts of coldpin share; they hold, they do not compute."""
