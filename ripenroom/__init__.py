"""Ripenroom: from a pick to an eat-by window, for growers of soft, fast-ripening fruit."""

__version__ = "0.1.0"
