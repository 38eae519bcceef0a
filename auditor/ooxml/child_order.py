"""The order that the standard prescribes for the children of the parts that we add to."""

from collections.abc import Sequence

from auditor.ooxml.xmltree import Tree


def _words(text: str) -> tuple[str, ...]:
    return tuple(text.split())


# CT_Worksheet, ISO/IEC 29500-1, 18.3.1.99 and annex A.
WORKSHEET = _words("""sheetPr dimension sheetViews sheetFormatPr cols sheetData sheetCalcPr sheetProtection
    protectedRanges scenarios autoFilter sortState dataConsolidate customSheetViews mergeCells
    phoneticPr conditionalFormatting dataValidations hyperlinks printOptions pageMargins
    pageSetup headerFooter rowBreaks colBreaks customProperties cellWatches ignoredErrors
    smartTags drawing legacyDrawing legacyDrawingHF drawingHF picture oleObjects controls
    webPublishItems tableParts extLst""")
# CT_Workbook, ISO/IEC 29500-1, 18.2.27 and annex A.
WORKBOOK = _words("""fileVersion fileSharing workbookPr workbookProtection bookViews sheets functionGroups
    externalReferences definedNames calcPr oleSize customWorkbookViews pivotCaches smartTagPr
    smartTagTypes webPublishing fileRecoveryPr webPublishObjects extLst""")
# CT_Stylesheet, ISO/IEC 29500-1, 18.8.39 and annex A.
STYLESHEET = _words(
    """numFmts fonts fills borders cellStyleXfs cellXfs cellStyles dxfs tableStyles colors extLst"""
)


def place_for(name: str, tree: Tree, order: Sequence[str]) -> int:
    """Where a new child of the root belongs: behind the last one that must stand before it."""
    before = set(order[: order.index(name) + 1])
    at = tree.root.inner
    for child in tree.root.children:
        if child.name in before:
            at = child.end
    return at
