"""The tables of a season file: those of version 1, and what each later version adds.

Every record table begins with ``digest`` (see :mod:`.digest`) and ``changed_at`` (UTC seconds of
the last change, so that two copies of a season can be told apart row by row); then come the
record's fields, its ``id`` (a UUID) first. So a new column can be added at the end. There is no
hidden row number beside the id, so no second tree has to agree with the first. References are
checked at the end of an action: within it the order does not matter.
"""

from typing import Final

APPLICATION_ID: Final = 0x5249504E
"""``RIPN`` at byte 68 of the file: how `file`, MIME magic and ripenroom know a season file."""

RECORD_AT: Final = 2
"""Where in a row, as ``SELECT *`` gives it, the record's own columns begin."""

_KEPT: Final = """
    digest BLOB NOT NULL CHECK (length(digest) = 16),
    changed_at INTEGER NOT NULL,"""

_WHOLE: Final = "STRICT, WITHOUT ROWID"

_DEFERRED: Final = "DEFERRABLE INITIALLY DEFERRED"

# Patterns, not date() and json_valid(): with trusted_schema off, SQLite lets no CHECK call those.
_A_DATE: Final = "'[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'"

VERSION_1: Final[tuple[str, ...]] = (
    f"""CREATE TABLE season ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    name TEXT NOT NULL,
    zone TEXT NOT NULL,
    first_day TEXT NOT NULL CHECK (first_day GLOB {_A_DATE}),
    units TEXT NOT NULL CHECK (units IN ('metric', 'us')),
    currency TEXT NOT NULL,
    practice_now INTEGER
) {_WHOLE}""",
    # An index on a constant: a second season has no room.
    "CREATE UNIQUE INDEX one_season ON season ((1))",
    f"""CREATE TABLE cultivar ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    crop TEXT NOT NULL,
    name TEXT NOT NULL,
    "group" TEXT CHECK ("group" IN ('early', 'mid', 'late'))
) {_WHOLE}""",
    f"""CREATE TABLE tree_row ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    name TEXT NOT NULL,
    cultivar_id TEXT REFERENCES cultivar (id) {_DEFERRED},
    trees INTEGER CHECK (trees >= 0)
) {_WHOLE}""",
    f"""CREATE TABLE place ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    name TEXT NOT NULL,
    kind TEXT NOT NULL CHECK (
        kind IN ('cold room', 'cool shelf', 'ripening room', 'counter', 'field bin')
    ),
    half_cooling_h REAL NOT NULL CHECK (half_cooling_h >= 0),
    daily_swing_k REAL NOT NULL CHECK (daily_swing_k >= 0),
    capacity_crates INTEGER CHECK (capacity_crates >= 0)
) {_WHOLE}""",
    f"""CREATE TABLE set_point_change ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    place_id TEXT NOT NULL REFERENCES place (id) {_DEFERRED},
    at INTEGER NOT NULL,
    set_point_c REAL NOT NULL CHECK (set_point_c > -273.15)
) {_WHOLE}""",
    f"""CREATE TABLE batch ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    code TEXT NOT NULL,
    crop TEXT NOT NULL,
    picked_at INTEGER NOT NULL,
    cultivar_id TEXT REFERENCES cultivar (id) {_DEFERRED},
    row_id TEXT REFERENCES tree_row (id) {_DEFERRED},
    count INTEGER CHECK (count >= 0),
    weight_kg REAL CHECK (weight_kg >= 0),
    feel_counts TEXT CHECK (feel_counts GLOB '[[]*,*,*,*,*]'),
    readings TEXT NOT NULL CHECK (readings GLOB '[[]*]'),
    reading_unit TEXT CHECK (reading_unit IN ('N', 'kgf', 'lbf')),
    probe_mm REAL CHECK (probe_mm > 0),
    pulp_c REAL CHECK (pulp_c > -273.15),
    note TEXT NOT NULL
) {_WHOLE}""",
    f"""CREATE TABLE move ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    batch_id TEXT NOT NULL REFERENCES batch (id) {_DEFERRED},
    at INTEGER NOT NULL,
    place_id TEXT NOT NULL REFERENCES place (id) {_DEFERRED}
) {_WHOLE}""",
    f"""CREATE TABLE market_day ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    name TEXT NOT NULL,
    kind TEXT NOT NULL CHECK (kind IN ('market', 'festival', 'farm stand', 'shop order')),
    starts_at INTEGER NOT NULL,
    eat_within_days INTEGER NOT NULL CHECK (eat_within_days >= 0),
    note TEXT NOT NULL
) {_WHOLE}""",
    f"""CREATE TABLE removal ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    batch_id TEXT NOT NULL REFERENCES batch (id) {_DEFERRED},
    at INTEGER NOT NULL,
    count INTEGER NOT NULL CHECK (count >= 0),
    outcome TEXT NOT NULL CHECK (outcome IN ('sold', 'discarded')),
    market_day_id TEXT REFERENCES market_day (id) {_DEFERRED}
) {_WHOLE}""",
    f"""CREATE TABLE want ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    market_day_id TEXT NOT NULL REFERENCES market_day (id) {_DEFERRED},
    crop TEXT NOT NULL,
    count INTEGER NOT NULL CHECK (count >= 0),
    price_minor INTEGER CHECK (price_minor >= 0)
) {_WHOLE}""",
    # Without these, taking a batch away reads all moves and removals to see who refers to it.
    "CREATE INDEX move_of_batch ON move (batch_id)",
    "CREATE INDEX removal_of_batch ON removal (batch_id)",
    """CREATE TABLE undo_step (
    digest BLOB NOT NULL CHECK (length(digest) = 16),
    at INTEGER NOT NULL,
    id INTEGER PRIMARY KEY,
    label TEXT NOT NULL,
    undone INTEGER NOT NULL CHECK (undone IN (0, 1)),
    log_digest BLOB NOT NULL
) STRICT""",
    """CREATE TABLE undo_log (
    seq INTEGER PRIMARY KEY,
    step INTEGER NOT NULL REFERENCES undo_step (id) ON DELETE CASCADE,
    inverse TEXT NOT NULL CHECK (inverse IN ('delete', 'update', 'insert')),
    table_name TEXT NOT NULL,
    row_id TEXT NOT NULL,
    column_name TEXT,
    value ANY
) STRICT""",
    "CREATE INDEX undo_log_of_step ON undo_log (step)",
    """CREATE TABLE seal (
    only INTEGER PRIMARY KEY CHECK (only = 1),
    total BLOB NOT NULL CHECK (length(total) = 16)
) STRICT""",
)

