"""In and out: tables of what a season says, for spreadsheets and scripts."""
