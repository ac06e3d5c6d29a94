"""What is known of the chance that a leaf, or a frame of bars, fits the first time."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Share:
    """A contributor's share of a gap's variance; all shares of a gap add up to one.

    Attributes:
        name: "mark HL", or a process by its figure in [tolerance]: "bend_angle".
        share: of the variance; a mark tied to others may take a little less than nothing.
    """

    name: str
    share: float


@dataclass(frozen=True, kw_only=True)
class Gap:
    """One gap that has to come out right.

    Attributes:
        name, subject: what it is, and what it belongs to.
        part: the bar or leaf it is a gap of.
        nominal: where it is tightest against its limits, as designed [mm].
        low, high: what it may be [mm]; infinite where there is no bound.
        sd: one standard deviation there, once the part is slid to where it fits best [mm].
        chance: that it is within its limits all round.
        shares: what its doubt consists of, before any sliding, largest first.
        source: of the limits.
    """

    name: str
    subject: str
    part: str
    nominal: float
    low: float
    high: float
    sd: float
    chance: float
    shares: tuple[Share, ...]
    source: str


@dataclass(frozen=True, kw_only=True)
class PartChance:
    """The chance that all gaps of one part come out right at once.

    Attributes:
        name: the bar or leaf.
        chance: of that.
        sampling_error: one standard deviation of it from the number of builds drawn.
        counts: whether it is within the whole that `FirstFit.chance` speaks of.
    """

    name: str
    chance: float
    sampling_error: float
    counts: bool


@dataclass(frozen=True, kw_only=True)
class Decides:
    """What the whole's chance hangs on.

    Attributes:
        name: "mark HL" or a process.
        gain: by how much the chance would rise were it free of error.
        share: of all gains together.
        source: of its figure; "survey" for a mark.
    """

    name: str
    gain: float
    share: float
    source: str


@dataclass(frozen=True, kw_only=True)
class Again:
    """A reading worth taking, once more or for the first time.

    Attributes:
        kind, marks: what to read.
        line: of readings.csv where it was read before; None for a new one.
        gain: by how much the whole's chance rises, the parts made anew from the better survey.
    """

    kind: str
    marks: tuple[str, ...]
    line: int | None
    gain: float


@dataclass(frozen=True, kw_only=True)
class Trim:
    """How much longer to leave a bar, to be trimmed to fit in place.

    Attributes:
        bar: which.
        amount: to leave on each end that is fitted [mm].
        ends: at how many ends.
        before, after: chance that the part fits as drawn, and with that much to trim.
        takes: how much comes off each end, in all but a few builds no more than this [mm].
        part: the part that the bar is of: itself, or its leaf.
    """

    bar: str
    amount: float
    ends: int
    before: float
    after: float
    takes: float = 0.0
    part: str = ""


@dataclass(frozen=True, kw_only=True)
class Open:
    """A gap or an adjustment to open.

    Attributes:
        what: the figure of job.toml: "leaf.side.striker adjust".
        by: how much more [mm].
        gain: by how much the whole's chance rises.
    """

    what: str
    by: float
    gain: float


@dataclass(frozen=True, kw_only=True)
class Source:
    """A tolerance figure that counted: one standard deviation [mm or rad] and where it is from."""

    name: str
    sd: float
    unit: str
    source: str


@dataclass(frozen=True, kw_only=True)
class FirstFit:
    """The chance of first-time fit.

    Attributes:
        chance: that the whole fits, swings and latches without trimming; None where there is
            nothing to fit, and `why` says so.
        sampling_error: one standard deviation of it from the number of builds drawn.
        trimmed: the chance once `trim_to_leave` is followed: bars left long, trimmed last.
        about: what the whole is: "the whole of leaf side and leaf side-twin".
        why: why there is no chance to tell; empty otherwise.
        gaps, parts: each gap, and each part by itself.
        decides: what decides it, the most first.
        measure_again: what to read again or anew, the best first.
        trim_to_leave: by bar.
        open_gap: what to open, the best first.
        target: the chance that the advice aims at.
        sources: every figure that counted.
        notes: what was assumed in this job.
        leaves_out: what is not in the number.
        samples, seed: of the builds drawn.
    """

    chance: float | None
    sampling_error: float = 0.0
    trimmed: float | None = None
    about: str = ""
    why: str = ""
    gaps: tuple[Gap, ...] = ()
    parts: tuple[PartChance, ...] = ()
    decides: tuple[Decides, ...] = ()
    measure_again: tuple[Again, ...] = ()
    trim_to_leave: tuple[Trim, ...] = ()
    open_gap: tuple[Open, ...] = ()
    target: float = 0.95
    sources: tuple[Source, ...] = ()
    notes: tuple[str, ...] = ()
    leaves_out: tuple[str, ...] = ()
    samples: int = 0
    seed: int = 0

    @property
    def trimmed_last(self) -> str:
        """What trimming last brings, as a sentence; empty where there is nothing to trim."""
        if not self.trim_to_leave or self.trimmed is None:
            return ""
        bars = " and ".join(t.bar for t in self.trim_to_leave)
        return f" With {bars} trimmed last, in place: {self.trimmed:.0%}."
