"""What decides the chance, and what would raise it: tried out on the same builds.

Every piece of advice is the same set of builds judged again with one thing changed, so that the
difference is the change's own and hardly the sampling's.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from barwright.fits.chance_draw import Builds, single
from barwright.fits.chance_measure import Candidate, candidates
from barwright.fits.chance_result import Again, Decides, Open, Trim
from barwright.fits.gaps import Model, Reals, fit, slid, travel
from barwright.fits.gaps_rows import TWIN
from barwright.fits.gaps_swing import Built
from barwright.geometry.vectors import Floats

TRIED = 5000
"""How many of the builds are judged again for each piece of advice."""
LEAST_GAIN = 0.004
"""A gain smaller than this is not told: half a per cent is noise."""
LEAST_TRIM = 0.05
"""Less than this is not trimmed on purpose [mm]."""
SHOWN = 5
WEIGHED = 4
"""How many readings are tried out, after a first look at all."""
STEPS = (0.1, 0.25, 0.5, 0.75, 1.0)
"""How far a weld gap is opened as drawn, tried one after another [mm]."""


@dataclass(frozen=True, kw_only=True)
class Advice:
    """All advice on one whole; `trimmed` is its chance with all that is to trim trimmed last."""

    trimmed: float
    decides: tuple[Decides, ...]
    measure_again: tuple[Again, ...]
    trim_to_leave: tuple[Trim, ...]
    open_gap: tuple[Open, ...]


def advise(built: Built, builds: Builds, *, target: float) -> Advice:
    """What decides, what to measure again, what to trim, what to open."""
    trial = _Trial(builds)
    trims = {m.name: _trim(m, trial, target) for m in builds.models}
    last = [trial.fits[name] if trim is None else trim.fits for name, trim in trims.items()]
    return Advice(
        trimmed=float(np.all(last, axis=0).mean()),
        decides=_decides(built, trial),
        measure_again=_again(built, trial),
        trim_to_leave=tuple(trim.told for trim in trims.values() if trim is not None),
        open_gap=_opened(trial, target),
    )


class _Trial:
    """Some builds, kept to be judged again with something changed."""

    def __init__(self, builds: Builds) -> None:
        self.builds = builds
        self.some = slice(0, min(TRIED, builds.count))
        self.values = {m.name: builds.values(m, self.some) for m in builds.models}
        self.fits = {m.name: fit(m, self.values[m.name]) for m in builds.models}
        self.chance = float(np.all(list(self.fits.values()), axis=0).mean())

    def changed(self, off: Mapping[str, Reals]) -> float:
        """The chance with something taken off the rows of some parts."""
        fits = [
            fit(m, self.values[m.name] - off[m.name]) if m.name in off else self.fits[m.name]
            for m in self.builds.models
        ]
        return float(np.all(fits, axis=0).mean())

    def with_models(self, models: list[Model], shift: Mapping[str, Reals]) -> float:
        """The chance with other limits, or rows shifted by (rows,) [mm].

        Args:
            models: the builds' models in their order, some of them changed.
            shift: by name.
        """
        fits = []
        for m, own in zip(models, self.builds.models, strict=True):
            if m is own and m.name not in shift:
                fits.append(self.fits[m.name])
                continue
            by = shift.get(m.name, np.zeros(1)).astype(np.float32)[:, None]
            fits.append(fit(m, self.values[m.name] + by))
        return float(np.all(fits, axis=0).mean())


# ---- what decides -------------------------------------------------------------------------------


def _decides(built: Built, trial: _Trial) -> tuple[Decides, ...]:
    """Each contributor taken away in turn."""
    found = [
        (name, max(trial.changed(off) - trial.chance, 0.0), source)
        for name, off, source in (*_by_mark(built, trial), *_by_kind(trial), *_by_twin(trial))
    ]
    total = sum(gain for _, gain, _ in found)
    ranked = sorted(found, key=lambda f: -f[1])
    return tuple(
        Decides(name=name, gain=gain, share=gain / total, source=source)
        for name, gain, source in ranked
        if gain >= LEAST_GAIN
    )


def _by_mark(built: Built, trial: _Trial) -> Iterator[tuple[str, dict[str, Reals], str]]:
    """A mark known exactly: what its error tells of the others goes too."""
    builds, q = trial.builds, trial.builds.covariance
    numbers = builds.columns[::3] // 3
    each = np.arange(len(q)).reshape(-1, 3)  # the columns come by x, y, z of mark after mark
    known = np.linalg.pinv(q[each[:, :, None], each[:, None]], hermitian=True)
    for number, own, inverse in zip(numbers, each, known, strict=True):
        tells = q[:, own] @ inverse
        told = builds.off(np.eye(3), own, trial.some)
        off = {m.name: single(m.on_marks @ tells[builds.where(m)]) @ told for m in builds.models}
        yield f"mark {built.marks.names[number]}", off, "survey"


def _by_kind(trial: _Trial) -> Iterator[tuple[str, dict[str, Reals], str]]:
    """A process without error."""
    builds = trial.builds
    for kind, source in {d.kind: d.source for d in builds.error_at}.items():
        off = {}
        for m in builds.models:
            own = [i for i, d in enumerate(m.doubts) if d.kind == kind]
            if own:
                off[m.name] = builds.opened(m, own, trial.some)
        yield kind, off, source


def _by_twin(trial: _Trial) -> Iterator[tuple[str, dict[str, Reals], str]]:
    """The other side just as a mirror would show it."""
    known = {m.name: m for m in trial.builds.models}
    for name, twin in known.items():
        first = known.get(name.removesuffix(TWIN))
        if first is twin or first is None or first.nominal.shape != twin.nominal.shape:
            continue
        off = twin.nominal - first.nominal
        said = f"{name} made mirrored, its side up to {np.abs(off).max():.1f} mm otherwise"
        yield said, {name: single(off)[:, None]}, "survey of both sides"


# ---- what to measure again ----------------------------------------------------------------------


def _again(built: Built, trial: _Trial) -> tuple[Again, ...]:
    """The readings that look best, tried out: the survey and the parts made anew with each."""
    found = candidates(built, trial.builds)
    if not found:
        return ()
    weighed = [found[k] for k in np.argsort(-_promises(trial, found), kind="stable")[:WEIGHED]]
    noise = np.random.default_rng(trial.builds.count).standard_normal(trial.some.stop, np.float32)
    tried = [(c, trial.changed(_known(trial, c, noise)) - trial.chance) for c in weighed]
    return tuple(
        Again(kind=c.kind, marks=c.marks, line=c.line, gain=gain)
        for c, gain in sorted(tried, key=lambda t: -t[1])
        if gain >= LEAST_GAIN
    )


def _promises(trial: _Trial, found: list[Candidate]) -> Floats:
    """How much of the variance of rows that fail each reading takes away, at a first look (r,)."""
    q = trial.builds.covariance
    gradients = np.array([c.gradient for c in found])
    gains = gradients @ q
    size = np.einsum("rc,rc->r", gradients, gains) + 1.0
    total = np.zeros(len(found))
    for m in trial.builds.models:
        missing = 1.0 - float(trial.fits[m.name].mean())
        told = (gains[:, trial.builds.where(m)] @ m.on_marks.T) ** 2 / size[:, None]
        spread = trial.values[m.name][:, :500].var(axis=1) + 1e-12
        total += missing * (told / spread).mean(axis=1)
    return total


def _known(trial: _Trial, c: Candidate, noise: Reals) -> dict[str, Reals]:
    """What one more reading takes off every row: its gain times what it would read."""
    builds = trial.builds
    gain = builds.covariance @ c.gradient
    size = float(c.gradient @ gain) + 1.0
    read = builds.off(c.gradient[None], np.arange(len(gain)), trial.some)[0] + noise
    return {
        m.name: np.outer(single(m.on_marks @ gain[builds.where(m)] / size), read)
        for m in builds.models
    }


# ---- what to leave for trimming -----------------------------------------------------------------


@dataclass(frozen=True, kw_only=True, eq=False)
class _Trimmed:
    """What trimming a bar last brings, and which builds fit then."""

    told: Trim
    fits: NDArray[np.bool_]


def _trim(model: Model, trial: _Trial, target: float) -> _Trimmed | None:
    """How much longer to leave the part's bar: what is then too long is trimmed in place."""
    before = float(trial.fits[model.name].mean())
    trimmed = _trimmed_rows(model)
    if not model.bar or before >= target or not np.any(trimmed):
        return None
    values = trial.values[model.name]
    free = replace(model, low=np.where(trimmed, -np.inf, model.low))
    ends = len(np.unique(model.gap_of[trimmed]))
    mended = fit(replace(free, high=np.where(trimmed, np.inf, model.high)), values)
    if not np.any(mended):
        return None
    least, most = travel(free, values)
    short = np.maximum((least - most)[mended] / ends, 0.0)  # where trimming can mend at all
    amount = float(np.quantile(short, target))
    amount = np.ceil(amount * 10.0) / 10.0
    longer = values - single(amount * np.abs(model.slide) * trimmed)[:, None]
    fits = fit(free, longer)
    after = float(fits.mean())
    least, most = travel(model, longer)
    off = np.maximum((least - most)[fits] / ends, 0.0)
    takes = float(np.quantile(off, target)) if after else 0.0
    if after - before < LEAST_GAIN or max(amount, takes) < LEAST_TRIM:
        return None
    told = Trim(
        bar=model.bar,
        amount=float(amount),
        ends=ends,
        before=before,
        after=after,
        takes=takes,
        part=model.name,
    )
    return _Trimmed(told=told, fits=fits)


