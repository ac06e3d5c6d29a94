"""Floor 2: what the fabricator wrote down. Schema, shop lengths, load, save.

The user's units end here: everything a `Job` holds is in millimetres, newtons and radians.
"""
