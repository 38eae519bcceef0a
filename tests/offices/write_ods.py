"""Laid-out pages as an OpenDocument spreadsheet (ISO/IEC 26300): text and numbers, nothing else."""

import io
import zipfile
from xml.sax.saxutils import escape, quoteattr

from tests.offices.book import Page

MIME = "application/vnd.oasis.opendocument.spreadsheet"
MADE = (2024, 5, 6, 7, 8, 8)
NAMES = " ".join(
    f'xmlns:{short}="urn:oasis:names:tc:opendocument:xmlns:{long}:1.0"'
    for short, long in (("office", "office"), ("table", "table"), ("text", "text"))
)
MANIFEST = (
    '<?xml version="1.0" encoding="UTF-8"?><manifest:manifest manifest:version="1.2" '
    'xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
    f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{MIME}"/>'
    '<manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml"/>'
    "</manifest:manifest>"
)


def ods(pages: list[Page]) -> bytes:
    """The workbook; the same bytes for the same pages."""
    tables = "".join(_table(page) for page in pages)
    content = (
        f'<?xml version="1.0" encoding="UTF-8"?><office:document-content {NAMES} office:version="1.2">'
        f"<office:body><office:spreadsheet>{tables}</office:spreadsheet></office:body>"
        "</office:document-content>"
    )
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as book:
        for name, text in (("mimetype", MIME), ("content.xml", content), ("META-INF/manifest.xml", MANIFEST)):
            packed = zipfile.ZIP_STORED if name == "mimetype" else zipfile.ZIP_DEFLATED
            book.writestr(zipfile.ZipInfo(name, MADE), text, packed)
    return held.getvalue()


def _table(page: Page) -> str:
    last = max((column for _, column in page.cells), default=0)
    rows = []
    for row in range(max((row for row, _ in page.cells), default=0) + 1):
        cells = "".join(_cell(page.cells.get((row, column))) for column in range(last + 1))
        rows.append(f"<table:table-row>{cells}</table:table-row>")
    return f"<table:table table:name={quoteattr(page.name)}>{''.join(rows)}</table:table>"


def _cell(value: object) -> str:
    if value is None:
        return "<table:table-cell/>"
    shown = f"<text:p>{_spaced(str(value))}</text:p>"
    if isinstance(value, int | float):
        return (
            f'<table:table-cell office:value-type="float" office:value="{value}">{shown}</table:table-cell>'
        )
    return f'<table:table-cell office:value-type="string">{shown}</table:table-cell>'


def _spaced(text: str) -> str:
    """Text with each blank kept, at its start and in a row, and lines parted."""
    kept = escape(text).replace("\n", "</text:p><text:p>")
    blanks = len(kept) - len(kept.lstrip(" "))
    return f'<text:s text:c="{blanks}"/>{kept[blanks:]}' if blanks else kept
