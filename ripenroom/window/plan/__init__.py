"""The page of the plan: what it is worth, what changed, every crate, and what would help."""
