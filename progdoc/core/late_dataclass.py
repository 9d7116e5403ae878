"""`@dataclass` of the standard library for classes with slots, whose methods are written when they are first called.

The standard library writes and compiles six methods of each class as it is imported. A run imports hundreds of such
classes, makes some of them, and compares or prints few: what it never calls costs nothing here. What such a class does
is the same, `replace`, `fields`, `copy` and `pickle` included.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import MISSING, Field, FrozenInstanceError
from typing import TYPE_CHECKING, Any, NoReturn

__all__ = ["dataclass"]

_FIELDS = "__dataclass_fields__"
_FACTORY = object()  # stands where a value is made anew for each
_BARE = ("__annotations__", "__module__", "__doc__")


def _late(*, slots: bool, frozen: bool = False, order: bool = False) -> Callable[[type], type]:
    assert slots  # without them there is little to be won: take the standard library's

    def made(given: type) -> type:
        names = tuple(given.__annotations__)
        own = {name: value for name, value in vars(given).items() if name not in ("__dict__", "__weakref__")}
        bare = {name: own.pop(name) for name in names if name in own} | {name: getattr(given, name) for name in _BARE}
        own |= {"__slots__": names, "__match_args__": names, "__qualname__": given.__qualname__}
        own |= {"__init__": _init, _FIELDS: _Fields(bare)}
        for name in (*_COMPARED, *_ORDERED) if order else _COMPARED:
            own.setdefault(name, _FIRST[name])
        if frozen:
            own |= {"__setattr__": _set, "__delattr__": _delete, "__getstate__": _state, "__setstate__": _restored}
        else:
            own["__hash__"] = None
        return type(given)(given.__name__, given.__bases__, own)

    return made


class _Fields:
    """The fields of a class, and its methods, worked out by the standard library when they are asked for."""

    __slots__ = ("_found", "bare")

    def __init__(self, bare: dict[str, Any]) -> None:
        self.bare, self._found = bare, None

    def __get__(self, _instance: object, owner: type) -> Any:
        if self._found is None:
            self._found = self.whole(owner, eq=False, repr=False).__dataclass_fields__
        return self._found

    def whole(self, owner: type, **which: bool) -> Any:
        """Return a class with the same fields and the methods that are asked for, and nothing else."""
        return dataclasses.dataclass(init=False, **which)(type(owner.__name__, (), dict(self.bare)))


def _owner(instance: object, name: str, held: object) -> Any:
    """Return the class of an instance, or that of those it derives from, under whose name this is held."""
    return next(kind for kind in type(instance).__mro__ if vars(kind).get(name) is held)


def _init(self: Any, *values: Any, **named: Any) -> None:
    """Write what fills the slots of a class, put it in this one's place, and call it."""
    owner = _owner(self, "__init__", _init)
    known: dict[str, Any] = {"_FACTORY": _FACTORY}
    parameters, lines = ["self"], []
    for name in owner.__match_args__:
        parameter = value = name
        default = field = vars(owner)[_FIELDS].bare.get(name, MISSING)
        if isinstance(field, Field):
            if not field.init:
                continue
            default = field.default
            if field.default_factory is not MISSING:
                known[f"_new_{name}"] = field.default_factory
                parameter, value = f"{name}=_FACTORY", f"_new_{name}() if {name} is _FACTORY else {name}"
        if default is not MISSING:
            known[f"_default_{name}"] = default
            parameter = f"{name}=_default_{name}"
        known[f"_set_{name}"] = vars(owner)[name].__set__
        parameters.append(parameter)
        lines.append(f" _set_{name}(self, {value})\n")
    if hasattr(owner, "__post_init__"):
        lines.append(" self.__post_init__()\n")
    exec(f"def __init__({', '.join(parameters)}):\n{''.join(lines) or ' pass'}", known)
    known["__init__"].__qualname__ = f"{owner.__qualname__}.__init__"
    owner.__init__ = known["__init__"]
    owner.__init__(self, *values, **named)


def _first(name: str) -> Callable[..., Any]:
    """Return a method that puts all those that compare or print into the class, and calls its own among them."""

    def first(self: Any, *other: Any) -> Any:
        owner = _owner(self, name, first)
        held = vars(owner)
        whole = held[_FIELDS].whole(owner, unsafe_hash=held["__hash__"] is not None, order="__lt__" in held)
        for other_name, stub in _FIRST.items():
            if held.get(other_name) is stub:
                setattr(owner, other_name, vars(whole)[other_name])
        return getattr(owner, name)(self, *other)

    return first


def _set(self: object, name: str, value: object) -> NoReturn:
    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def _delete(self: object, name: str) -> NoReturn:
    raise FrozenInstanceError(f"cannot delete field {name!r}")


def _state(self: Any) -> list[object]:
    return [getattr(self, name) for name in self.__match_args__]


def _restored(self: Any, state: list[object]) -> None:
    for name, value in zip(self.__match_args__, state, strict=True):
        object.__setattr__(self, name, value)


_COMPARED = ("__eq__", "__hash__", "__repr__")
_ORDERED = ("__lt__", "__le__", "__gt__", "__ge__")
_FIRST = {name: _first(name) for name in (*_COMPARED, *_ORDERED)}

if TYPE_CHECKING:
    from dataclasses import dataclass
else:
    dataclass = _late
