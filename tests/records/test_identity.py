"""Record ids."""

import uuid

from ripenroom.records.identity import new_id


def test_ids_are_random_uuids() -> None:
    ids = {new_id() for _ in range(1000)}
    assert len(ids) == 1000
    assert all(uuid.UUID(one).version == 4 and str(uuid.UUID(one)) == one for one in ids)
