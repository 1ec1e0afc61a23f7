"""What holds for every test."""

from __future__ import annotations

from hypothesis import HealthCheck, settings

# The same examples on every run and every machine, however slow it is just now. The fuzz commands draw new ones.
settings.register_profile(
    "suite", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow], database=None
)
settings.load_profile("suite")
