"""Beginning a season, and changing its details."""
