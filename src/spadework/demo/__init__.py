"""The invented demo season."""

from spadework.demo.season import demo_book, demo_stories

__all__ = ["demo_book", "demo_stories"]
