"""A small price book to break, as JSON and as a folder."""

import copy
import csv
import shutil
import subprocess
from pathlib import Path

import pytest

from sawbill.prices.forms.asjson import read_json
from sawbill.prices.rows.faults import BookFaultsError

SMALL = {
    "title": "A small book",
    "units": "inch",
    "currency": "USD",
    "tax_rate": "8.25 %",
    "prices_include_tax": False,
    "as_of": "2026-11-01",
    "sample": True,
    "usual_sections": {"rail": "2x6", "other": "2x4"},
    "shop": {"kerf": "1/8 in", "end_trim": "1/2 in", "rounding_step": "1/16 in", "keep_offcut": "12 in"},
    "suppliers": [
        {"name": "Yard A", "trip": "6.00", "minimum_order": "0.00"},
        {"name": "Yard B", "tax_rate": "5 %"},
    ],
    "lumber": [
        {
            "supplier": "Yard A",
            "item_code": "A-1",
            "section": "2x4",
            "species": "SPF",
            "grade": "No.2",
            "length": "8 ft",
            "price": "4.28",
            "per": "each",
        },
        {
            "supplier": "Yard A",
            "item_code": "A-1",
            "section": "2x4",
            "species": "SPF",
            "grade": "No.2",
            "length": "8 ft",
            "price": "3.98",
            "per": "each",
            "least_quantity": "20",
        },
        {
            "supplier": "Yard B",
            "item_code": "007",
            "section": "2x6",
            "species": "Hem-Fir",
            "grade": "No.2",
            "length": "10 ft",
            "price": "0.845",
            "per": "board foot",
            "in_stock": "6",
            "measured_width": "5 7/16 in",
            "measured_length": "120 1/2 in",
        },
    ],
    "hardware": [
        {
            "supplier": "Yard A",
            "item_code": "B-1",
            "item": "hex bolt",
            "size": "3/8 in",
            "length": "5 in",
            "pack": "10",
            "price": "5.40",
        },
        {
            "supplier": "Yard A",
            "item_code": "N-1",
            "item": "hanger nail",
            "length": "1 1/2 in",
            "pack": "50",
            "price": "4.20",
        },
        {
            "supplier": "Yard A",
            "item_code": "T-1",
            "item": "tee nut",
            "size": "3/8 in",
            "pack": "4",
            "price": "1.32",
        },
    ],
    "supplies": [
        {"supplier": "Yard B", "item_code": "G-1", "item": "wood glue", "amount": "8 fl oz", "price": "5.29"},
        {"supplier": "Yard B", "item_code": "S-1", "item": "sandpaper", "amount": "5", "price": "5.20"},
    ],
}

COLUMNS = {
    "suppliers": "name,trip,delivery,minimum_order,tax_rate",
    "lumber": "supplier,item_code,section,species,grade,length,price,per,least_quantity,in_stock,"
    "measured_thickness,measured_width,measured_length",
    "hardware": "supplier,item_code,item,size,length,pack,price,least_quantity,in_stock",
    "supplies": "supplier,item_code,item,amount,price,least_quantity,in_stock",
}


@pytest.fixture
def small():
    """A fresh copy of the small book as JSON."""
    return copy.deepcopy(SMALL)


@pytest.fixture
def faults_of():
    """Give the faults of a book as JSON by pointer: (code, value)."""

    def read(data):
        try:
            read_json("small", data)
        except BookFaultsError as error:
            return {fault.pointer: (fault.code, fault.value) for fault in error.faults}
        return {}

    return read


@pytest.fixture
def folder(tmp_path, small):
    """The small book in a folder, with a way to change a file."""
    return BookFolder(tmp_path / "small", small)


class BookFolder:
    def __init__(self, path: Path, data: dict) -> None:
        self.path = path
        path.mkdir()
        for table, columns in COLUMNS.items():
            with (path / f"{table}.csv").open("w", newline="", encoding="utf-8") as file:
                writer = csv.DictWriter(file, columns.split(","), lineterminator="\r\n")
                writer.writeheader()
                writer.writerows(data[table])
        (path / "book.toml").write_text(toml(data), encoding="utf-8")

    def replace(self, name: str, old: str, new: str) -> None:
        file = self.path / name
        text = file.read_bytes().decode()
        assert old in text, f"{name} has no {old!r}"
        file.write_bytes(text.replace(old, new, 1).encode())


def toml(data: dict) -> str:
    """Write the settings: texts in quotes, flags bare."""

    def line(key, value):
        return f"{key} = {str(value).lower()}" if isinstance(value, bool) else f'{key} = "{value}"'

    lines = [line(key, value) for key, value in data.items() if isinstance(value, str | bool)]
    for group in ("usual_sections", "shop"):
        lines += ["", f"[{group}]", *(line(key, value) for key, value in data[group].items())]
    return "\n".join(lines) + "\n"


@pytest.fixture(scope="session")
def libreoffice(tmp_path_factory):
    """Let LibreOffice open a file and save it in another form."""
    folder = tmp_path_factory.mktemp("libreoffice")
    program = shutil.which("soffice")
    assert program, "install libreoffice-calc, or leave these tests out: -m 'not libreoffice'"

    def convert(data, old, new):
        (folder / f"book.{old}").write_bytes(data)
        profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
        command = [program, profile, "--headless", "--convert-to", new, "--outdir", folder, folder / f"book.{old}"]
        subprocess.run(command, check=True, timeout=120, capture_output=True)
        return (folder / f"book.{new}").read_bytes()

    return convert
