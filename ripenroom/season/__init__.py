"""The open season: puts records through the science and says what changed.

The one place where records and science meet; the window and the command line ask and act through
:class:`ripenroom.season.season.Season`.
"""
