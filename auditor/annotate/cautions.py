"""What the user is told about a workbook before it is annotated."""

from collections.abc import Iterator

from auditor.ooxml.package import Package
from auditor.ooxml.relationships import relationships
from auditor.ooxml.workbook_part import WorkbookPart


def cautions(package: Package, book: WorkbookPart, protected: list[str]) -> Iterator[str]:
    """One sentence for each thing that an annotated copy cannot keep, or keeps without using it.

    Parameters
    ----------
    protected : names of the protected sheets
    """
    if any(each.full_type.endswith("/digital-signature/origin") for each in relationships(package, "")):
        yield (
            "The workbook is digitally signed. The annotated copy differs from what was signed, so the "
            "signature no longer holds there; the original keeps it."
        )
    node = book.tree.root.first("workbookProtection")
    if node is not None and node.attributes.get("lockStructure", "0") in ("1", "true"):
        yield (
            "The workbook's structure is protected. The protection is kept; the audit's sheets are "
            "added all the same."
        )
    if protected:
        yield (
            f"Protected, so that nothing is written beside their tables: {_listed(protected)}. "
            "Their verdicts are on the added sheets."
        )
    kinds = {each.type for each in book.relationships}
    if "vbaProject" in kinds or any(sheet.part.startswith("xl/macrosheets/") for sheet in book.sheets):
        yield "The workbook holds macros. They are kept as they are and were not run."
    if "externalLink" in kinds or "externalLinkPath" in kinds:
        live = any(
            b"ddeLink" in package.read(each.target)
            for each in book.relationships
            if each.type == "externalLink" and each.target in package.members
        )
        what = "to other programs (DDE) and workbooks" if live else "to other workbooks"
        yield (
            f"The workbook has links {what}. They are kept and were not followed; their last values were "
            "read."
        )
    if "connections" in kinds:
        yield "The workbook has data connections. They are kept and were not refreshed."


def _listed(names: list[str]) -> str:
    return ", ".join(f"'{name}'" for name in names)
