"""Actions of the user, each checked and turned into one named change of the records.

Every function is pure: it raises :class:`~ripenroom.records.refusal.Refusal` naming the field, or
returns a :class:`~ripenroom.season.changes.change.NamedChange`; nothing is written here.
"""
