"""The command that rates a chain of steps."""

from __future__ import annotations

import click

from coldpin.cli.shared import json_option


@click.command()
@click.option("--steps", required=True, help="conditional probabilities in order: '1/10,1/3' or 'name=0.01..0.1..0.3'")
@click.option(
    "--severity", required=True, type=int, help="of the injury: 1 first aid, 2 emergency room, 3 hospital, 4 fatal"
)
@json_option
def risk(steps: str, severity: int, as_json: bool) -> int:
    """Rate a chain of steps that ends in an injury by the published matrix of severity and probability.

    Each step is the probability given all before it, in the life of the product.

    Example: coldpin risk --steps "1/10,1/10,1/3,1/20" --severity 3
    """
    from coldpin.cli.risk_tables import show_risk
    from coldpin.records.plain import to_json
    from coldpin.workbench.risk import rate_steps

    told = rate_steps(steps, severity=severity)
    if as_json:
        click.echo(to_json(told), nl=False)
    else:
        show_risk(told)
    return 0
