"""The figures of the report, one file each; every one explains itself and is told in words beside it."""
