"""Advice shown on paper: figures and PDF pages."""

from spadework.report.display import UnitSystem, format_quantity
from spadework.report.field import field_report
from spadework.report.season import season_report

__all__ = ["UnitSystem", "field_report", "format_quantity", "season_report"]
