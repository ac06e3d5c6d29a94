"""Spoils real files by the thousand and watches what comes of it.

    ./run py tests/abuse/fuzz.py job 20000 --seed 7 [--from 0] [--keep out/abuse]

Each case may end in two ways: an answer, or `BadInput` whose every fault says the file, what was
expected and what to do, within 10 s of processor time and 3 GB of memory. Whatever else happens is
a blunder of ours: it is told with the place it came from, and its files are kept. Case n of a seed
is always the same case: `--from n` begins there.
"""

import argparse
import json
import random
import resource
import shutil
import signal
import sys
import tempfile
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

import cases
import invent

from barwright.job.errors import MOST_FAULTS, BadInput, Fault

SECONDS = 10.0
"""Of processor time, for one case."""
MEMORY = 3_000_000_000
"""Bytes of address space beyond what the process has when it begins."""
LONGEST = 2_000
"""Characters of a fault."""


class TooLong(BaseException):
    """A case took more than its time: no Exception, so that nobody catches it."""


@dataclass
class Totals:
    """What came of the cases."""

    cases: int = 0
    answered: int = 0
    refused: int = 0
    seconds: float = 0.0
    slowest: float = 0.0
    blunders: Counter[str] = field(default_factory=Counter)
    first: dict[str, int] = field(default_factory=dict)

    def told(self) -> str:
        """One line, and one for each blunder."""
        most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        wrong = self.cases - self.answered - self.refused
        time_and_room = f"{self.seconds:.0f} s, slowest {self.slowest:.2f} s, most {most:.0f} MB"
        counts = f"{self.answered} answered, {self.refused} refused, {wrong} blunders"
        rows = [f"{self.cases} cases: {counts}; {time_and_room}"]
        rows += [
            f"  {n} x {what} (first: case {self.first[what]})"
            for what, n in self.blunders.most_common()
        ]
        return "\n".join(rows)


def fuzz(kind: str, count: int, *, seed: int, begin: int = 0, keep: Path | None = None) -> Totals:
    """So many cases of a kind; where `keep` is given, the files of each new blunder go there."""
    totals = Totals()
    with tempfile.TemporaryDirectory() as home, warnings.catch_warnings():
        warnings.simplefilter("error")
        folder = Path(home) / "job"
        folder.mkdir()
        for n in range(begin, begin + count):
            chance = random.Random(f"{seed}:{kind}:{n}")  # noqa: S311 - spoils, not secrets
            blunder = one(totals, partial(cases.KINDS[kind], chance, folder))
            if blunder:
                told(totals, blunder, n)
                if keep and totals.blunders[blunder] == 1:
                    shutil.copytree(folder, keep / f"{kind}-{n}", dirs_exist_ok=True)
    return totals


def invented(count: int, *, seed: int, keep: Path | None = None) -> Totals:
    """So many jobs made up from the schema by hypothesis, loaded."""
    from hypothesis import HealthCheck, Phase, given, settings
    from hypothesis import seed as seeded

    totals = Totals()
    with tempfile.TemporaryDirectory() as home, warnings.catch_warnings():
        warnings.simplefilter("error")
        folder = Path(home)

        @seeded(seed)
        @settings(
            max_examples=count,
            database=None,
            derandomize=False,
            deadline=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        @given(invent.jobs, invent.readings)
        def run(job: dict[str, object], rows: str) -> None:
            def case() -> None:
                cases.lay(folder, invent.toml(job).encode("utf-8", "replace"), rows.encode())
                hash(cases.load(folder))

            if blunder := one(totals, case):
                told(totals, blunder, totals.cases)
                if keep and totals.blunders[blunder] == 1:
                    shutil.copytree(folder, keep / f"invented-{totals.cases}", dirs_exist_ok=True)

        run()
    return totals


def one(totals: Totals, case: Callable[[], None]) -> str:
    """Run one case and count it; what it did wrong, or nothing."""
    begun = time.process_time()
    blunder = ""
    try:
        with limited():
            case()
        totals.answered += 1
    except BadInput as refused:
        blunder = ill_said(refused.faults)
        totals.refused += not blunder
    except (Exception, TooLong) as wrong:  # noqa: BLE001 - whatever it is, it is told
        blunder = where(wrong)
    took = time.process_time() - begun
    totals.cases += 1
    totals.seconds += took
    totals.slowest = max(totals.slowest, took)
    return blunder


def told(totals: Totals, blunder: str, number: int) -> None:
    """Count a blunder, and remember which case showed it first."""
    totals.blunders[blunder] += 1
    totals.first.setdefault(blunder, number)


@contextmanager
def limited() -> Iterator[None]:
    """Ends what takes more than `SECONDS` of processor time."""

    def over(*_: object) -> None:
        raise TooLong

    before = signal.signal(signal.SIGPROF, over)
    signal.setitimer(signal.ITIMER_PROF, SECONDS)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0.0)
        signal.signal(signal.SIGPROF, before)


def ill_said(faults: tuple[Fault, ...]) -> str:
    """What is wrong with a refusal; nothing where it says all it should."""
    if not 1 <= len(faults) <= MOST_FAULTS + 1:
        return f"{len(faults)} faults in one refusal"
    for fault in faults:
        missing = [w for w in ("file", "expected", "do") if not getattr(fault, w)]
        if missing:
            return f"a fault without {', '.join(missing)}: {fault.file}: {fault.entry[:40]}"
        if not (fault.entry or fault.line or fault.read):
            return f"a fault without entry, line or what was read: {fault.expected[:60]}"
        if len(str(fault)) > LONGEST:
            return f"a fault of more than {LONGEST} characters: {fault.expected[:60]}"
    return ""


def where(wrong: BaseException) -> str:
    """An exception by its kind and the last place in our own code."""
    frames = [f for f in traceback.extract_tb(wrong.__traceback__) if "/barwright/" in f.filename]
    place = "outside"
    if frames:
        last = frames[-1]
        place = f"{last.filename.partition('/src/')[2]}:{last.lineno} {last.name}"
    return f"{type(wrong).__name__} at {place}: {str(wrong)[:90]!r}"


def bound_memory() -> None:
    """From now on this process may take `MEMORY` more than it has."""
    now = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
    resource.setrlimit(resource.RLIMIT_AS, (now + MEMORY, now + MEMORY))


def main() -> int:
    """From the command line; 1 where a blunder was found."""
    ask = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    ask.add_argument("kind", choices=[*cases.KINDS, "invented"])
    ask.add_argument("count", type=int)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--from", dest="begin", type=int, default=0)
    ask.add_argument("--keep", type=Path)
    args = ask.parse_args()
    bound_memory()
    if args.kind == "invented":
        totals = invented(args.count, seed=args.seed, keep=args.keep)
    else:
        totals = fuzz(args.kind, args.count, seed=args.seed, begin=args.begin, keep=args.keep)
    print(f"{args.kind}, seed {args.seed}: {totals.told()}")  # noqa: T201 - a command
    if args.keep:
        args.keep.mkdir(parents=True, exist_ok=True)
        said = {**totals.__dict__, "kind": args.kind, "seed": args.seed, "begin": args.begin}
        (args.keep / f"{args.kind}-{args.seed}-{args.begin}.json").write_text(json.dumps(said))
    return int(bool(totals.blunders))


if __name__ == "__main__":
    sys.exit(main())
