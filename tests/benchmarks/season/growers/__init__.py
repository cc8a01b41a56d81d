"""Growers: each decides for itself what is done with the fruit that it sees."""
