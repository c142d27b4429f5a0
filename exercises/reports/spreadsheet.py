"""Rows as an XLSX workbook that runs no formula, whatever its texts begin with."""

import io
from collections.abc import Mapping, Sequence

import xlsxwriter

_OPTIONS = {
    "in_memory": True,
    "strings_to_formulas": False,
    "strings_to_urls": False,
    "strings_to_numbers": False,
}


def xlsx(headings: Mapping[str, str], rows: Sequence[Mapping[str, str | float]]) -> bytes:
    """Return a workbook of one sheet: a row of headings, then the rows' cells in their order."""
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, _OPTIONS) as book:
        sheet = book.add_worksheet("Marks")
        bold = book.add_format({"bold": True})
        for column, words in enumerate(headings.values()):
            sheet.write_string(0, column, words, bold)
        for number, row in enumerate(rows, start=1):
            for column, name in enumerate(headings):
                cell = row[name]
                if isinstance(cell, str):
                    sheet.write_string(number, column, cell)
                else:
                    sheet.write_number(number, column, cell)
        sheet.freeze_panes(1, 0)
        sheet.autofit()
    return out.getvalue()
