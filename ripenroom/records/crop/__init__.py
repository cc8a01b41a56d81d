"""Crop profiles: what is known about a crop, as data with ranges and sources."""