def _trimmed_rows(model: Model) -> NDArray[np.bool_]:
    """Rows of the ends that can be trimmed: a coped bar's saddles, a leaf's latch end."""
    ends = [g.subject.startswith("bar.") or "latch carrier" in g.name for g in model.gaps]
    return np.asarray(np.array(ends)[model.gap_of])


# ---- what to open -------------------------------------------------------------------------------


def _opened(trial: _Trial, target: float) -> tuple[Open, ...]:
    """Every gap that a figure of the job opens, opened."""
    names = dict.fromkeys(g.opens_by for m in trial.builds.models for g in m.gaps if g.opens_by)
    found = [
        _weld_gap(trial, n) if n.endswith("weld_gap") else _wider(trial, n, target) for n in names
    ]
    kept = [f for f in found if f is not None and f.gain >= LEAST_GAIN]
    return tuple(sorted(kept, key=lambda f: -f.gain)[:SHOWN])


def _rows_of(model: Model, name: str) -> NDArray[np.bool_]:
    return np.asarray(np.array([g.opens_by == name for g in model.gaps])[model.gap_of])


def _weld_gap(trial: _Trial, name: str) -> Open | None:
    """The weld gap as drawn, opened step by step: the best step."""
    models = list(trial.builds.models)
    tried = []
    for step in STEPS:
        shift = {m.name: step * _rows_of(m, name) for m in models if np.any(_rows_of(m, name))}
        tried.append(Open(what=name, by=step, gain=trial.with_models(models, shift) - trial.chance))
    return max(tried, key=lambda t: t.gain, default=None)


