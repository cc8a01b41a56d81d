"""Plans in words: itineraries, what they are worth, picks to come, pins and set points."""
