"""The panel of one batch: its numbers in words, its curve, its moves."""
