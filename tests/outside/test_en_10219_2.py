"""EN 10219-2 cold-formed round hollow sections, Annex C sizes.

Rows read from the table "Tubes-Final-English" (a copy, not the standard): mass [kg/m],
area [cm²], I [cm⁴], Wel [cm³], Wpl [cm³], printed to three figures.
"""

import pytest

from barwright.tubes.section import Section


@pytest.mark.parametrize(
    "row",
    [
        (33.7, 3.0, 2.27, 2.89, 3.44, 2.04, 2.84),
        (42.4, 2.5, 2.46, 3.13, 6.26, 2.95, 3.99),
        (48.3, 3.0, 3.35, 4.27, 11.0, 4.55, 6.17),
        (60.3, 3.0, 4.24, 5.40, 22.2, 7.37, 9.86),
    ],
)
def test_table_rows_to_the_last_printed_digit(row):
    od, wall, mass, area, inertia, elastic, plastic = row
    tube = Section(od=od, wall=wall)
    assert round(1000.0 * tube.mass(), 2) == mass
    assert round(tube.area / 1e2, 2) == area
    assert float(f"{tube.inertia / 1e4:.3g}") == inertia
    assert float(f"{tube.elastic / 1e3:.3g}") == elastic
    assert float(f"{tube.plastic / 1e3:.3g}") == plastic
