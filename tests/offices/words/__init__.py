"""The words of offices, one module a language. Each holds `HEADINGS` (role -> words), `SHEETS` (kind of
table -> names), `KINDS` (kind of device -> word, prefix of its tags), `ROOMS`, and `SAYS` (what lines,
status columns and marks say). Alternatives stand with a bar between them."""

from importlib import import_module
from types import ModuleType

LANGUAGES = ("en", "de", "fr", "es", "nl", "it")


def language(name: str) -> ModuleType:
    return import_module(f"tests.offices.words.{name}")
