"""Job files spoilt at random: a job or a clear refusal, never anything else."""

import random

import pytest

from barwright.job.errors import BadInput
from barwright.job.load import load
from barwright.job.new import QUESTION, start

NASTY = [
    "nan", "-inf", "1e400", "9" * 400, "\0", "\ufeff", "\r", "\u2028", "\u202e", '"', '"""', "'''",
    "[", "]", "[[", "{", "}", "=", ".", ",", ";", "#", "\\", "\\u0000", "\\uD800", "½", "1/0", "-",
    "5 -3", "1' 14\"", "true", "1979-05-27", "0x10", "../..", "A", "upper", "[]", "{}", '""', "0",
    "[bar.upper]\n", "[job]\n", "fixed,A,1 2 3,,\n", "level,A A,,,\n", "\udcff",
]  # fmt: skip


def spoilt(text: str, chance: random.Random) -> str:
    """The text with one to four things done to it."""
    for _ in range(chance.randint(1, 4)):
        at, to = sorted(chance.randrange(len(text) + 1) for _ in range(2))
        to = min(to, at + 60)
        text = chance.choice(
            [
                text[:at] + chance.choice(NASTY) + text[at:],
                text[:at] + chance.choice(NASTY) + text[to:],
                text[:at] + text[to:],
                text[:to] + text[at:],
                text[:at] + chr(chance.randrange(0x250)) + text[at + 1 :],
                "\n".join(chance.sample(lines := text.split("\n"), len(lines))),
            ]
        )
    return text


@pytest.mark.parametrize(
    "cases", [150, pytest.param(2500, marks=pytest.mark.study)], ids=["few", "many"]
)
def test_a_spoilt_job_is_read_or_refused(tmp_path, cases):
    chance = random.Random(11)  # noqa: S311 - spoils, not secrets
    files = start(tmp_path)[:2]
    whole = [f.read_text().replace(QUESTION, "") for f in files]
    refused = []
    for _ in range(cases):
        for file, text in zip(files, whole, strict=True):
            new = spoilt(text, chance) if chance.random() < 0.7 else text
            file.write_bytes(new.encode("utf-8", "surrogateescape"))
        try:
            hash(load(tmp_path))
        except BadInput as wrong:
            refused.append(wrong.faults)
    assert all(1 <= len(faults) <= 100 for faults in refused)
    assert all(f.file and f.expected and f.do and len(str(f)) < 2000 for w in refused for f in w)
    assert cases * 0.3 < len(refused) < cases
