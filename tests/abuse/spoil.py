"""Real files spoilt by the seed: bytes, lines, cells, values; a slip of the hand, or worse.

Every function takes a `random.Random` and gives a spoilt copy; the same seed spoils alike.
"""

import io
import re
from random import Random

NASTY = (
    "nan", "-inf", "1e400", "9" * 400, "-0.0", "1e-320", "1e308", "\0", "\ufeff", "\r", "\u2028",
    "\u202e", "e\u0301", "Ⅷ", "½", "٣", "–", '"', '"""', "'''", "[", "]", "[[", "{", "}", "=", ".",
    ",", ";", "#", "\\", "\\u0000", "\\uD800", "1/0", "0/0", "-", "5 -3", "1' 14\"", "true", "0",
    "1979-05-27", "07:32:00", "0x10", "0b1", "1_000", "../..", "/dev/zero", "A", "upper", "[]",
    "{}", '""', "[bar.upper]\n", "[job]\n", "[leaf.side]\n", "fixed,A,1 2 3,,\n", "level,A A,,,\n",
    "\udcff", "side-twin", "-1", "1e9", "0.0001", "23 7/16", "23 7/0", "1e5 mm", "99999999 in",
    "tape,B A,0,,\n", "level", "up", "down", "not a mark", "__proto__", "%s%n", "{0}",
)  # fmt: skip

_VALUE = re.compile(r"^(\s*[\w-]+\s*=\s*)(.*)$")
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def text(whole: str, chance: Random, pool: tuple[str, ...] = ()) -> str:
    """A text with one to four things done to it; `pool` holds lines of other files of its kind."""
    for _ in range(chance.choice((1, 1, 2, 4))):
        whole = chance.choice(WAYS)(whole, chance, pool)[:200_000]
    return whole


def _span(whole: str, chance: Random) -> tuple[int, int]:
    at = chance.randrange(len(whole) + 1)
    return at, min(len(whole), at + chance.choice((1, 3, 60)))


def _put_in(whole: str, chance: Random, _: tuple[str, ...]) -> str:
    at, to = _span(whole, chance)
    return whole[:at] + chance.choice(NASTY) + whole[chance.choice((at, to)) :]


def _cut(whole: str, chance: Random, _: tuple[str, ...]) -> str:
    at, to = _span(whole, chance)
    return whole[:at] + whole[to:]


def _twice(whole: str, chance: Random, _: tuple[str, ...]) -> str:
    at, to = _span(whole, chance)
    return whole[:to] + whole[at:]


def _character(whole: str, chance: Random, _: tuple[str, ...]) -> str:
    at = chance.randrange(len(whole) + 1)
    return whole[:at] + chr(chance.choice((0x80, 0x250, 0x3000, 0xD800))) + whole[at + 1 :]


def number(whole: str, chance: Random, _: tuple[str, ...]) -> str:
    """One number becomes another: scaled, turned about, nothing, far off, or no number."""
    found = list(_NUMBER.finditer(whole))
    if not found:
        return whole
    one = chance.choice(found)
    value = float(one[0])
    other = chance.choice(
        (value * 10 ** chance.randint(-9, 9), -value, 0, value + chance.gauss(0, 1), "nan", "inf")
    )
    said = f"{other:.12g}" if isinstance(other, float) else str(other)
    return whole[: one.start()] + said + whole[one.end() :]


def line(whole: str, chance: Random, pool: tuple[str, ...]) -> str:
    """One line goes, comes twice, changes places, or is another file's."""
    lines = whole.split("\n")
    at, to = chance.randrange(len(lines)), chance.randrange(len(lines))
    what = chance.randrange(4)
    if what == 0:
        del lines[at]
    elif what == 1:
        lines.insert(to, lines[at])
    elif what == 2:
        lines[at], lines[to] = lines[to], lines[at]
    elif pool:
        lines.insert(at, chance.choice(pool))
    return "\n".join(lines)


