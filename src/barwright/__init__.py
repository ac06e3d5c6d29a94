"""Barwright: from readings taken on the vehicle to parts that fit the first time.

    import barwright as bw

    job = bw.load("examples/heron")
    build = bw.build(job)
    for finding in build.findings:
        print(finding.level, finding.subject, finding.says)

Names are loaded when first used, so that `barwright --help` answers at once.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from barwright.findings import Finding, Level
    from barwright.job.errors import BadInput, BarwrightError, Fault
    from barwright.job.load import load
    from barwright.job.schema import Job
    from barwright.pack.notebook import Shown, show
    from barwright.pack.write import write
    from barwright.route import Build, build, solve

__version__ = "0.1.0"

_HOMES = {
    "BadInput": "barwright.job.errors",
    "BarwrightError": "barwright.job.errors",
    "Build": "barwright.route",
    "Fault": "barwright.job.errors",
    "Finding": "barwright.findings",
    "Job": "barwright.job.schema",
    "Level": "barwright.findings",
    "Shown": "barwright.pack.notebook",
    "build": "barwright.route",
    "load": "barwright.job.load",
    "show": "barwright.pack.notebook",
    "solve": "barwright.route",
    "write": "barwright.pack.write",
}

__all__ = [
    "BadInput",
    "BarwrightError",
    "Build",
    "Fault",
    "Finding",
    "Job",
    "Level",
    "Shown",
    "build",
    "load",
    "show",
    "solve",
    "write",
]


def __getattr__(name: str) -> Any:  # noqa: ANN401 - whatever is asked for
    if name in _HOMES:
        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'barwright' has no attribute {name!r}")
