"""The command line: opens the window, or does one job without a screen."""

from ripenroom.cli.command import main

__all__ = ["main"]
