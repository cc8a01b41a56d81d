"""Sets the program up on a machine that has only Python and pip, and starts or tests it."""
