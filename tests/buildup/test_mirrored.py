"""What is found once for both sides is what looking at each side finds.

A bore's staves begin elsewhere round it when they are not mirrored: that much the two may differ.
"""

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
from built_side import planted, side

from barwright.buildup.clash import closed
from barwright.buildup.located import contacts
from barwright.buildup.things import things
from barwright.plates.part import Parts
from barwright.plates.twins import mirror_body, twin


@lru_cache(1)
def both_sides():
    """The near side's plates and hardware with a plank through one, and all of them mirrored."""
    _, bars, parts, moves = side()
    gusset = next(p for p in parts.parts if p.name == "side.latch.gusset-1")
    middle = gusset.placed.points((*np.mean([v[:2] for v in gusset.outline.vertices], axis=0), 1.0))
    parts = planted(parts, "plank", middle, (0.4, 0.7, 0.5), 12.0)
    other = [
        replace(
            h, name=f"{h.name}-twin", twin_of=h.name, body=mirror_body(h.body, f"{h.name}-twin")
        )
        for h in parts.hardware
    ]
    twins = {m.name for m in (*parts.parts, *parts.hardware)}
    whole = Parts(
        parts=(*parts.parts, *(twin(p) for p in parts.parts)),
        hardware=(*parts.hardware, *other),
        intended=parts.intended
        | {(f"{a}-twin", f"{b}-twin") for a, b in parts.intended if twins >= {a, b}},
        joins=parts.joins,
    )
    return bars, whole, moves


def by_hand():
    """The same, with nothing known of what mirrors what."""
    bars, parts, moves = both_sides()
    return things(
        bars,
        replace(
            parts,
            parts=tuple(replace(p, twin_of="") for p in parts.parts),
            hardware=tuple(replace(h, twin_of="") for h in parts.hardware),
        ),
        moves,
    )


def test_clashes_of_mirrored_parts_are_those_looked_at_by_themselves():
    bars, parts, moves = both_sides()
    known, alone = things(bars, parts, moves), by_hand()
    assert (known.mirrors >= 0).sum() == len(parts.parts) / 2 + len(parts.hardware) / 2
    assert (alone.mirrors < 0).all()
    found, expected = (closed(t)[1] for t in (known, alone))
    assert [(c.first, c.second) for c in found] == [(c.first, c.second) for c in expected]
    assert any({c.first, c.second} == {"plank-twin", "side.latch.gusset-1-twin"} for c in found)
    for one, other in zip(found, expected, strict=True):
        assert one.depth == pytest.approx(other.depth, rel=0.02)
        assert one.volume == pytest.approx(other.volume, rel=0.01)
        assert one.where == pytest.approx(other.where, abs=3.0)


def test_contacts_of_mirrored_parts_are_those_looked_at_by_themselves():
    bars, parts, moves = both_sides()
    found = []
    for all_ in (things(bars, parts, moves), by_hand()):
        met = contacts(all_)
        owner = all_.fine.owner
        pairs = zip(owner[met.i].tolist(), owner[met.j].tolist(), strict=True)
        found.append({(min(p), max(p)) for p in pairs})
    assert found[0] == found[1]
