"""The first page: what needs doing today, as a page that could hang on the wall."""
