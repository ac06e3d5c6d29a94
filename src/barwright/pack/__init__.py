"""Floor 8, the pack: everything needed to make the parts, written to one folder at once.

The route's `Build` comes in; drawings, tables, solids and a manifest go out. Here millimetres and
radians turn into what is read in a shop. `write.write` is the way in.
"""
