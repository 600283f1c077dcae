"""How do frozen dataclasses become plain JSON values and come back checked?

Events and commands are frozen dataclasses of str, int, bool, tuples of those, and dataclasses; a Mapping is
a JSON object as it came.
"""

import dataclasses
import types
from collections.abc import Mapping
from functools import cache
from typing import Any, NamedTuple, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from lotroot.errors import Unreadable

T = TypeVar("T")


def encode(value: Any) -> Any:
    """Plain values of a dataclass; fields that are None or stand at their default are left out."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {
            field.name: encode(getattr(value, field.name))
            for field in dataclasses.fields(value)
            if getattr(value, field.name) != field.default
        }
    if isinstance(value, tuple):
        return [encode(part) for part in value]
    return value


def decode(kind: type[T], plain: Mapping[str, Any]) -> T:
    """A dataclass from plain values. Raises Unreadable naming the field that does not fit."""
    shape: _Shape = _shape(cast("Any", kind))
    unknown = sorted(set(plain) - set(shape.hints))
    if unknown:
        raise _unfit(unknown[0], "a field that is not known here", f"One of: {', '.join(shape.hints)}.")
    values = {name: _fit(name, shape.hints[name], part) for name, part in plain.items()}
    missing = [name for name in shape.required if name not in values]
    if missing:
        raise _unfit(missing[0], "nothing", "A value: the field is required.")
    return kind(**values)


class _Shape(NamedTuple):
    hints: dict[str, Any]
    required: tuple[str, ...]


@cache
def _shape(kind: Any) -> _Shape:
    hints = get_type_hints(kind)
    fields = dataclasses.fields(kind)
    required = tuple(field.name for field in fields if _is_required(field))
    return _Shape({field.name: hints[field.name] for field in fields}, required)


def _is_required(field: "dataclasses.Field[Any]") -> bool:
    return field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING


def _fit(name: str, hint: Any, part: Any) -> Any:
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        choices = [choice for choice in get_args(hint) if choice is not type(None)]
        return None if part is None else _fit(name, choices[0], part)
    if origin is tuple:
        return _fit_tuple(name, get_args(hint), part)
    if origin is Mapping or (dataclasses.is_dataclass(hint) and isinstance(hint, type)):
        if not isinstance(part, Mapping):
            raise _unfit(name, repr(part)[:60], "An object.")
        return part if origin is Mapping else decode(hint, part)
    if type(part) is not hint:
        raise _unfit(name, repr(part)[:60], _EXPECTED.get(hint, "Another kind of value."))
    return part


def _fit_tuple(name: str, inner: tuple[Any, ...], part: Any) -> tuple[Any, ...]:
    if not isinstance(part, (list, tuple)):
        raise _unfit(name, repr(part)[:60], "A list.")
    if inner[-1] is Ellipsis:
        return tuple(_fit(name, inner[0], one) for one in part)
    if len(inner) != len(part):
        raise _unfit(name, repr(part)[:60], f"A list of {len(inner)}.")
    return tuple(_fit(name, hint, one) for hint, one in zip(inner, part, strict=True))


_EXPECTED = {int: "A whole number.", str: "Text.", bool: "true or false."}


def _unfit(name: str, value: str, expected: str) -> Unreadable:
    return Unreadable(
        f"The field “{name}” cannot be used as it is.",
        value=value,
        expected=expected,
        next_step="Correct the field and send it again.",
    )
