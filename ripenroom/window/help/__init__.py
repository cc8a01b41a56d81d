"""Pages of help: the keyboard, the cautions, what this program is."""
