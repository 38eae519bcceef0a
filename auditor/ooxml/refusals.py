"""Why a file is refused, in sentences of several readers. Who opens the file puts its name in front."""

from auditor.errors import UnusableFileError

SAVE_AGAIN = "open it in a spreadsheet program, check it and save it again"


def damaged() -> UnusableFileError:
    """Parts that do not fit together."""
    return UnusableFileError(f"the file is damaged; {SAVE_AGAIN}")


def damaged_part(part: str) -> UnusableFileError:
    return UnusableFileError(
        f"the part {part!r} is damaged; open the workbook in a spreadsheet program, check it and save it "
        f"again"
    )


def needs_password() -> UnusableFileError:
    return UnusableFileError("the file needs a password; save a copy without one")


def declares_document_type(part: str) -> UnusableFileError:
    """A document type can pull in other files or swell without end; no workbook needs one."""
    return UnusableFileError(
        f"the part {part!r} declares a document type, which no spreadsheet program writes, so the file is "
        f"not read; "
        "if you trust its sender, open it in a spreadsheet program and save it anew as .xlsx"
    )
