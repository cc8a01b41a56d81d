"""How far the way through the program is, counted: ``python -m tests.house``.

What it prints is for judging a change of the modules by: fewer files on the way of one pick, no
circle of imports, fewer doors from the window into the season. Nothing is asserted of the figures;
walls that must stand are contracts in ``pyproject.toml``.
"""
