"""[[trim]]: what is read, and what is refused by entry and line."""

import pytest

from barwright.job.errors import BadInput
from barwright.job.load import parse

HEAD = '[job]\nunit = "in"\n'


def test_lengths_are_read_in_the_job_s_unit():
    (one,) = parse(HEAD + '[[trim]]\npart = "a.b"\ncorner = 3\nround = "1/8"\nat = [1, 2]\n').trim
    assert (one.round_, one.at) == (3.175, (25.4, 50.8))


@pytest.mark.parametrize(
    ("text", "entry", "says"),
    [
        ('part = "a"\ncorner = 3\n', "trim.1", "corner and chamfer"),
        ('part = "a"\ncorner = 3\nchamfer = 1\nback = 1\n', "trim.1", "give one of these whole"),
        ('part = "a"\ncorner = 0\nchamfer = 1\n', "trim.1.corner", ""),
        ('part = "a"\nedge = 1\nback = -1\n', "trim.1.back", "more than 0"),
        ('part = "a"\nconer = 1\nback = 1\n', "trim.1.coner", "did you mean corner"),
        ('bar = "upper"\nend = "to"\nlength = 1\n', "trim.1.bar", "a bar of job.toml"),
        ('bar = "upper"\nend = "top"\nlength = 1\n', "trim.1.end", "from"),
    ],
)
def test_what_is_wrong_is_named(text, entry, says):
    with pytest.raises(BadInput) as wrong:
        parse(HEAD + "[[trim]]\n" + text)
    (fault,) = wrong.value.faults
    assert fault.entry == entry
    assert fault.line in {3, 4, 5, 6}
    assert says in str(fault)
