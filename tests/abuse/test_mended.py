"""What fuzzing found, each mended and kept from coming back."""

import json

import pytest

from barwright.findings import Level
from barwright.job.drawings import sampled
from barwright.job.errors import BadInput
from barwright.job.load import parse
from barwright.job.new import QUESTION, start
from barwright.job.traced import read_template
from barwright.route import build


@pytest.fixture(scope="module")
def texts(tmp_path_factory):
    files = start(tmp_path_factory.mktemp("start"))[:2]
    return tuple(f.read_text().replace(QUESTION, "") for f in files)


def changed(texts, old, new, which=0):
    assert old in texts[which]
    return parse(*(t.replace(old, new) if i == which else t for i, t in enumerate(texts)))


def test_a_leaf_whose_bar_cannot_be_made_is_told_and_left_out(texts):
    found = build(changed(texts, "bends = [22.0]", "bends = [220]"))
    assert [f.subject for f in found.findings if f.level is Level.MUST]
    assert found.motions == ()
    assert "upper" not in {b.name for b in found.bars.bars}


def test_a_bend_of_nothing_is_a_straight_bar(texts):
    found = build(changed(texts, "bends = [22.0]", "bends = [0]"))
    assert found.stage == "buildup"


def test_parts_that_only_graze_at_the_stop_do_not_end_the_route(texts):
    found = build(changed(texts, "fixed,F,41 22 10", "fixed,F,0 22 10", which=1))
    assert found.stage == "buildup"


def test_a_hinge_without_hardware_does_not_end_the_route(texts):
    found = build(changed(texts, "od = 1.75", "od = 2.45677002678"))
    assert found.stage == "buildup"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("od = 1.75", "od = 337"),
        ("wall = 0.095", "wall = 1e-8"),
        ('thickness = "1/8 in"', 'thickness = "1/8000000 in"'),
    ],
)
def test_a_size_no_shop_has_is_refused(texts, old, new):
    with pytest.raises(BadInput) as refused:
        changed(texts, old, new)
    assert any("check its unit" in f.do for f in refused.value.faults)


def test_a_traced_edge_that_holds_nothing_is_refused():
    flat = {"outline": {"vertices": [[0, 0, 0], [80, 0, 0]]}, "edge_sd": 0.1, "scale_sd": 0.001}
    with pytest.raises(BadInput):
        read_template(json.dumps(flat).encode(), "a.json")


def test_an_arc_as_flat_as_a_straight_is_one():
    ring = ((0.0, 0.0, 1e-16), (80.0, 0.0, 0.0), (80.0, 60.0, 0.0))
    assert sampled(ring) == ((0.0, 0.0), (80.0, 0.0), (80.0, 60.0))
