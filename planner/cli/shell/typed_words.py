"""Words of a call that are taken as typed, without the validator that typer makes for each option.

Those need pydantic, which takes longer to load than typer and YAML together. What was left out needs none,
nor do text and paths. Numbers, and text that is no Unicode, go to typer, which refuses in its own words.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

_TAKEN: dict[Any, type] = {str: str, list[str]: str, Path: Path}


def taken_as_typed(params: Iterable[Any]) -> list[Any]:
    """The same parameters, taking text, paths and what was left out without typer's validators."""
    params = list(params)
    for param in params:
        described = getattr(param, "type_descriptor", None)  # typers without it load no pydantic
        if described is not None and "process_value" not in vars(param):
            param.process_value = _process(param, _TAKEN.get(described.annotation))
    return params


def _process(param: Any, kind: type | None) -> Callable[[Any, Any], Any]:
    """What becomes of a parameter's value: the same as ``param.process_value``, sooner."""
    validated = param.process_value
    many = param.multiple or param.nargs == -1

    def process_value(ctx: Any, value: Any) -> Any:
        source = ctx.get_parameter_source(param.name)
        words = () if value is None else tuple(value) if many else (value,)
        if value is None or (source is not None and source.name == "DEFAULT" and not many):
            found = () if many else value
        elif kind is not None and all(_is_plain(word, kind) for word in words):
            found = [kind(word) for word in words] if many else kind(value)
        else:
            return validated(ctx, value)
        if param.required and param.value_is_missing(found):
            return validated(ctx, value)  # which says what is missing
        return found if param.callback is None else param.callback(ctx, param, found)

    return process_value


def _is_plain(word: object, kind: type) -> bool:
    """Whether it is of its kind already, or text to be made so."""
    return isinstance(word, kind) if not isinstance(word, str) else word.isascii() or _is_unicode(word)


def _is_unicode(word: str) -> bool:
    try:
        word.encode()
    except UnicodeEncodeError:
        return False
    return True
