"""``spadework advice-schema``."""

from __future__ import annotations

import json

from spadework.cli.screen import write_data

__all__ = ["EXAMPLE", "NAME", "SHORT", "run"]

NAME = "advice-schema"
SHORT = "Print the JSON Schema of the advice"
EXAMPLE = "\b\nExample:\n  spadework advice-schema > advice.schema.json"


def run() -> None:
    """Print the JSON Schema of the advice in verdicts.json, for programs that read it."""
    from spadework.advice.schema import advice_json_schema

    write_data(json.dumps(advice_json_schema(), indent=2, ensure_ascii=False) + "\n")
