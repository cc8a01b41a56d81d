"""The window: Qt pages, charts and forms over a living season."""
