"""The page of the rows of trees: before the pick."""
