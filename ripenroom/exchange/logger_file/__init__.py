"""Files that temperature loggers write: what is in them, and the readings."""