VERSION_2: Final[tuple[str, ...]] = (
    "ALTER TABLE cultivar ADD COLUMN rate_factor REAL NOT NULL DEFAULT 1.0 CHECK (rate_factor > 0)",
    f"""CREATE TABLE treatment ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    batch_id TEXT NOT NULL REFERENCES batch (id) {_DEFERRED},
    at INTEGER NOT NULL,
    hours REAL NOT NULL CHECK (hours > 0)
) {_WHOLE}""",
    "CREATE INDEX treatment_of_batch ON treatment (batch_id)",
    f"""CREATE TABLE own_crop ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    "key" TEXT NOT NULL,
    "text" TEXT NOT NULL
) {_WHOLE}""",
)
"""Cultivars with a pace of their own, ethylene treatments, and crop profiles of the farm's own."""

VERSION_3: Final[tuple[str, ...]] = (
    """ALTER TABLE season ADD COLUMN crates_moved_per_evening INTEGER
    CHECK (crates_moved_per_evening >= 0)""",
    # No reference: what was split off stays when the batch that it came from is taken away.
    "ALTER TABLE batch ADD COLUMN split_from TEXT",
    "ALTER TABLE market_day ADD COLUMN settled_at INTEGER",
    """ALTER TABLE removal ADD COLUMN grade TEXT NOT NULL DEFAULT 'first'
    CHECK (grade IN ('first', 'second'))""",
    "ALTER TABLE removal ADD COLUMN price_minor INTEGER CHECK (price_minor >= 0)",
    f"""CREATE TABLE brought ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    batch_id TEXT NOT NULL REFERENCES batch (id) {_DEFERRED},
    market_day_id TEXT NOT NULL REFERENCES market_day (id) {_DEFERRED},
    count INTEGER NOT NULL CHECK (count >= 0)
) {_WHOLE}""",
    f"""CREATE TABLE pin ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    batch_id TEXT NOT NULL REFERENCES batch (id) {_DEFERRED},
    crates INTEGER NOT NULL CHECK (crates > 0),
    pull_at INTEGER,
    place_id TEXT REFERENCES place (id) {_DEFERRED},
    market_day_id TEXT REFERENCES market_day (id) {_DEFERRED},
    packed_at INTEGER
) {_WHOLE}""",
    f"""CREATE TABLE expected_pick ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    crop TEXT NOT NULL,
    "on" TEXT NOT NULL CHECK ("on" GLOB {_A_DATE}),
    count INTEGER NOT NULL CHECK (count >= 0),
    place_id TEXT NOT NULL REFERENCES place (id) {_DEFERRED},
    feel TEXT NOT NULL CHECK (feel IN ('hard', 'slight give', 'gives', 'soft', 'too soft')),
    cultivar_id TEXT REFERENCES cultivar (id) {_DEFERRED},
    note TEXT NOT NULL
) {_WHOLE}""",
    f"""CREATE TABLE second_grade ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    crop TEXT NOT NULL,
    price_minor INTEGER NOT NULL CHECK (price_minor >= 0),
    fruit_per_day INTEGER CHECK (fruit_per_day >= 0)
) {_WHOLE}""",
    f"""CREATE TABLE squeeze_check ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    batch_id TEXT NOT NULL REFERENCES batch (id) {_DEFERRED},
    at INTEGER NOT NULL,
    feel_counts TEXT CHECK (feel_counts GLOB '[[]*,*,*,*,*]'),
    readings TEXT NOT NULL CHECK (readings GLOB '[[]*]'),
    reading_unit TEXT CHECK (reading_unit IN ('N', 'kgf', 'lbf')),
    probe_mm REAL CHECK (probe_mm > 0),
    counted INTEGER NOT NULL CHECK (counted IN (0, 1)),
    note TEXT NOT NULL
) {_WHOLE}""",
    f"""CREATE TABLE temperature_log ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    place_id TEXT NOT NULL REFERENCES place (id) {_DEFERRED},
    name TEXT NOT NULL,
    probe TEXT NOT NULL,
    starts_at INTEGER NOT NULL,
    ends_at INTEGER NOT NULL,
    series BLOB NOT NULL
) {_WHOLE}""",
    f"""CREATE TABLE lesson ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    crop TEXT NOT NULL,
    cultivar TEXT,
    log_rate REAL NOT NULL,
    log_rate_sd REAL NOT NULL CHECK (log_rate_sd > 0),
    checks INTEGER NOT NULL CHECK (checks >= 0),
    taught_by TEXT NOT NULL
) {_WHOLE}""",
    "CREATE INDEX brought_of_batch ON brought (batch_id)",
    "CREATE INDEX pin_of_batch ON pin (batch_id)",
    "CREATE INDEX squeeze_check_of_batch ON squeeze_check (batch_id)",
)
"""Checks, plans that are pinned, what became of market days, temperature logs and lessons."""

