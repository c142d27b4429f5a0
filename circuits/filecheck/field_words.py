"""What a field of a frozen class accepts, in words read off its annotation."""

import dataclasses
import types
from typing import Annotated, Any, Union, get_args, get_origin, get_type_hints

from annotated_types import Ge, Gt, Le, Lt

from circuits.filecheck.draft import shown
from circuits.filecheck.plain_data import Loc

_PLAIN_WORDS = {
    str: "text in quotes",
    float: "a number",
    int: "a whole number",
    bool: "true or false",
}


def field_names(cls: Any) -> tuple[str, ...]:
    """Return the names of the fields of a dataclass, none for any other type."""
    return tuple(f.name for f in dataclasses.fields(cls)) if dataclasses.is_dataclass(cls) else ()


def type_at(cls: Any, loc: Loc) -> Any:
    """Return the annotation at a place below a class."""
    for step in loc:
        cls = _bare(cls)
        if isinstance(step, str) and dataclasses.is_dataclass(cls):
            cls = get_type_hints(cls, include_extras=True).get(step, str)
        elif isinstance(step, int) and get_origin(cls) is tuple:
            arguments = get_args(cls)
            cls = arguments[0] if arguments[-1] is Ellipsis else arguments[step % len(arguments)]
    return cls


def accepted(annotation: Any) -> str:
    """Return what an annotation accepts, in words.

    >>> accepted(Annotated[float, Gt(0), Le(60)]), accepted(tuple[str, str])
    ('a number above 0, up to 60', 'a list of 2')
    """
    bare = _bare(annotation)
    if get_origin(bare) is tuple:
        arguments = get_args(bare)
        return "a list" if arguments[-1] is Ellipsis else f"a list of {len(arguments)}"
    if bare in _PLAIN_WORDS:
        return f"{_PLAIN_WORDS[bare]} {limits(annotation)}".strip()
    if dataclasses.is_dataclass(bare):
        return "a table with " + ", ".join(field_names(bare))
    return " or ".join(shown(choice) for choice in get_args(bare)) or "another value"


def limits(annotation: Any) -> str:
    """Return the limits that an annotation sets to a number, empty for none."""
    if get_origin(annotation) is not Annotated:
        return ""
    return ", ".join(words for limit in get_args(annotation)[1:] if (words := _limit(limit)))


def _limit(limit: object) -> str:
    match limit:
        case Gt():
            return f"above {limit.gt}"
        case Ge():
            return f"{limit.ge} or more"
        case Lt():
            return f"below {limit.lt}"
        case Le():
            return f"up to {limit.le}"
    return ""


def _bare(annotation: Any) -> Any:
    """Return an annotation without its limits, and without ``None`` as a choice."""
    if get_origin(annotation) is Annotated:
        annotation = get_args(annotation)[0]
    if get_origin(annotation) in (Union, types.UnionType):
        annotation = next(a for a in get_args(annotation) if a is not type(None))
    return annotation
