"""The Picks page: writing down a pick, and the list of batches."""
