"""Which crates go to which market day, and when each is moved; knows no file and no window."""
