from __future__ import annotations

from pathlib import Path

import pytest

from barwright.bench.photos import _kept, _safe


@pytest.mark.parametrize(
    ("sent", "kept"),
    [
        ("../../../etc/passwd", "passwd.jpg"),
        ("..\\..\\boot.ini", "boot.jpg"),
        ("card.PNG", "card.png"),
        ("card.html", "card.jpg"),
        ("a/b/c.jpeg", "c.jpeg"),
        (".jpg", "photo.jpg"),
        ("x\0y.jpg", "x-y.jpg"),
        ("nul.jpg", "_nul.jpg"),
    ],
)
def test_a_photo_is_kept_under_a_plain_name(sent: str, kept: str) -> None:
    assert _safe(sent) == kept


def test_a_photo_is_never_written_over_another(tmp_path: Path) -> None:
    folder = tmp_path / "templates"
    assert _kept(folder, "card.jpg", b"one") == "card.jpg"
    assert _kept(folder, "card.jpg", b"two") == "card-2.jpg"
    assert _kept(folder, "card.jpg", b"one") == "card.jpg"
    assert (folder / "card.jpg").read_bytes() == b"one"
