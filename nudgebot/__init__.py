"""nudgebot keeps a busy runner's small weekly dose of easy running on its feet, by chat."""

__version__ = "0.1.0"
