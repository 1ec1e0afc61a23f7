"""Servers that judge the Telegram voice: our own with faults, and one that this project did not write."""
