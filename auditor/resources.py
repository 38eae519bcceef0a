"""Finds `schemas/` and `templates/`: the checkout's folder if it is there, else the wheel's copy."""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def shipped(folder: str, name: str = "") -> Path:
    """Path of a shipped file.

    Parameters
    ----------
    folder : "schemas" or "templates"
    name : file name in it; empty for the folder itself

    Raises
    ------
    FileNotFoundError : neither the checkout nor the wheel has it (a broken installation)
    """
    for root in (_PACKAGE.parent, _PACKAGE / "_shipped"):
        path = root / folder / name
        if path.exists() and (root != _PACKAGE.parent or (root / "pyproject.toml").is_file()):
            return path
    raise FileNotFoundError(f"{folder}/{name} is missing from this installation")
