"""How do frozen dataclasses become plain JSON values and come back checked?

Events and commands are frozen dataclasses of str, int, bool, tuples of those, and dataclasses; a Mapping is
a JSON object as it came.
"""

import dataclasses
import types
from collections.abc import Callable, Mapping
from functools import cache
from typing import Any, NamedTuple, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from lotroot.errors import Unreadable

T = TypeVar("T")


def encode(value: Any) -> Any:
    """Plain values of a dataclass; fields that are None or stand at their default are left out."""
    if isinstance(value, tuple):
        return [encode(part) for part in value]
    usual = _usual(cast("Any", type(value)))
    if usual is None:
        return value
    found = {}
    for name, default in usual:
        part = getattr(value, name)
        if part != default:
            found[name] = encode(part)
    return found


@cache
def _usual(kind: Any) -> tuple[tuple[str, Any], ...] | None:
    """The fields of a dataclass with their defaults; None for any other type."""
    if not dataclasses.is_dataclass(kind):
        return None
    return tuple((field.name, field.default) for field in dataclasses.fields(kind))


def decode(kind: type[T], plain: Mapping[str, Any]) -> T:
    """A dataclass from plain values. Raises Unreadable naming the field that does not fit."""
    shape: _Shape = _shape(cast("Any", kind))
    values = {}
    for name, part in plain.items():
        fit = shape.fits.get(name)
        if fit is None:
            raise _unfit(name, "a field that is not known here", f"One of: {', '.join(shape.fits)}.")
        values[name] = fit(name, part)
    for name in shape.required:
        if name not in values:
            raise _unfit(name, "nothing", "A value: the field is required.")
    return kind(**values)


Fit = Callable[[str, Any], Any]
"""Gives a field's value as it is to stand, or raises Unreadable naming the field."""


class _Shape(NamedTuple):
    fits: dict[str, Fit]
    required: tuple[str, ...]


@cache
def _shape(kind: Any) -> _Shape:
    hints = get_type_hints(kind)
    fields = dataclasses.fields(kind)
    required = tuple(field.name for field in fields if _is_required(field))
    return _Shape({field.name: _fit(hints[field.name]) for field in fields}, required)


def _is_required(field: "dataclasses.Field[Any]") -> bool:
    return field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING


def _fit(hint: Any) -> Fit:
    """How a value of a type is checked: worked out once a type, asked at every event."""
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        inner = _fit(next(choice for choice in get_args(hint) if choice is not type(None)))
        return lambda name, part: None if part is None else inner(name, part)
    if origin is tuple:
        return _fit_tuple(get_args(hint))
    if origin is Mapping or (dataclasses.is_dataclass(hint) and isinstance(hint, type)):
        return _fit_object(None if origin is Mapping else hint)
    return _fit_plain(hint)


def _fit_plain(hint: Any) -> Fit:
    def fit(name: str, part: Any) -> Any:
        if type(part) is not hint:
            raise _unfit(name, repr(part)[:60], _EXPECTED.get(hint, "Another kind of value."))
        return part

    return fit


def _fit_object(kind: type | None) -> Fit:
    def fit(name: str, part: Any) -> Any:
        if not isinstance(part, Mapping):
            raise _unfit(name, repr(part)[:60], "An object.")
        return part if kind is None else decode(kind, part)

    return fit


def _fit_tuple(inner: tuple[Any, ...]) -> Fit:
    several = inner[-1] is Ellipsis
    fits = [_fit(hint) for hint in inner if hint is not Ellipsis]

    def fit(name: str, part: Any) -> Any:
        if not isinstance(part, (list, tuple)):
            raise _unfit(name, repr(part)[:60], "A list.")
        if several:
            return tuple([fits[0](name, one) for one in part])
        if len(fits) != len(part):
            raise _unfit(name, repr(part)[:60], f"A list of {len(fits)}.")
        return tuple([one(name, value) for one, value in zip(fits, part, strict=True)])

    return fit


_EXPECTED = {int: "A whole number.", str: "Text.", bool: "true or false."}


def _unfit(name: str, value: str, expected: str) -> Unreadable:
    return Unreadable(
        f"The field “{name}” cannot be used as it is.",
        value=value,
        expected=expected,
        next_step="Correct the field and send it again.",
    )
