"""Which job a pack was made from: a number that changes when the job does."""

from __future__ import annotations

import json

from barwright.job.schema import Job
from barwright.pack.folder import checksum


def job_hash(job: Job) -> str:
    """SHA-256 over what the job says, in millimetres and radians; comments do not count.

    >>> job_hash(Job()) == job_hash(Job()), len(job_hash(Job()))
    (True, 64)
    """
    said = job.model_dump(mode="json", by_alias=True)
    return checksum(json.dumps(said, sort_keys=True, separators=(",", ":")).encode("utf-8"))
