"""Sentences that are said in the language of the line: rows of `by_language.toml`, each in five languages."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources


@cache
def _table() -> Mapping[str, Mapping[str, str]]:
    return tomllib.loads(resources.files("nudgebot.domain.messages").joinpath("by_language.toml").read_text("utf-8"))


def in_all(row: str) -> Mapping[str, str]:
    """The sentence of a row in each language."""
    return _table()[row]


def in_language(row: str, language: str) -> str:
    """The sentence of a row in `language`, English if it is none of ours."""
    said = in_all(row)
    return said.get(language, said["en"])


def rows() -> tuple[str, ...]:
    """Every row there is."""
    return tuple(_table())
