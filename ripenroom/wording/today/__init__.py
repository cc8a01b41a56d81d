"""The page Today in words: the day sheet, notices, and what is seen of the days ahead."""
