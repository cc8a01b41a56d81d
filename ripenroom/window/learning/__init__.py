"""Learning from checks beside the window."""
