"""Everything that is worked out for a season, saved as numbers and compared to the last bit."""
