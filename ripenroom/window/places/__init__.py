"""The Places page: where fruit waits, and a set point that can be tried before it is set."""
