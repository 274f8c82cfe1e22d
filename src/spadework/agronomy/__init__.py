"""The science: pure functions of arrays; no files, no clock, no web."""
