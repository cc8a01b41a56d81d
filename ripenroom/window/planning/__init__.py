"""The plan in plain sentences, and the line that says how it stands; shared by pages."""
