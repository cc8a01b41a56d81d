"""What the user wrote down, as frozen typed records; see :mod:`ripenroom.records.file` for storage."""
