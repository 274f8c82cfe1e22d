"""Rescue nitrogen: what it may bring and cost, and which of the ways open is best."""
