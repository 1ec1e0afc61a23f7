"""Checks of the project."""
