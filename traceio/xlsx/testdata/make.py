#!/usr/bin/python3
"""Makes the samples of this folder with programs that are not ours.

python3 make.py writes them here. Needs openpyxl and xlsxwriter (Debian:
python3-openpyxl, python3-xlsxwriter). The club, its ropes and the numbers are
invented: catch(i), which files_test.go has again in Go.
"""

import datetime
import os

import openpyxl
import xlsxwriter

here = os.path.dirname(os.path.abspath(__file__))
n = 40


def path(name):
    return os.path.join(here, name)


def catch(i):
    """Newtons, with a fraction that is no short decimal."""
    return (i * 7919 % 4001 - 500) / 7


def simple():
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Fall"
    sheet.append(["Time (s)", "Force (kN)"])
    for i in range(n):
        sheet.append([i * 0.001, catch(i) / 1000])
    book.save(path("simple.xlsx"))


def below_metadata():
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Run 1"
    sheet["B1"] = "Skerry Head Climbing Club (invented)"
    for r, (what, value) in enumerate(
        [("Rope", "Marram 9.6"), ("Mass (kg)", 80), ("Drop (m)", 2.3), ("Rate (Hz)", 1000), ("Recorded", datetime.datetime(2026, 11, 25, 12))], 3
    ):
        sheet.cell(r, 2, what)
        sheet.cell(r, 3, value)
    for c, (title, unit) in enumerate([("t", "ms"), ("Travel", "mm"), ("Cell", "N"), ("Remark", None)], 2):
        sheet.cell(10, c, title)
        sheet.cell(11, c, unit)
    for i in range(n):
        sheet.cell(12 + i, 2, i * 1.5)
        sheet.cell(12 + i, 3, i * 0.25)
        sheet.cell(12 + i, 4, catch(i))
        if i == 7:
            sheet.cell(12 + i, 5, "mind the gap")
    sheet.cell(12 + n + 1, 2, "end of recording")
    book.save(path("below-metadata.xlsx"))


def two_drops():
    book = openpyxl.Workbook()
    notes = book.active
    notes.title = "Notes"
    notes["A1"] = "two falls of specimen M-01, invented"
    for run in (1, 2):
        sheet = book.create_sheet(f"Run {run}")
        sheet.append(["Time [s]", "Force [N]"])
        for i in range(n - run):
            sheet.append([i * 0.002, catch(i) * run])
    book.save(path("two-drops.xlsx"))


def stamps():
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(["Time", "Force (N)"])
    start = datetime.datetime(2026, 11, 25, 12, 0, 0)
    for i in range(n):
        sheet.append([start + datetime.timedelta(milliseconds=5 * i), catch(i)])
        sheet.cell(i + 2, 1).number_format = "yyyy-mm-dd hh:mm:ss.000"
    book.save(path("stamps.xlsx"))


def text_numbers():
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(["Zeit (s)", "Kraft (N)"])
    for i in range(n):
        sheet.append([f"{i * 0.01:.2f}".replace(".", ","), f"{catch(i):.3f}".replace(".", ",")])
    book.save(path("text-numbers.xlsx"))


def formulas():
    book = xlsxwriter.Workbook(path("formulas.xlsx"))
    sheet = book.add_worksheet("Fall")
    bold = book.add_format({"bold": True})
    sheet.write_rich_string(0, 0, "Ti", bold, "me", " (s)")
    sheet.write(0, 1, "Bridge (mV)")
    sheet.write(0, 2, "Force (N)")
    for i in range(n):
        sheet.write(i + 1, 0, i / 500)
        sheet.write(i + 1, 1, catch(i) / 100)
        sheet.write_formula(i + 1, 2, f"=B{i + 2}*100", None, catch(i))
    book.close()


def mistake():
    book = xlsxwriter.Workbook(path("mistake.xlsx"))
    sheet = book.add_worksheet("Fall")
    sheet.write_row(0, 0, ["Time (s)", "Force (N)"])
    for i in range(n):
        sheet.write(i + 1, 0, i / 500)
        sheet.write(i + 1, 1, catch(i))
    sheet.write_formula("B20", "=1/0", None, "#DIV/0!")
    book.close()


for make in (simple, below_metadata, two_drops, stamps, text_numbers, formulas, mistake):
    make()
