"""Seasons as large as a season may be, and what they take in time and memory."""
