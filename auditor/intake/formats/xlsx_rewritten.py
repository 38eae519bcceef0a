"""Sheets in odd spellings or odd places, put where the fast reader looks for them and as it reads them."""

from collections.abc import Sequence

from auditor.ooxml.package import package_of
from auditor.ooxml.workbook_part import MAIN, RELATIONSHIPS

_PACKAGE = "http://schemas.openxmlformats.org/package/2006/relationships"


def rewritten(sheets: Sequence[bytes], strings: bytes, styles: bytes, *, from_1904: bool) -> bytes:
    """An .xlsx with these parts alone, in UTF-8; the sheets are named 0, 1, 2 …

    Parameters
    ----------
    strings, styles : empty where there are none
    from_1904 : whether days are counted from 1904 on
    """
    numbers = range(len(sheets))
    listed = "".join(f'<sheet name="{n}" sheetId="{n + 1}" r:id="rId{n}"/>' for n in numbers)
    settings = f'<workbookPr date1904="{from_1904:d}"/>'
    parts = {
        "_rels/.rels": _related([("officeDocument", "xl/workbook.xml")]),
        "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{RELATIONSHIPS}">{settings}'
        f"<sheets>{listed}</sheets></workbook>".encode(),
        "xl/_rels/workbook.xml.rels": _related([("worksheet", f"worksheets/sheet{n}.xml") for n in numbers]),
        "xl/sharedStrings.xml": strings,
        "xl/styles.xml": styles,
    }
    parts |= {f"xl/worksheets/sheet{n}.xml": xml for n, xml in enumerate(sheets)}
    return package_of({name: content for name, content in parts.items() if content}).write()


def _related(targets: Sequence[tuple[str, str]]) -> bytes:
    """A relationships part: each target with its kind."""
    entries = "".join(
        f'<Relationship Id="rId{n}" Type="{RELATIONSHIPS}/{kind}" Target="{target}"/>'
        for n, (kind, target) in enumerate(targets)
    )
    return f'<Relationships xmlns="{_PACKAGE}">{entries}</Relationships>'.encode()
