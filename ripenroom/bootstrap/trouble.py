"""The error that stops the set-up, in words for the user."""


class SetUpError(Exception):
    """Something on this machine is missing; the message says what, and what to do about it."""
