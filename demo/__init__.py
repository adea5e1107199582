"""Recorded conversations of an invented kitchen: `python -m demo.record` records them again."""
