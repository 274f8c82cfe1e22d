"""The invented demo season."""
