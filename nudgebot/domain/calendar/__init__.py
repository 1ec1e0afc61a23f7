"""Calendars (RFC 5545): the plan written as one, and busy days read from one."""
