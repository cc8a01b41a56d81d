"""The window: Qt pages, charts and forms over an open season."""
