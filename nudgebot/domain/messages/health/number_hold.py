"""Words of a hold that rested on a number alone."""

from __future__ import annotations

WERE_MINUTES = "Those were minutes"
A_SLIP = "The number was a slip"
LIFTED = "Then I misread the number, and nothing is on hold."
LIFTED_JOINING = f"{LIFTED} The questions go on where they stopped: write /start."
