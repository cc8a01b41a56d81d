"""Bringing in a table from elsewhere: what its columns mean, and which rows have to be mended."""
