"""Checks of the project, by subject."""
