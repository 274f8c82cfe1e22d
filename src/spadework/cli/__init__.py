"""The command line: one module a verb. Errors become a sentence and an exit code in ``exits``."""

from __future__ import annotations

import io
import sys

__all__ = ["main"]


def main() -> None:
    """Run ``spadework`` with the arguments of this process."""
    from spadework.cli.app import app

    for stream in (sys.stdin, sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A terminal that lacks a sign gets a question mark, and so does a sign that it cannot spell.
            stream.reconfigure(errors="replace")
    app(prog_name="spadework")
