"""Writes the spreadsheets in tests/data/sheets with the writers of others: openpyxl 3.1.5 (Office Open XML) and odfpy 1.4.1
(OpenDocument). To be run from the repository's top where a new kind of cell is to be read."""

import datetime

from odf import style, table, text
from odf.office import Annotation
from odf.opendocument import OpenDocumentSpreadsheet
from openpyxl import Workbook
from openpyxl.comments import Comment
from openpyxl.styles import PatternFill
from openpyxl.styles.colors import Color

TO = "tests/data/sheets/"
# Each letter stands for a fill; a dot for none.
FILLED = ["ABCABC", "AABBCC", ".ABCD.", "DDDDDD", "EEFFAA"]
LETTERS = ["k1k2", "kk12", "2.k."]


def fills_xlsx():
    book = Workbook()
    book.properties.created = book.properties.modified = datetime.datetime(2026, 1, 1)
    notes = book.active
    notes.title = "notes"
    notes["A1"].fill = PatternFill("solid", fgColor="FF123456")
    notes.sheet_state = "hidden"
    sheet = book.create_sheet("heron")
    book.create_sheet("old")
    book.active = 1
    colours = {
        "A": Color(rgb="FF8A5A2B"),
        # The theme's first accent, lighter and darker.
        "B": Color(theme=4, tint=0.3999755851924192),
        "C": Color(indexed=10),
        "D": Color(theme=4, tint=-0.249977111117893),
        "E": Color(theme=4, tint=0.7999816888943144),
        "F": Color(theme=4),
    }
    for row, line in enumerate(FILLED):
        for column, letter in enumerate(line):
            if letter != ".":
                cell = sheet.cell(row + 2, column + 2)
                cell.fill = PatternFill("solid", fgColor=colours[letter])
    # A pattern that is no fill, and what was written about a cell.
    sheet["B4"].fill = PatternFill("gray125")
    sheet["C2"].comment = Comment("begin here", "H. Quist")
    sheet.merge_cells("B5:G5")
    book.save(TO + "fills.xlsx")


def letters_xlsx():
    book = Workbook()
    sheet = book.active
    for row, line in enumerate(LETTERS):
        for column, letter in enumerate(line):
            if letter != ".":
                sheet.cell(row + 3, column + 4, int(letter) if letter.isdigit() else " " + letter + " ")
    book.save(TO + "letters.xlsx")


def fills_ods():
    book = OpenDocumentSpreadsheet()

    def styled(name, family, parent=None, **properties):
        own = style.Style(name=name, family=family, **({"parentstylename": parent} if parent else {}))
        own.addElement((style.TableProperties if family == "table" else style.TableCellProperties)(**properties))
        book.automaticstyles.addElement(own)
        return own

    hidden = styled("ta1", "table", display="false")
    colours = {"A": "#8a5a2b", "B": "#95b3d7", "C": "#ff0000", "D": "#366092", "E": "#dce6f1", "F": "#4f81bd"}
    fills = {letter: styled("ce" + letter, "table-cell", backgroundcolor=hex) for letter, hex in colours.items()}
    # A style that has its fill from another, and one that takes it away.
    child = styled("ceA2", "table-cell", parent="ceA", padding="0cm")
    bare = styled("ce0", "table-cell", parent="ceA", backgroundcolor="transparent")

    notes = table.Table(name="notes", stylename=hidden)
    line = table.TableRow()
    line.addElement(table.TableCell(stylename=fills["C"]))
    notes.addElement(line)
    book.spreadsheet.addElement(notes)

    sheet = table.Table(name="heron")
    sheet.addElement(table.TableColumn())
    # All of the third column is filled by its own style unless a cell says something else.
    sheet.addElement(table.TableColumn())
    sheet.addElement(table.TableColumn(defaultcellstylename=fills["B"]))
    sheet.addElement(table.TableColumn(numbercolumnsrepeated=16381))
    empty = table.TableRow()
    empty.addElement(table.TableCell(stylename=bare, numbercolumnsrepeated=16384))
    sheet.addElement(empty)
    for nth, letters in enumerate(FILLED):
        row = table.TableRow()
        row.addElement(table.TableCell(stylename=bare))
        at = 0
        while at < len(letters):
            letter = letters[at]
            count = len(letters[at:]) - len(letters[at:].lstrip(letter))
            if nth == 3:
                row.addElement(table.TableCell(stylename=fills["D"], numbercolumnsspanned=6, numberrowsspanned=1))
                row.addElement(table.CoveredTableCell(numbercolumnsrepeated=5))
                break
            own = fills.get(letter, bare)
            if letter == "A" and nth == 1:
                own = child
            if letter == "B" and at == 1 and nth == 0:
                cell = table.TableCell()
                note = Annotation()
                note.addElement(text.P(text="begin here"))
                cell.addElement(note)
                row.addElement(cell)
            else:
                row.addElement(table.TableCell(stylename=own, numbercolumnsrepeated=count))
            at += count
        row.addElement(table.TableCell(stylename=bare, numbercolumnsrepeated=16384 - 7))
        sheet.addElement(row)
    rest = table.TableRow(numberrowsrepeated=1048576 - 6)
    rest.addElement(table.TableCell(numbercolumnsrepeated=16384))
    sheet.addElement(rest)
    book.spreadsheet.addElement(sheet)
    book.spreadsheet.addElement(table.Table(name="old"))
    book.save(TO + "fills.ods")


def letters_ods():
    book = OpenDocumentSpreadsheet()
    sheet = table.Table(name="letters")
    skip = table.TableRow(numberrowsrepeated=2)
    skip.addElement(table.TableCell(numbercolumnsrepeated=20))
    sheet.addElement(skip)
    for letters in LETTERS:
        row = table.TableRow()
        row.addElement(table.TableCell(numbercolumnsrepeated=3))
        for letter in letters:
            if letter == ".":
                row.addElement(table.TableCell())
                continue
            number = {"valuetype": "float", "value": letter} if letter.isdigit() else {"valuetype": "string"}
            cell = table.TableCell(**number)
            cell.addElement(text.P(text=letter))
            row.addElement(cell)
        sheet.addElement(row)
    book.spreadsheet.addElement(sheet)
    book.save(TO + "letters.ods")


for write in (fills_xlsx, letters_xlsx, fills_ods, letters_ods):
    write()
