"""What is published about a crop, beside what the program says of the same cases."""
