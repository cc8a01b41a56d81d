"""Taking a thermometer's file into places: what was understood, its corrections, what is there."""
