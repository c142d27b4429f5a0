"""The components' scripts and styles, read from the files beside this one."""

from pathlib import Path

_HERE = Path(__file__).parent


def script(name: str) -> str:
    """Return a component's script behind the one that both components share."""
    return _text("lab.js") + "\n" + _text(f"{name}.js")


def style(name: str) -> str:
    """Return a component's style sheet."""
    return _text(f"{name}.css")


def _text(name: str) -> str:
    return (_HERE / name).read_text(encoding="utf-8")
