"""Which marks float: nothing, or too little, holds them to the rest.

A motion of the marks that no reading feels, and that does not move the whole as one piece,
means a loose mark or a loose group. It is looked for twice: at a general position of the marks
that keeps to the linear readings, before any solving, where it shows what the *set* of
readings cannot hold; and at the solution, where a special shape may hold less (a mark in one
plane with all the marks it is taped to).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats
from barwright.job.errors import Fault
from barwright.survey import equations
from barwright.survey.adjust import Block, Linearised, adjust, dense
from barwright.survey.equations import Network, linearise
from barwright.survey.faults import FILE
from barwright.survey.motion import free_twists, twists

_STILL = 1e-6


@dataclass(frozen=True, kw_only=True, eq=False)
class Loose:
    """Motions of the marks that no reading feels, beyond moving the whole.

    Attributes:
        motions: (3n, k) an orthonormal base.
        groups: the marks that float, group by group.
    """

    motions: Floats
    groups: tuple[tuple[str, ...], ...]


def general_position(network: Network, size: float) -> Floats:
    """Marks (n, 3) strewn at random, moved to keep the linear readings, lines and planes."""
    random = np.random.default_rng(20)
    n = len(network.names)
    x = random.uniform(-0.5, 0.5, (n, 3)) * size
    rows = tuple(r for r in network.rows if r.form is None)
    told = Network(
        names=network.names, readings=network.readings, rows=rows, straights=network.straights
    )
    if not rows and not network.straights:
        return x
    found = adjust(lambda v: linearise(told, v.reshape(-1, 3)), x.ravel(), most=15, damping=1e-9)
    return found.x.reshape(-1, 3)


def _scaled(at: Linearised) -> Linearised:
    """Every row scaled to length one, so that units and plus/minuses do not matter."""
    blocks = []
    for b in at.blocks:
        length = np.linalg.norm(b.values, axis=1, keepdims=True)
        blocks.append(Block(columns=b.columns, values=b.values / np.maximum(length, 1e-300)))
    return Linearised(residual=at.residual, blocks=tuple(blocks))


def loose_motions(at: Linearised, x: Floats, *, least: float) -> Floats:
    """Motions (3n, k) no reading feels, those of the whole left out.

    Args:
        at: residuals and Jacobian at x.
        x: (n, 3).
        least: a motion is felt where a unit of it moves the unit rows by more than this.
    """
    u = x.size
    scaled = _scaled(at)
    whole = np.linalg.qr(twists(x) @ free_twists(scaled, x))[0]
    j = dense(scaled, u)
    normal = j.T @ j + whole @ whole.T
    values, vectors = np.linalg.eigh(normal)
    return np.asarray(vectors[:, values < least**2])


def _stretch(motions: Floats, x: Floats) -> Floats:
    """(n, n) how much the motions change the distance between two marks."""
    n = len(x)
    w = motions.reshape(n, 3, -1)
    apart = x[:, None] - x[None]
    length = np.maximum(np.linalg.norm(apart, axis=2), 1e-9)
    rate = np.einsum("ijak,ija->ijk", w[:, None] - w[None], apart / length[..., None])
    return np.asarray(np.abs(rate).max(axis=2, initial=0.0))


def _body(rigid: NDArray[np.bool_], among: Sequence[int]) -> list[int]:
    """A large set of marks all rigid with one another, grown from the best connected."""
    order = sorted(among, key=lambda i: (-int(rigid[i, list(among)].sum()), i))
    body: list[int] = []
    for i in order:
        if all(rigid[i, j] for j in body):
            body.append(i)
    return body


def loose_groups(motions: Floats, x: Floats) -> list[list[int]]:
    """The marks outside the largest rigid body, in rigid bodies of their own."""
    rigid = _stretch(motions, x) < 1e-4
    moves = np.abs(motions.reshape(len(x), 3, -1)).max(axis=(1, 2), initial=0.0)
    left = list(range(len(x)))
    still = [i for i in left if moves[i] < 1e-5]
    main = still if len(still) >= 3 else _body(rigid, left)
    left = [i for i in left if i not in set(main)]
    groups = []
    while left:
        body = _body(rigid, left)
        groups.append(sorted(body))
        left = [i for i in left if i not in set(body)]
    return groups


def find_loose(network: Network, x: Floats, *, least: float = _STILL) -> Loose | None:
    """What floats at these positions; None where everything holds."""
    motions = loose_motions(linearise(network, x), x, least=least)
    if not motions.shape[1]:
        return None
    groups = loose_groups(motions, x) or [list(range(len(x)))]
    return Loose(
        motions=motions,
        groups=tuple(tuple(network.names[i] for i in group) for group in groups),
    )


def _direction(i: int, j: int, x: Floats) -> Floats:
    _, gradient = equations.distance(x[[i, j]][None])
    row = np.zeros((len(x), 3))
    row[[i, j]] = gradient[0]
    return row.ravel()


def _fixes(group: Sequence[int], x: Floats) -> Iterator[tuple[str, tuple[int, ...], Floats]]:
    """Readings that might hold a loose group: tapes to the nearest marks first."""
    outside = [j for j in range(len(x)) if j not in set(group)]
    apart = np.linalg.norm(x[list(group)][:, None] - x[outside][None], axis=2)
    ranked = np.dstack(np.unravel_index(np.argsort(apart, axis=None), apart.shape))[0]
    for a, b in ranked[:60]:
        i, j = group[a], outside[b]
        yield "tape", (i, j), _direction(i, j, x)
    for kind, axis in (("height", 2), ("offset", 1), ("station", 0)):
        for i in group:
            row = np.zeros((len(x), 3))
            row[i, axis] = 1.0
            yield kind, (i,), row.ravel()


def remedies(group: Sequence[int], motions: Floats, x: Floats) -> list[tuple[str, tuple[int, ...]]]:
    """Readings that together would hold a group, each taking away one loose motion."""
    of_group = np.zeros((len(x), 3), dtype=bool)
    of_group[list(group)] = True
    left = motions
    # what the other loose groups do is not this group's to mend
    inside = np.linalg.svd(left[of_group.ravel()], full_matrices=False)
    left = left @ inside[2][inside[1] > 1e-6].T
    chosen: list[tuple[str, tuple[int, ...]]] = []
    for kind, marks, row in _fixes(group, x):
        if not left.shape[1]:
            break
        felt = row @ left
        size = float(np.linalg.norm(felt))
        if size > 0.05:
            keep = np.linalg.svd((felt / size)[None])[2][1:]
            left = left @ keep.T
            chosen.append((kind, marks))
    return chosen


def _lines(network: Network, names: Sequence[str]) -> str:
    lines = [r.line for r in network.readings if set(r.marks) & set(names)]
    return "no reading" if not lines else "line " + ", ".join(str(i) for i in lines[:8])


def _only_line(network: Network, names: Sequence[str]) -> int | None:
    """The line to look at, where a single reading is about these marks."""
    lines = [r.line for r in network.readings if set(r.marks) & set(names)]
    return lines[0] if len(lines) == 1 else None


_ALIKE = str.maketrans({"0": "o", "1": "i", "l": "i", "-": None, "_": None})


def _meant(network: Network, group: Sequence[str]) -> str:
    """The mark that was probably meant by a lone one: it looks the same but for how it is typed."""
    if len(group) != 1:
        return ""

    def looks(name: str) -> str:
        return name.casefold().translate(_ALIKE)

    near = [n for n in network.names if n != group[0] and looks(n) == looks(group[0])]
    return f"did you mean {near[0]}? If not, " if near else ""


def floating_faults(network: Network, x: Floats, loose: Loose) -> tuple[Fault, ...]:
    """One fault for every mark or group that floats, with the readings that would hold it."""
    out = []
    for group in loose.groups:
        numbers = [network.index[name] for name in group]
        few = group if len(group) <= 8 else (*group[:8], f"and {len(group) - 8} more")
        what = f"mark {group[0]} floats" if len(group) == 1 else f"marks {', '.join(few)} float"
        wanted = remedies(numbers, loose.motions, x) if len(group) < len(x) else []
        take = "; ".join(
            f"{kind} {' '.join(network.names[m] for m in marks)}" for kind, marks in wanted
        )
        out.append(
            Fault(
                file=FILE,
                entry="marks",
                line=_only_line(network, group),
                read=f"{_lines(network, group)} about {' '.join(few)}",
                expected=f"{what}: {len(wanted)} more reading{'s' * (len(wanted) != 1)} needed"
                if wanted
                else f"{what}: nothing gives its size or holds it together",
                do=_meant(network, group)
                + (f"take {take}" if take else "tape between the marks, each to three others"),
            )
        )
    return tuple(out)
