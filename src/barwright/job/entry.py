"""What every table of the job file is: frozen, and nothing in it that Barwright does not know."""

from __future__ import annotations

from typing import Annotated, TypeAlias

from pydantic import BaseModel, ConfigDict, Field

from barwright.job.names import LONGEST_NAME, NAME_PATTERN

Name: TypeAlias = Annotated[str, Field(min_length=1, max_length=LONGEST_NAME, pattern=NAME_PATTERN)]
"""A name of a mark, bar, leaf …: no blanks, quotes, dots or slashes."""


class Entry(BaseModel):
    """A table of job.toml: frozen, and nothing in it that Barwright does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)


__all__ = ["Entry", "Name"]
