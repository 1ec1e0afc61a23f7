"""nudgebot keeps a busy runner's small weekly dose of easy running on its feet, by chat."""
