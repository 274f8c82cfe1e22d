"""The command and its verbs, in the order in which a season needs them."""

from __future__ import annotations

from typing import Annotated

import typer

from spadework import __version__
from spadework.cli import advice_schema, assess, check, demo, diagnose, lab, new, rescue, source, table_schema
from spadework.cli.exits import EXIT_CODES, Edge

__all__ = ["app"]

_EPILOG = "\b\nA first season:\n" + "\n".join(
    [
        "  spadework demo --out demo-out       look at an invented season first",
        "  spadework new my-season             make a book of your own",
        "  spadework check my-season           find what is wrong in it",
        "  spadework assess my-season --out verdicts",
        "  spadework diagnose my-season --field ID",
        "  spadework rescue my-season --field ID --price-grain 310 --price-n 1.3",
    ]
)
_EPILOG += "\n\n\b\nExit codes:\n" + "\n".join(f"  {code.value:<4} {meaning}" for code, meaning in EXIT_CODES.items())

# Plain help and plain tracebacks: both read well on paper, in a pipe and on a phone, and load at once.
app = typer.Typer(
    cls=Edge,
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    epilog=_EPILOG,
    context_settings={"help_option_names": ["-h", "--help"]},
)

for verb in (new, check, assess, diagnose, rescue, lab, demo, source, table_schema, advice_schema):
    app.command(verb.NAME, epilog=verb.EXAMPLE, short_help=verb.SHORT)(verb.run)


def _print_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"spadework {__version__}")
        raise typer.Exit


@app.callback()
def spadework(
    _version: Annotated[
        bool,
        typer.Option("--version", callback=_print_version, is_eager=True, help="Print the version and stop."),
    ] = False,
) -> None:
    """Say how well a grain legume is nodulated, and how sure that verdict is, from plants dug by spade.

    A season's records stand in a book: a folder of plain tables, one row a plant. Spadework reads it
    and gives, for each field dug, whether the visit was at the right time, the verdict with its
    probability, how many more plants would settle it, and a report that a grower can read.
    """
