"""Boxes as hulls, for tests against plane geometry."""

import numpy as np

from barwright.buildup.hulls import hulls_of
from barwright.geometry.solids import Block, Body


def boxes(*spans):
    """Hulls of boxes between low and high corners."""
    solids = []
    for low, high in spans:
        grid = [[(x, y, z) for x, y in ((0, 0), (1, 0), (1, 1), (0, 1))] for z in (0, 1)]
        corners = np.array(grid[0] + grid[1]) * np.subtract(high, low) + low
        solids.append(Block(corners=tuple(tuple(map(float, c)) for c in corners)))
    return hulls_of([Body(name="boxes", solids=tuple(solids))])
