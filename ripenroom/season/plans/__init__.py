"""From a season's records to a plan of every crate, and what changes in it."""
