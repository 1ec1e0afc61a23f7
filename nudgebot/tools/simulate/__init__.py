"""Invented runners through weeks of life, and what the bot's plans and nudges came to."""
