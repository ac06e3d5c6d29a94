"""A photo of a cardboard gusset on the printed board, as the manual's reader would take it."""

import importlib.util
import sys
from pathlib import Path

import pytest

CARD = ((60.0, 80.0), (230.0, 80.0), (230.0, 330.0), (60.0, 300.0))
PEN = ((80.0, 110.0), (210.0, 140.0), 0.8)


def card_photo():
    """JPEG bytes, by the survey's own maker of photos, which lies with its tests."""
    pytest.importorskip("cv2", reason="needs the extra photo")
    path = Path(__file__).parents[1] / "survey" / "card_photo.py"
    spec = importlib.util.spec_from_file_location("card_photo_for_docs", path)
    maker = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = maker
    spec.loader.exec_module(maker)
    scene = maker.Scene(
        outline=CARD,
        pen=(PEN,),
        size=(2000, 1500),
        aim=(150.0, 222.0),
        eye=(185.0, 100.0, 450.0),
        seed=1,
    )
    return maker.photo(scene)
