"""Forms in which one record is written down or changed, opened from any page."""
