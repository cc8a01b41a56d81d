"""What stops the set-up."""


class SetUpError(Exception):
    """Something on this machine is missing; the message says what, and what to do about it."""
