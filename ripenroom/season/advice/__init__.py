"""Advice: which batches to check, what to set thermostats to, what would help the plan."""
