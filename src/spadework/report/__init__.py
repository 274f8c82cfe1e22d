"""Advice shown on paper: figures and PDF pages."""
