"""The charging session: what a log of power or current shows of a charge, and what an idle unit costs."""
