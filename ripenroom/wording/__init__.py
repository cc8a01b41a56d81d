"""What is said of a season, in sentences, for the window, papers, tables and the command line."""
