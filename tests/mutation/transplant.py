"""Puts a fault into modules that are imported already, so that tests which are collected already can run on it.

The faulty source is compiled and run beside the sound module. Every function made of the sound source then gets the
faulty code, whoever holds it, and every plain value at the top of the module its faulty one.
"""

from __future__ import annotations

import ast
import functools
import gc
import sys
from pathlib import Path
from types import CodeType, FunctionType, ModuleType
from typing import Any

__all__ = ["forget", "transplant"]

_PLAIN = (bool, int, float, str, tuple, frozenset, dict, list)


def transplant(file: Path, tree: ast.Module) -> bool:
    """Make the module of a file faulty in this process; return whether it could be done without a new import."""
    path = str(file.resolve())
    module = next((m for m in list(sys.modules.values()) if getattr(m, "__file__", None) == path), None)
    if module is None:
        return False
    faulty: dict[str, Any] = {**_frame(module)}
    exec(compile(tree, path, "exec", dont_inherit=True), faulty)
    codes = {_key(code): code for code in _codes_in(compile(tree, path, "exec", dont_inherit=True))}
    changed = False
    for function in [f for f in gc.get_objects() if isinstance(f, FunctionType) and f.__globals__ is vars(module)]:
        if function.__code__.co_filename != path:  # written by a dataclass
            continue
        code = codes.get(_key(function.__code__))
        if code is None or code.co_freevars != function.__code__.co_freevars:
            return False
        changed |= _work(code) != _work(function.__code__)
        function.__code__ = code
        twin = faulty.get(function.__name__)
        if isinstance(twin, FunctionType) and function.__qualname__ == function.__name__:
            changed |= twin.__defaults__ != function.__defaults__ or twin.__kwdefaults__ != function.__kwdefaults__
            function.__defaults__, function.__kwdefaults__ = twin.__defaults__, twin.__kwdefaults__
    changed |= _give_values(module, faulty)
    forget()
    return changed


def forget() -> None:
    """Empty every cache of the package: what is in it was worked out without the fault."""
    for held in gc.get_objects():
        if isinstance(held, functools._lru_cache_wrapper) and held.__module__.startswith("progdoc"):
            held.cache_clear()


def _frame(module: ModuleType) -> dict[str, Any]:
    return {name: value for name, value in vars(module).items() if name.startswith("__") and name != "__builtins__"}


def _key(code: CodeType) -> tuple[str, int]:
    return code.co_qualname, code.co_firstlineno


def _work(code: CodeType) -> tuple[object, ...]:
    return code.co_code, code.co_consts, code.co_names


def _codes_in(code: CodeType) -> list[CodeType]:
    inner = [one for const in code.co_consts if isinstance(const, CodeType) for one in _codes_in(const)]
    return [code, *inner]


def _give_values(module: ModuleType, faulty: dict[str, Any]) -> bool:
    changed = False
    for name, sound in list(vars(module).items()):
        value = faulty.get(name)
        if name.startswith("__") or type(value) is not type(sound) or not isinstance(sound, _PLAIN):
            continue
        if repr(value) == repr(sound):
            continue
        changed = True
        for other in list(sys.modules.values()):
            if (getattr(other, "__name__", "") or "").startswith("progdoc") and getattr(other, name, None) is sound:
                setattr(other, name, value)
    return changed
