"""Names that stay the same for a record's whole life, across files and machines."""

import re
import uuid

_UUID = re.compile("[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}")


def new_id() -> str:
    """A new random record id (UUID version 4, RFC 9562), as text."""
    return str(uuid.uuid4())


def is_id(text: object) -> bool:
    """Whether something is a UUID as :func:`new_id` writes it, and so may be part of a path.

    >>> is_id(new_id()), is_id("../elsewhere"), is_id(7)
    (True, False, False)
    """
    return isinstance(text, str) and _UUID.fullmatch(text) is not None
