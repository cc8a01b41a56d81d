"""Groups of commands of a living season, one module each; all write through :class:`Acting`."""
