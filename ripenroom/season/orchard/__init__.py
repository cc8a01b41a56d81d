"""Before the pick: what hangs in the rows, the weather they had, and what is expected of them."""
