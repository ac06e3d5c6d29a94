"""What the page says of the fit is said in the job's own unit."""

from barwright.bench.say_fits import fitted
from barwright.fits.chance_result import Decides, FirstFit
from barwright.fits.make import Fits

FIRST = FirstFit(
    chance=0.5,
    decides=(Decides(name="its side up to 2.8 mm otherwise", gain=0.1, share=1.0, source="x"),),
    notes=("a gap of 25.4 mm",),
)


def test_sentences_are_told_in_inches_on_an_inch_job():
    told = fitted(Fits(), FIRST, "in")["first"]
    assert told["decides"][0]["name"] == "its side up to 0.110 in otherwise"
    assert told["notes"] == ["a gap of 1.000 in"]


def test_and_stay_in_millimetres_on_a_metric_one():
    told = fitted(Fits(), FIRST, "mm")["first"]
    assert told["decides"][0]["name"] == "its side up to 2.8 mm otherwise"
