"""Floor 1: vectors, poses, arcs, centreline paths, solids and exact distances.

Knows nothing of the job. Lengths are in millimetres, angles in radians.
"""
