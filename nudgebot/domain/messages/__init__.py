"""Every sentence we say, apart from the safety sentences, which stand beside their signs.

Neutral, short, about the situation: no blame, no count of what was not done, no promise of health.
"""

from nudgebot.domain.messages.nudges import nudge

__all__ = ["nudge"]
