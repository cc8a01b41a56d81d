"""Picks, checks, market days and places out of tables that people keep elsewhere.

A :class:`~ripenroom.exchange.record_table.grid.Grid` is cells as text; a
:class:`~ripenroom.exchange.record_table.columns.ColumnMapping` says which column means what, and
can be corrected; :func:`~ripenroom.exchange.record_table.reading.read` makes typed rows of it, each
with what is wrong with it. What is right can be kept, whatever becomes of the rest.
"""
