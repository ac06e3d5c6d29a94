"""Floor 2: what the fabricator wrote down. Schema, shop lengths, load, save.

The user's units end here: everything a `Job` holds is in millimetres, newtons and radians.

What is written: `schema` (with `plate_schema`, `load_cases`), `kinds` of reading, `quantities`.
Read: `load` -> `toml_lines`, `readings` -> `row` -> `lengths`, `angles`, `points` -> `written`.
Held together: `check_refs` -> `check_bars`, `check_leaves`, `check_plates`, `check_loads`.
Refused: `errors`, `schema_faults`. Put back: `save`, `edit_toml`, `edit_readings`.
Started: `new`. For editors: `json_schema`.
"""
