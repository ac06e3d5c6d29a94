"""Whatever is asked for, there is an answer in numbers or a finding, and never a traceback."""

import math

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from barwright.tubes.bodies import body_of
from barwright.tubes.wrap import rotary, wrap

NAMES = "ABCDEFG"
grid = st.integers(-4, 4).map(lambda k: 150.0 * k)
place = st.tuples(grid, grid, grid)
stock = st.sampled_from(["big", "main", "light"])
path = st.lists(st.sampled_from(NAMES), min_size=2, max_size=4)
by_path = st.fixed_dictionaries({"stock": stock, "path": path})
prebent = st.fixed_dictionaries(
    {
        "stock": stock,
        "prebent": st.fixed_dictionaries(
            {
                "straights": st.lists(st.floats(0, 400), min_size=3, max_size=3),
                "bends": st.lists(st.floats(1, 175), min_size=2, max_size=2),
                "turns": st.lists(st.floats(-180, 180), min_size=1, max_size=1),
            }
        ),
        "from": st.sampled_from(NAMES),
        "to": st.sampled_from(NAMES),
        "spin": st.one_of(st.just("level"), st.floats(-180, 180), st.sampled_from(NAMES)),
        "trim": st.sampled_from(["from", "to", "both"]),
    }
)
bars = st.lists(st.one_of(by_path, by_path, prebent), min_size=1, max_size=6)


@settings(max_examples=60)
@given(st.lists(place, min_size=len(NAMES), max_size=len(NAMES)), bars, st.booleans())
def test_any_frame_is_made_or_refused_in_words(frame_of, places, wanted, twin):
    named = {f"bar-{i}": table for i, table in enumerate(wanted)}
    made = frame_of(
        dict(zip(NAMES, places, strict=True)),
        named,
        twin={"of": ["bar-0"]} if twin else {},
    )
    refused = {f.subject.removeprefix("bar.") for f in made.findings if f.level == "must"}
    for bar in made.bars:
        ends = np.concatenate([bar.start.cope, bar.finish.cope])
        assert np.all(np.isfinite(ends))
        assert 0.0 < bar.mass < math.inf
        assert bar.cut_length > 0.0
        assert body_of(bar).solids
        assert np.all(np.isfinite(wrap(bar, "from").curve))
        assert np.all(rotary(bar)[:, 2] > rotary(bar)[:, 1])
    missing = set(named) - {bar.name for bar in made.bars}
    assert missing <= refused
    for finding in made.findings:
        assert finding.says
        assert finding.remedy or finding.level == "good"
        assert "nan" not in finding.says
