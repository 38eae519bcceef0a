"""What stops a file or a command. Each error carries one sentence for the user and an exit code."""

from collections.abc import Iterator
from contextlib import contextmanager


class AuditorError(Exception):
    """Base: a sentence that says what was wanted, what was found and what to do."""

    exit_code = 2


class UnusableFileError(AuditorError):
    """A workbook that cannot be audited; the batch goes on and the job is `unreadable`."""

    exit_code = 3


@contextmanager
def naming(file: str) -> Iterator[None]:
    """Put a file's name in front of the sentence that refuses it: who reads in a file does not know it."""
    try:
        yield
    except UnusableFileError as refusal:
        raise UnusableFileError(f"{file}: {refusal}") from refusal


class ProfileError(AuditorError):
    """A profile that is not right: names the file, the field and what would be right.

    Parameters
    ----------
    what : the field and what would be right
    origin : the profile's file or name, said before it; empty where `what` says it all
    """

    def __init__(self, what: str, origin: str = "") -> None:
        super().__init__(f"{origin}: {what}" if origin else what)
        self.what = what


class LayoutError(AuditorError):
    """A layout file that is not right: names the file, the field and what would be right."""


class OutputError(AuditorError):
    """An output folder or file that cannot be written."""


class PlanError(AuditorError):
    """Input that no plan can be made from (reels of length 0, contradictory pins); names the item."""


class StoppedError(AuditorError):
    """A run that its user stopped: says how far it came."""

    exit_code = 130


def json_fault_text(fault: ValueError | RecursionError) -> str:
    """Where a text is not as JSON is written and what is wanted there, in words."""
    import json

    if not isinstance(fault, json.JSONDecodeError):
        return "the text is not as JSON is written, or is nested too deeply"
    if not fault.doc.strip():
        return "the file is empty"
    if fault.pos >= len(fault.doc.rstrip()):
        return (
            f"the text ends too early, in line {fault.lineno}; a closing bracket or a value is missing there"
        )
    wanted = next(
        (words for begin, words in _WANTED_THERE if fault.msg.startswith(begin)), "look at the marks there"
    )
    return f"line {fault.lineno}, character {fault.colno}: {wanted}"


_WANTED_THERE = (
    (
        "Expecting value",
        "a value is wanted here: text in straight quotes, a number, true, false, null, { or [",
    ),
    ("Expecting ','", "a comma or a closing bracket is wanted here"),
    ("Expecting ':'", "a colon is wanted here"),
    ("Expecting property name", "a name in straight quotes is wanted here; after a last entry no comma"),
    ("Illegal trailing comma", "the comma after the last entry is one too many"),
    ("Unterminated string", "the text that starts here lacks its closing quotation mark"),
    ("Invalid control", "a line may not end within a text in quotes"),
    ("Invalid \\", "a backslash in a text is written twice"),
    ("Extra data", "there is more text after the end"),
)
