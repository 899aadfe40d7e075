"""``python -m coldpin.cli``."""

from coldpin.cli import run

run()
