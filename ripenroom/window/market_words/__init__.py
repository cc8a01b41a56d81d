"""What is said of market days and their wants, wherever they are met."""
