"""200 random parameter sets: no outline crosses itself, every tab enters its slot."""

import numpy as np
import pytest
from joints import bar, side

from barwright.findings import Level
from barwright.job.errors import BadInput
from barwright.job.schema import Job
from barwright.plates.folded import folded
from barwright.plates.make import parts
from barwright.plates.outline import region
from barwright.plates.slots import overlap
from barwright.tubes.bars import Bars

NO_ROOM = {"plates.hinge-room", "plates.latch-room", "plates.nothing-left", "plates.striker-room"}


def leaf(rng):
    """A hinge, a latch carrier and a striker on a joint that is a little off in everything."""
    t = float(rng.choice([2.0, 3.0, 3.175, 4.0, 5.0, 6.0]))
    far = rng.uniform(66.0, 110.0)
    turn = rng.uniform(-0.7, 0.5)
    return side(
        post_lean=tuple(rng.uniform(-0.15, 0.15, 2)),
        hinge=(-far * np.cos(turn), -far * np.sin(turn)),
        latch=(rng.uniform(72.0, 100.0), rng.uniform(-15.0, 20.0)),
        od=float(rng.choice([25.4, 31.75, 38.1, 44.45])),
        slope=rng.uniform(-60.0, 60.0),
        opens=-rng.uniform(60.0, 110.0),
        sheet={"s": {"thickness": t, "radius": t * rng.uniform(0.8, 2.0)}},
        written={
            "hinge": {"clearance": rng.uniform(0.5, 4.0), "stop_gap": rng.uniform(0.1, 1.0)},
            "latch": {"clearance": rng.uniform(0.5, 3.0), "weld_gap": rng.uniform(0.0, 1.5)},
            "striker": {"adjust": rng.uniform(0.0, 12.0), "latch_gap": 2 * t + rng.uniform(4, 14)},
        },
    )


def loose(rng):
    """A gusset, tab or foot on tubes at any angle."""
    t = float(rng.choice([2.0, 3.0, 4.0, 5.0]))
    r, s = rng.uniform(12.0, 30.0, 2)
    turn = rng.uniform(0.5, 2.6)
    end = [700 * np.cos(turn), 700 * np.sin(turn) * 0.8, 700 * np.sin(turn) * 0.6]
    _, marks, _, _ = side()
    bars = Bars(bars=(bar("a", [-50, 0, 0], [900, 0, 0], r), bar("b", [0, 0, 0], end, s)))
    kind = rng.choice(["corner-gusset", "box-gusset", "tube-tab", "foot-plate"])
    table = {
        "corner-gusset": {"bars": ["a", "b"], "room": rng.uniform(4.0, 20.0)},
        "box-gusset": {"bars": ["a", "b"]},
        "tube-tab": {
            "bar": "a",
            "at": "H",
            "toward": "up",
            "hole": rng.uniform(5.0, 14.0),
            "lies": str(rng.choice(["along", "across"])),
        },
        "foot-plate": {"bar": "b", "end": "to", "bolts": int(rng.choice([0, 2, 4]))},
    }[str(kind)]
    job = Job.model_validate(
        {
            "sheet": {"s": {"thickness": t}},
            "fitting": {"mine": {"fitting": str(kind), **table, "weld_gap": rng.uniform(0, 1.5)}},
        },
        context={"unit": "mm"},
    )
    return job, marks, bars, ()


def hold(made):
    """The laws; how many parts were held to them."""
    for part in made.parts:
        shape = region(part.outline)
        assert shape.is_valid, part.name
        assert folded(part).loose == 0.0, part.name
        assert all(region(h).is_valid for h in part.holes), part.name
    for one in made.parts:
        for other in made.parts:
            if (
                one.name == other.name
                or one.name.rpartition(".")[0] != other.name.rpartition(".")[0]
            ):
                continue
            for panel in folded(other).panels:
                stands = overlap(one, other, panel.pose, panel.shape)
                assert stands < 0.05, (one.name, other.name, stands)
    return len(made.parts)


@pytest.mark.study
@pytest.mark.parametrize("seed", range(6))
def test_leaves(seed):
    rng = np.random.default_rng(100 + seed)
    held = 0
    for _ in range(10):
        made = parts(*leaf(rng))
        must = [f for f in made.findings if f.level is Level.MUST and f.code not in NO_ROOM]
        assert not must, must
        held += hold(made)
    assert held >= 40


@pytest.mark.study
@pytest.mark.parametrize("seed", range(7))
def test_fittings_that_stand_still(seed):
    rng = np.random.default_rng(200 + seed)
    refused = 0
    for _ in range(20):
        try:
            hold(parts(*loose(rng)))
        except BadInput as error:
            refused += sum(1 for f in error.faults if f.do or f.expected)
    assert refused <= 4
