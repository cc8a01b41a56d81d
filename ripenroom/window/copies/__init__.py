"""Copies of a season: kept by themselves, gone back to, merged, and rescued from damage."""
