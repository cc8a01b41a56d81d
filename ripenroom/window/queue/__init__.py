"""The shelf queue: one line per batch over days, beside the market days."""
