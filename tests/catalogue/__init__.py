"""The catalogue of all sentences, for translators: ``python -m tests.catalogue``.

It writes ``resources/languages/ripenroom.pot`` from the code and from the crop
profiles, brings every ``ripenroom.po`` below that folder up to date with it, and makes the
``ripenroom.mo`` that the program reads. A new language begins as an empty
``resources/languages/CODE/LC_MESSAGES/ripenroom.po``.
"""
