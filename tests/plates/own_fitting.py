"""A fitting as somebody else would write it: one function and its parameters."""

from shapely.geometry import box

from barwright.geometry.pose import UNMOVED
from barwright.job.plate_schema import FittingTable
from barwright.job.quantities import PositiveLength
from barwright.plates.blank import blank, part_of
from barwright.plates.joint import Made


class Table(FittingTable):
    size: PositiveLength = 30.0


def lug(joint):
    table = joint.read(Table)
    b = blank(joint.plate(table), box(0, 0, table.size, table.size), UNMOVED)
    return Made(parts=(part_of(b, joint.name),))
