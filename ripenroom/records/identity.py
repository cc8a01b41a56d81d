"""Names that stay the same for a record's whole life, across files and machines."""

import uuid


def new_id() -> str:
    """A new random record id (UUID version 4, RFC 9562), as text."""
    return str(uuid.uuid4())
