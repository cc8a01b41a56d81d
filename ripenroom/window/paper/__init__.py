"""What is printed: crate labels, packing lists and batch cards, black on white."""
