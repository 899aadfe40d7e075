"""What came of checking a bundle, on the screen."""

from __future__ import annotations

import click
from rich.console import Console
from rich.table import Table

from coldpin.records.bundle import BundleCheck, Difference, Recomputed

_TOLD = {
    Recomputed.EQUAL: "the record computed anew is equal",
    Recomputed.WITHIN_TOLERANCE: "the record computed anew finds the same; no quantity moved by a hundredth of its u",
    Recomputed.DIFFERS: "the record computed anew differs",
    Recomputed.NOT_DONE: "the record was not computed anew",
}
_SEALED = {True: "as it was packed", False: "changed since it was packed", None: "packed anew by another program"}


def show_check(checked: BundleCheck) -> None:
    """Print what came of a check.

    Parameters
    ----------
    checked : BundleCheck
        The check.
    """
    click.echo(f"{checked.title} ({checked.file})")
    click.echo(f"  made      {checked.made_on} with coldpin {checked.made_with}; checked with {checked.checked_with}")
    click.echo(f"  archive   {_SEALED[checked.sealed]}, {checked.files} files")
    click.echo(f"  record    {_TOLD[checked.outcome]}")
    for remark in checked.remarks:
        click.echo(f"  remark    {remark}")
    if checked.unused:
        click.echo(f"  unused    {len(checked.unused)} things of the case could not be used, as its record says")
    if checked.differences:
        table = Table("where", "in the bundle", "computed anew", "in parts of u", box=None)
        for found in checked.differences:
            table.add_row(found.place, found.bundled, found.recomputed, _share(found))
        Console().print(table)


def _share(found: Difference) -> str:
    return "" if found.share_of_u is None else f"{found.share_of_u:.3g}"