VERSION_4: Final[tuple[str, ...]] = (
    # A column cannot be told to take NULL: the table is made again, from a copy of its rows.
    "CREATE TABLE market_day_before AS SELECT * FROM market_day",
    "DROP TABLE market_day",
    f"""CREATE TABLE market_day ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    name TEXT NOT NULL,
    kind TEXT NOT NULL CHECK (kind IN ('market', 'festival', 'farm stand', 'shop order')),
    starts_at INTEGER NOT NULL,
    eat_within_days INTEGER CHECK (eat_within_days >= 0),
    note TEXT NOT NULL,
    settled_at INTEGER
) {_WHOLE}""",
    "INSERT INTO market_day SELECT * FROM market_day_before",
    "DROP TABLE market_day_before",
)
"""Market days whose buyers eat the fruit as soon as usual; those of older files keep their days."""

VERSION_5: Final[tuple[str, ...]] = ("ALTER TABLE cultivar ADD COLUMN crop_group TEXT",)
"""Cultivars that go by the figures of a group of their crop; those of older files are in none."""

VERSION_6: Final[tuple[str, ...]] = (
    "ALTER TABLE squeeze_check ADD COLUMN eat_within_days REAL CHECK (eat_within_days >= 0)",
    "ALTER TABLE squeeze_check ADD COLUMN picked_from INTEGER CHECK (picked_from >= 1)",
    "ALTER TABLE batch ADD COLUMN picked_over TEXT",
    "ALTER TABLE batch ADD COLUMN taken INTEGER NOT NULL DEFAULT 0 CHECK (taken IN (0, 1))",
)
"""Batches that were picked over for a market day: what was taken, and what was left."""

