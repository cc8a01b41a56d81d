"""What really happens in a season. Nothing in here may import the program that is measured."""
