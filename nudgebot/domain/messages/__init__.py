"""Every sentence we say.

Neutral, short, about the situation: no blame, no count of what was not done, no promise of health.
"""
