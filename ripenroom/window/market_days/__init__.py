"""Market days: what each wants, and what is expected to be ready for it."""