VERSION_7: Final[tuple[str, ...]] = (
    "ALTER TABLE tree_row ADD COLUMN planted_year INTEGER CHECK (planted_year > 0)",
    f"ALTER TABLE tree_row ADD COLUMN bloomed_on TEXT CHECK (bloomed_on GLOB {_A_DATE})",
    "ALTER TABLE tree_row ADD COLUMN fruit_on_trees INTEGER CHECK (fruit_on_trees >= 0)",
    """ALTER TABLE tree_row ADD COLUMN branch_counts TEXT NOT NULL DEFAULT '[]'
    CHECK (branch_counts GLOB '[[]*]')""",
    "ALTER TABLE tree_row ADD COLUMN branches_per_tree INTEGER CHECK (branches_per_tree > 0)",
    f"ALTER TABLE tree_row ADD COLUMN counted_on TEXT CHECK (counted_on GLOB {_A_DATE})",
    "ALTER TABLE tree_row ADD COLUMN fruit_doubt REAL NOT NULL DEFAULT 0.3 CHECK (fruit_doubt > 0)",
    "ALTER TABLE tree_row ADD COLUMN fruit_mass_g REAL CHECK (fruit_mass_g > 0)",
    "ALTER TABLE place ADD COLUMN weather_lag_h REAL CHECK (weather_lag_h >= 0)",
    f"""CREATE TABLE walk ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    row_id TEXT NOT NULL REFERENCES tree_row (id) {_DEFERRED},
    at INTEGER NOT NULL,
    feel_counts TEXT CHECK (feel_counts GLOB '[[]*,*,*,*,*]'),
    on_ground INTEGER CHECK (on_ground >= 0),
    note TEXT NOT NULL
) {_WHOLE}""",
    f"""CREATE TABLE day_weather ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    "on" TEXT NOT NULL CHECK ("on" GLOB {_A_DATE}),
    min_c REAL NOT NULL CHECK (min_c > -273.15),
    max_c REAL CHECK (max_c > -273.15),
    source TEXT NOT NULL CHECK (source IN ('read', 'typed', 'filled', 'forecast'))
) {_WHOLE}""",
    f"""CREATE TABLE monthly_normal ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    month INTEGER NOT NULL CHECK (month BETWEEN 1 AND 12),
    min_c REAL NOT NULL CHECK (min_c > -273.15),
    max_c REAL NOT NULL CHECK (max_c > -273.15)
) {_WHOLE}""",
    f"""CREATE TABLE frost_dates ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    tenth_on TEXT CHECK (tenth_on GLOB {_A_DATE}),
    even_on TEXT CHECK (even_on GLOB {_A_DATE}),
    first_frosts TEXT NOT NULL CHECK (first_frosts GLOB '[[]*]'),
    frost_c REAL NOT NULL CHECK (frost_c > -273.15)
) {_WHOLE}""",
    f"""CREATE TABLE tree_lesson ({_KEPT}
    id TEXT NOT NULL PRIMARY KEY,
    crop TEXT NOT NULL,
    cultivar TEXT,
    by_heat INTEGER NOT NULL CHECK (by_heat IN (0, 1)),
    needs_days REAL NOT NULL CHECK (needs_days > 0),
    needs_sd REAL NOT NULL CHECK (needs_sd > 0),
    log_spread REAL NOT NULL,
    log_spread_sd REAL NOT NULL CHECK (log_spread_sd > 0),
    log_pace REAL NOT NULL,
    log_pace_sd REAL NOT NULL CHECK (log_pace_sd > 0),
    walks INTEGER NOT NULL CHECK (walks >= 0),
    taught_by TEXT NOT NULL,
    days_off REAL CHECK (days_off > 0)
) {_WHOLE}""",
    "CREATE INDEX walk_of_row ON walk (row_id)",
)
"""What hangs in each row, squeeze walks, the weather outdoors, and places that follow it."""

_SOLD_BY: Final = """sold_by TEXT NOT NULL DEFAULT 'fruit'
    CHECK (sold_by IN ('fruit', 'kg', 'lb', 'box'))"""

VERSION_8: Final[tuple[str, ...]] = (
    f"ALTER TABLE want ADD COLUMN {_SOLD_BY}",
    "ALTER TABLE want ADD COLUMN amount REAL CHECK (amount > 0)",
    "ALTER TABLE want ADD COLUMN unit_price_minor INTEGER CHECK (unit_price_minor >= 0)",
    "ALTER TABLE want ADD COLUMN fruit_per_box INTEGER CHECK (fruit_per_box >= 1)",
    f"ALTER TABLE second_grade ADD COLUMN {_SOLD_BY}",
    "ALTER TABLE second_grade ADD COLUMN amount_per_day REAL CHECK (amount_per_day > 0)",
    "ALTER TABLE second_grade ADD COLUMN unit_price_minor INTEGER CHECK (unit_price_minor >= 0)",
    "ALTER TABLE second_grade ADD COLUMN fruit_per_box INTEGER CHECK (fruit_per_box >= 1)",
)
"""Wants and second grade that are given by weight or by box; those of older files go by fruit."""

VERSION_9: Final[tuple[str, ...]] = (
    """ALTER TABLE season ADD COLUMN crate_move_minor INTEGER
    CHECK (crate_move_minor >= 0)""",
)
"""What carrying a crate once costs; older files leave it to the estimate."""

VERSION_10: Final[tuple[str, ...]] = (
    "ALTER TABLE lesson ADD COLUMN log_life REAL",
    "ALTER TABLE lesson ADD COLUMN log_life_sd REAL CHECK (log_life_sd > 0)",
)
"""What a season taught of how long ripe fruit lasts; lessons of older files tell nothing of it."""
