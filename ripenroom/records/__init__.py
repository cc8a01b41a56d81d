"""What the user wrote down, as frozen typed records; stored by :mod:`ripenroom.records.file`."""