def _wider(trial: _Trial, name: str, target: float) -> Open | None:
    """Limits widened by what the gap is short of in all but a few builds."""
    short = [
        _shortage(m, trial.values[m.name], _rows_of(m, name))
        for m in trial.builds.models
        if np.any(_rows_of(m, name))
    ]
    by = float(np.quantile(np.max(short, axis=0), target))
    if by <= 0.0:
        return None
    by = float(np.ceil(by * 10.0) / 10.0)
    models = [
        replace(m, low=m.low - by * rows, high=m.high + by * rows) if np.any(rows) else m
        for m, rows in ((m, _rows_of(m, name)) for m in trial.builds.models)
    ]
    each_way = 2.0 if name.endswith("adjust") else 1.0
    return Open(what=name, by=each_way * by, gain=trial.with_models(models, {}) - trial.chance)


def _shortage(model: Model, values: Reals, rows: NDArray[np.bool_]) -> Reals:
    """(n,) how far beyond its limits a gap is where the rest of the part would have it [mm]."""
    rest = replace(model, slide=np.where(rows, 0.0, model.slide))
    moved = values[rows] + single(model.slide[rows])[:, None] * slid(rest, values)
    low, high = single(model.low[rows])[:, None], single(model.high[rows])[:, None]
    return np.asarray(np.maximum(low - moved, moved - high).max(axis=0))