def value(whole: str, chance: Random, pool: tuple[str, ...]) -> str:
    """One value of a key, or one cell of a row, becomes another's or something nasty."""
    lines = whole.split("\n")
    at = chance.randrange(len(lines))
    other = chance.choice((*pool, *lines))
    taken = _VALUE.match(other)
    new = chance.choice(NASTY) if chance.random() < 0.4 or not taken else taken[2]
    if key := _VALUE.match(lines[at]):
        lines[at] = key[1] + new
    elif "," in lines[at]:
        cells, others = lines[at].split(","), other.split(",")
        cell = chance.randrange(len(cells))
        cells[cell] = chance.choice((new, others[cell % len(others)]))
        lines[at] = ",".join(cells)
    return "\n".join(lines)


def _all_lines(whole: str, chance: Random, _: tuple[str, ...]) -> str:
    """The whole file as another program saves it, or shuffled."""
    what = chance.randrange(6)
    if what == 0:
        return whole.replace("\n", chance.choice(("\r\n", "\r", "\n\n")))
    if what == 1:
        return "\ufeff" * chance.randint(1, 2) + whole
    if what == 2:
        return whole.replace(",", chance.choice(";\t|"))
    if what == 3:
        return "\n".join(chance.sample(lines := whole.split("\n"), len(lines)))
    if what == 4:
        return whole[: chance.randrange(len(whole) + 1)]
    return whole.replace(chance.choice("ABCDEFLRabcl0123456789"), chance.choice("ABXé0 "))


WAYS = (_put_in, _cut, _twice, _character, number, number, line, value, value, _all_lines)


def raw(whole: bytes, chance: Random) -> bytes:
    """Bytes with some of them changed, taken out, doubled, or with the end missing."""
    data = bytearray(whole)
    for _ in range(chance.choice((1, 2, 8, 60))):
        at = chance.randrange(len(data) + 1)
        to = min(len(data), at + chance.choice((1, 4, 200)))
        what = chance.randrange(5)
        if what == 0:
            data[at:to] = bytes(chance.randrange(256) for _ in range(to - at))
        elif what == 1:
            del data[at:to]
        elif what == 2:
            data[at:at] = data[at:to]
        elif what == 3 and at < len(data):
            data[at] ^= 1 << chance.randrange(8)
        elif what == 4 and chance.random() < 0.1:
            del data[at:]
    return bytes(data)


def encoded(whole: str, chance: Random) -> bytes:
    """The text as bytes: nearly always UTF-8, else as some program would have it."""
    if chance.random() < 0.97:
        return whole.encode("utf-8", "surrogatepass" if chance.random() < 0.1 else "replace")
    return whole.encode(chance.choice(("utf-16", "utf-32", "cp1252", "utf-8-sig")), "replace")


def picture(whole: bytes, chance: Random) -> bytes:
    """A photo spoilt as a picture: cropped, turned, darkened, smeared, in another format."""
    import numpy as np
    from PIL import Image

    image = Image.open(io.BytesIO(whole)).convert("RGB")
    wide, high = image.size
    for _ in range(chance.randint(1, 3)):
        what = chance.randrange(6)
        if what == 0:
            left, top = chance.randrange(wide // 2), chance.randrange(high // 2)
            image = image.crop((left, top, left + wide // 2, top + high // 2))
        elif what == 1:
            image = image.rotate(chance.uniform(0, 360), expand=chance.random() < 0.5)
        elif what == 2:
            image = image.point([int(v * chance.uniform(0.0, 3.0)) for v in range(256)] * 3)
        elif what == 3:
            rng = np.random.default_rng(chance.randrange(2**32))
            noisy = np.asarray(image, float) + rng.normal(
                0, chance.uniform(1, 90), (image.height, image.width, 1)
            )
            image = Image.fromarray(np.clip(noisy, 0, 255).astype(np.uint8))
        elif what == 4:
            box = [chance.randrange(-50, 700) for _ in range(4)]
            image.paste(
                tuple(chance.randrange(256) for _ in range(3)),
                (
                    min(box[0], box[2]),
                    min(box[1], box[3]),
                    max(box[0], box[2]) + 1,
                    max(box[1], box[3]) + 1,
                ),
            )
        else:
            image = image.resize((chance.randint(300, 1000), chance.randint(300, 1000)))
        wide, high = image.size
    out = io.BytesIO()
    image.save(out, chance.choice(("JPEG", "PNG", "BMP", "TIFF", "WEBP", "GIF")))
    return out.getvalue()
