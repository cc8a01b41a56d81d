"""Advice built on plans: set points, what would help, which batches to squeeze next."""
