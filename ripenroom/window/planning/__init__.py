"""The plan beside the window: worked out in the background, and said in plain sentences."""
