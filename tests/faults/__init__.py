"""Longer commands that break things on purpose."""
