"""Looking back: what was learned, how forecasts turned out, what the fruit brought."""
