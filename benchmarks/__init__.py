"""How fast Spadework is. `python -m benchmarks` prints a table; nothing here passes or fails."""
