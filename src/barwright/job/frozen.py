"""An immutable, hashable mapping, so that a whole job can be a key."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any, TypeVar, get_args

from pydantic_core import CoreSchema, core_schema

from barwright.job.names import LONGEST_NAME, NAME_PATTERN

if TYPE_CHECKING:
    from pydantic import GetCoreSchemaHandler

V = TypeVar("V")


class FrozenMap(Mapping[str, V]):
    """Names to values, in the order they were written, never changed.

    >>> bars = FrozenMap({"upper": 1, "sill": 2})
    >>> bars["sill"], list(bars), hash(bars) == hash(FrozenMap(dict(bars)))
    (2, ['upper', 'sill'], True)
    """

    __slots__ = ("_items", "_key")

    def __init__(self, items: Mapping[str, V] | None = None) -> None:
        self._items: dict[str, V] = dict(items or {})
        self._key: int | None = None

    def __getitem__(self, name: str) -> V:
        return self._items[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._items)

    def __len__(self) -> int:
        return len(self._items)

    def __hash__(self) -> int:
        if self._key is None:
            self._key = hash(tuple(self._items.items()))
        return self._key

    def __eq__(self, other: object) -> bool:
        if isinstance(other, FrozenMap):
            return list(self._items.items()) == list(other._items.items())
        return NotImplemented

    def __repr__(self) -> str:
        return f"FrozenMap({self._items!r})"

    @classmethod
    def __get_pydantic_core_schema__(
        cls,
        source: Any,  # noqa: ANN401 - pydantic's own signature
        handler: GetCoreSchemaHandler,
    ) -> CoreSchema:
        (value,) = get_args(source) or (Any,)
        name = core_schema.str_schema(pattern=NAME_PATTERN, max_length=LONGEST_NAME)
        inner = core_schema.dict_schema(name, handler.generate_schema(value))
        return core_schema.no_info_after_validator_function(
            cls,
            inner,
            serialization=core_schema.plain_serializer_function_ser_schema(dict),
        )


def frozen(value: Any) -> Any:  # noqa: ANN401 - whatever a TOML file can hold
    """The value with every array a tuple and every table a `FrozenMap`, all the way down.

    >>> frozen({"holes": [1, [2, 3]]})
    FrozenMap({'holes': (1, (2, 3))})
    """
    if isinstance(value, Mapping):
        return FrozenMap({k: frozen(v) for k, v in value.items()})
    if isinstance(value, list | tuple):
        return tuple(frozen(v) for v in value)
    return value
