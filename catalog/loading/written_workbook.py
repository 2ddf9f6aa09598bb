"""Rows to a workbook that an office edits and sends back.

It is written here and not by a library: a library stamps the hour into it, and the same rows are
to give the same bytes.
"""

import io
import re
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from typing import Final
from xml.sax.saxutils import escape, quoteattr

from catalog.loading.columns import Column, columns_of
from catalog.loading.sheet_cells import column_letters
from catalog.loading.written_csv import cell_text
from catalog.rows import AnyRow

_HEAD: Final = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_MAIN: Final = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_LINKS: Final = "http://schemas.openxmlformats.org/package/2006/relationships"
_KIND: Final = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_TYPE: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml"
_TEXT_STYLE, _NUMBER_STYLE, _HEADER_STYLE = 1, 0, 2
_STYLES: Final = (
    f'{_HEAD}<styleSheet xmlns="{_MAIN}">'
    '<fonts count="2"><font><sz val="11"/><name val="Calibri"/></font>'
    '<font><b/><sz val="11"/><name val="Calibri"/></font></fonts>'
    '<fills count="2"><fill><patternFill patternType="none"/></fill>'
    '<fill><patternFill patternType="gray125"/></fill></fills>'
    '<borders count="1"><border><left/><right/><top/><bottom/><diagonal/></border></borders>'
    '<cellStyleXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0"/></cellStyleXfs>'
    '<cellXfs count="3"><xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0"/>'
    '<xf numFmtId="49" fontId="0" fillId="0" borderId="0" xfId="0" applyNumberFormat="1"/>'
    '<xf numFmtId="49" fontId="1" fillId="0" borderId="0" xfId="0" applyNumberFormat="1"'
    ' applyFont="1"/></cellXfs>'
    '<cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles>'
    "</styleSheet>"
)
_SHEET_TOP: Final = (
    f'{_HEAD}<worksheet xmlns="{_MAIN}"><sheetViews><sheetView workbookViewId="0">'
    '<pane ySplit="1" topLeftCell="A2" activePane="bottomLeft" state="frozen"/>'
    '</sheetView></sheetViews><sheetFormatPr defaultRowHeight="15"/>'
)
# What reads as an escape, and letters that XML cannot hold or would change.
_TO_ESCAPE: Final = re.compile("_(?=x[0-9A-Fa-f]{4}_)|[\x00-\x1f\ufffe\uffff]")
_FIRST_DAY: Final = (1980, 1, 1, 0, 0, 0)
_WIDEST: Final = 60


def workbook_from_rows(tables: Mapping[str, Sequence[AnyRow]]) -> bytes:
    """Workbook of these tables, a sheet each, that the loader reads back to the same rows.

    Numbers are numbers; all else is text, in columns formatted as text, so that the spreadsheet
    makes no date of it. The same rows give the same bytes.

    Errors: `ValueError` for no table at all: a workbook has a sheet.
    """
    if not tables:
        message = "a workbook has one table or more"
        raise ValueError(message)
    names = list(tables)
    parts = {
        "[Content_Types].xml": _content_types(len(names)),
        "_rels/.rels": _links([("officeDocument", "xl/workbook.xml")]),
        "xl/workbook.xml": _book(names),
        "xl/_rels/workbook.xml.rels": _links(
            [
                *(("worksheet", f"worksheets/sheet{n}.xml") for n, _ in enumerate(names, start=1)),
                ("styles", "styles.xml"),
            ]
        ),
        "xl/styles.xml": _STYLES,
    }
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in parts.items():
            archive.writestr(_member(name), text)
        for n, table in enumerate(names, start=1):
            text = "".join(_sheet(columns_of(table), tables[table]))
            archive.writestr(_member(f"xl/worksheets/sheet{n}.xml"), text)
    return out.getvalue()


def _member(name: str) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(name, date_time=_FIRST_DAY)
    info.compress_type = zipfile.ZIP_DEFLATED
    info.create_system = 0
    return info


def _content_types(sheets: int) -> str:
    parts = [("/xl/workbook.xml", "sheet.main"), ("/xl/styles.xml", "styles")]
    parts += [(f"/xl/worksheets/sheet{n}.xml", "worksheet") for n in range(1, sheets + 1)]
    named = "".join(
        f'<Override PartName="{part}" ContentType="{_TYPE}.{kind}+xml"/>' for part, kind in parts
    )
    return (
        f'{_HEAD}<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
        '<Default Extension="rels"'
        ' ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        f'<Default Extension="xml" ContentType="application/xml"/>{named}</Types>'
    )


def _links(targets: list[tuple[str, str]]) -> str:
    listed = "".join(
        f'<Relationship Id="rId{n}" Type="{_KIND}/{kind}" Target="{target}"/>'
        for n, (kind, target) in enumerate(targets, start=1)
    )
    return f'{_HEAD}<Relationships xmlns="{_LINKS}">{listed}</Relationships>'


def _book(names: list[str]) -> str:
    sheets = "".join(
        f'<sheet name={quoteattr(name)} sheetId="{n}" r:id="rId{n}"/>'
        for n, name in enumerate(names, start=1)
    )
    return (
        f'{_HEAD}<workbook xmlns="{_MAIN}" xmlns:r="{_KIND}"><bookViews><workbookView/></bookViews>'
        f"<sheets>{sheets}</sheets></workbook>"
    )


def _sheet(columns: Mapping[str, Column], rows: Sequence[AnyRow]) -> Iterator[str]:
    letters = [column_letters(n) for n in range(1, len(columns) + 1)]
    yield _SHEET_TOP
    yield "<cols>"
    for n, column in enumerate(columns.values(), start=1):
        style = _NUMBER_STYLE if column.is_number else _TEXT_STYLE
        longest = max((len(cell_text(getattr(row, column.name))) for row in rows), default=0)
        width = min(max(len(column.name), longest) + 3, _WIDEST)
        yield f'<col min="{n}" max="{n}" width="{width}" style="{style}" customWidth="1"/>'
    yield '</cols><sheetData><row r="1">'
    for letter, name in zip(letters, columns, strict=True):
        yield _text_cell(f"{letter}1", name, _HEADER_STYLE)
    yield "</row>"
    for line, row in enumerate(rows, start=2):
        yield f'<row r="{line}">'
        for letter, column in zip(letters, columns.values(), strict=True):
            text = cell_text(getattr(row, column.name))
            if not column.is_number:
                yield _text_cell(f"{letter}{line}", text, _TEXT_STYLE)
            elif text:
                yield f'<c r="{letter}{line}"><v>{text}</v></c>'
        yield "</row>"
    yield "</sheetData></worksheet>"


def _text_cell(address: str, text: str, style: int) -> str:
    if not text:
        # A blank cell keeps its format, so that what is entered there later stays a text.
        return f'<c r="{address}" s="{style}"/>'
    told = escape(_TO_ESCAPE.sub(lambda found: f"_x{ord(found[0]):04X}_", text))
    return (
        f'<c r="{address}" s="{style}" t="inlineStr">'
        f'<is><t xml:space="preserve">{told}</t></is></c>'
    )
