"""A job as JSON: what the pack's hash is taken over."""

from barwright.job.load import parse
from barwright.pack.hashing import job_hash

READINGS = "kind,marks,value\nfixed,A,0 0 0\nfixed,B,0 0 9\n"
LEAF = """
[stock.m]
od = 40
wall = 2
[bar.b]
stock = "m"
path = ["A", "B"]
[leaf.l]
bars = ["b"]
axis = { through = "A", along = %s }
opens = 90
"""


def test_a_direction_by_three_numbers_is_written_without_a_warning():
    """Warnings are errors here: each way to write a direction has its own hash."""
    hashes = {job_hash(parse(LEAF % way, READINGS)) for way in ('"up"', "[1, 0, 0]", "[0, 1, 0]")}
    assert len(hashes) == 3
