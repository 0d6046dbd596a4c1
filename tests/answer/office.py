"""Does jobs in LibreOffice, without a window: run by the Python that has its bridge (`python3-uno`), jobs on stdin.

A job: `{"open": path, none for a new sheet, "formulas": {"Sheet.A1": formula}, "cells": ["Sheet.A1"], "locale": whose
numbers it writes, unset: en-US, "pdf": path to print to}`. Its answer, on stdout:
`{"Sheet.A1": {"type": "TEXT", "VALUE", "FORMULA" or "EMPTY", "text": as shown, "value", "formula"}}`.
"""

import contextlib
import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import uno
from com.sun.star.beans import PropertyValue
from com.sun.star.connection import NoConnectException

CSV_OPTIONS = "44,34,76,1,,0,false,true"
"""Commas, double quotes, UTF-8, from the first line; numbers and dates are found, as a user's import does."""


def main():
    """Start LibreOffice with a profile of its own, do the jobs, and end it."""
    jobs = json.load(sys.stdin)
    with tempfile.TemporaryDirectory() as folder:
        pipe = f"sawbill{Path(folder).name}"
        words = ["soffice", "--headless", "--invisible", "--norestore", "--nologo", f"--accept=pipe,name={pipe};urp;"]
        office = subprocess.Popen([*words, f"-env:UserInstallation=file://{folder}"], stdout=subprocess.DEVNULL)
        try:
            context, desktop = connect(pipe, office)
            print(json.dumps([do(context, desktop, job) for job in jobs]))
            with contextlib.suppress(Exception):  # it may close the bridge before it answers
                desktop.terminate()
            office.wait(30)
        finally:
            if office.poll() is None:
                office.kill()


def connect(pipe, office):
    """Wait for LibreOffice, and give its context and its desktop."""
    local = uno.getComponentContext()
    resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
    for _ in range(240):
        try:
            context = resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
            return context, context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
        except NoConnectException:
            if office.poll() is not None:
                raise
            time.sleep(0.25)
    raise TimeoutError("LibreOffice did not start in a minute")


def do(context, desktop, job):
    """Open or make a document, set formulas, compute everything, read cells."""
    speak(context, job.get("locale", "en-US"))
    path = job.get("open")
    settings = {"Hidden": True}
    if path and path.endswith(".csv"):
        settings |= {"FilterName": "Text - txt - csv (StarCalc)", "FilterOptions": CSV_OPTIONS}
    url = uno.systemPathToFileUrl(path) if path else "private:factory/scalc"
    document = desktop.loadComponentFromURL(url, "_blank", 0, tuple(map(setting, settings, settings.values())))
    for place, formula in job.get("formulas", {}).items():
        cell(document, place).setFormula(formula)
    document.calculateAll()
    told = {place: tell(cell(document, place)) for place in job["cells"]}
    if "pdf" in job:
        document.storeToURL(uno.systemPathToFileUrl(job["pdf"]), (setting("FilterName", "calc_pdf_Export"),))
    document.close(True)
    return told


def speak(context, locale):
    """Set whose numbers are written and read, with a decimal point or a comma."""
    provider = context.ServiceManager.createInstanceWithContext(
        "com.sun.star.configuration.ConfigurationProvider", context
    )
    access = "com.sun.star.configuration.ConfigurationUpdateAccess"
    node = provider.createInstanceWithArguments(access, (setting("nodepath", "/org.openoffice.Setup/L10N"),))
    node.ooSetupSystemLocale = locale
    node.commitChanges()


def setting(name, value):
    """Make a setting of the loader."""
    made = PropertyValue()
    made.Name, made.Value = name, value
    return made


def cell(document, place):
    """Find a cell; a place without a sheet is in the first one."""
    sheet, _, name = place.rpartition(".")
    sheets = document.Sheets
    return (sheets.getByName(sheet) if sheet else sheets.getByIndex(0)).getCellRangeByName(name)


def tell(found):
    """Tell what a cell holds."""
    return {"type": found.Type.value, "text": found.String, "value": found.Value, "formula": found.Formula}


if __name__ == "__main__":
    main()
