"""A workbook that is ours as a whole, such as the summary: what people typed in the one before is given back."""

from collections.abc import Sequence
from dataclasses import dataclass

from auditor.annotate.given_back import give_back
from auditor.annotate.graft import Written, title_of, written_on
from auditor.annotate.our_columns import OUR_NAMES, fingerprint, name_of_sheet, recognised
from auditor.annotate.remembered import remember
from auditor.annotate.typed import Remark, remarks_of
from auditor.job.checksums import checksum
from auditor.ooxml.opening import open_package
from auditor.ooxml.refs import Area, on_sheet
from auditor.ooxml.workbook_part import WorkbookPart
from auditor.ooxml.xmltree import splice

_AS_WRITTEN = f"{OUR_NAMES}whole."  # and a print of all parts but those that hold the names


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """What people did in the workbook before."""

    remarks: tuple[Remark, ...] = ()
    theirs: tuple[str, ...] = ()  # sheets that we did not write
    known: bool = True  # False: nothing tells what was typed in it


def earlier(content: bytes) -> Earlier:
    """What was typed in a workbook that was written by `finished`.

    Raises
    ------
    UnusableFileError : it cannot be opened
    """
    book = WorkbookPart(open_package(content))
    if not any(name.name.startswith(_AS_WRITTEN) for name in book.names):
        return Earlier(known=False)
    if book.name(f"{_AS_WRITTEN}{_print(book)}", None) is not None:
        return Earlier()
    ours = recognised(book)
    theirs = tuple(each.name for each in book.sheets if each.name.casefold() not in ours.sheets)
    return Earlier(remarks=remarks_of(book, ours), theirs=theirs)


def finished(content: bytes, remarks: Sequence[Remark]) -> tuple[bytes, list[Remark]]:
    """A new workbook with what was typed in the one before, and the remarks whose subject it does not hold."""
    book = WorkbookPart(open_package(content))
    pages: dict[str, tuple[str, Area]] = {}
    values = Written()
    for number, sheet in enumerate(book.sheets, 1):
        data = book.package.read(sheet.part)
        title, where = title_of(data), written_on(data)
        book.set_name(name_of_sheet(number, title), None, on_sheet(sheet.name, where), hidden=True)
        pages[fingerprint(title)] = sheet.part, where
        values.add(data)
    remember(book, values.texts, values.figures, ())
    lost = give_back(book, pages, remarks)
    as_written = "and.remarks" if remarks else _print(book)
    book.set_name(f"{_AS_WRITTEN}{as_written}", None, "TRUE", hidden=True)
    for name, edits in book.edits().items():
        book.package.replace(name, splice(book.package.read(name), edits))
    return book.package.write(), lost


def _print(book: WorkbookPart) -> str:
    package = book.package
    parts = (f"{name} {package.fingerprint(name)}" for name in sorted(package.names()) if name != book.part)
    return checksum("\n".join(parts))
