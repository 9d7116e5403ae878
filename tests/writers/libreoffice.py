"""LibreOffice, which knows nothing of progdoc: it prints Word documents, and accepts or rejects their tracked changes.

It takes seconds to start and little to go on, so it is given many documents at a time.
"""

from __future__ import annotations

import subprocess
from collections.abc import Mapping, Sequence
from itertools import count
from pathlib import Path

__all__ = ["LibreOffice"]

_HANGS_AFTER = 600  # seconds: an office that waits for an answer nobody gives would hold up the run for ever

_LIBRARY = """<?xml version="1.0" encoding="UTF-8"?>
<library:library xmlns:library="http://openoffice.org/2000/library" library:name="Standard" library:readonly="false"
 library:passwordprotected="false"><library:element library:name="Module1"/></library:library>"""
_MODULE = """<?xml version="1.0" encoding="UTF-8"?>
<script:module xmlns:script="http://openoffice.org/2000/script" script:name="Module1" script:language="StarBasic">
Private found(2000) As Object
Private places As Integer

Sub SettleAll(jobs As String)
  Dim entry As String
  number = FreeFile
  Open jobs For Input As #number
  Do While Not Eof(number)
    Line Input #number, entry
    parts = Split(entry, " ")
    Settle(parts(0), parts(1), parts(2))
  Loop
  Close #number
End Sub

Sub Settle(source As String, target As String, what As String)
  Dim hidden(0) As New com.sun.star.beans.PropertyValue
  hidden(0).Name = "Hidden"
  hidden(0).Value = True
  doc = StarDesktop.loadComponentFromURL(source, "_blank", 0, hidden())
  helper = createUnoService("com.sun.star.frame.DispatchHelper")
  helper.executeDispatch(doc.CurrentController.Frame, ".uno:" &amp; what &amp; "AllTrackedChanges", "", 0, Array())
  Dim how(0) As New com.sun.star.beans.PropertyValue
  how(0).Name = "FilterName"
  how(0).Value = "MS Word 2007 XML"
  doc.storeToURL(target, how())
  doc.close(True)
End Sub

Sub FillAll(jobs As String)
  Dim entry As String
  number = FreeFile
  Open jobs For Input As #number
  Do While Not Eof(number)
    Line Input #number, entry
    parts = Split(entry, " ")
    Fill(parts(0), parts(1), parts(2))
  Loop
  Close #number
End Sub

Sub Fill(source As String, target As String, filling As String)
  Dim entry As String
  Dim hidden(0) As New com.sun.star.beans.PropertyValue
  hidden(0).Name = "Hidden"
  hidden(0).Value = True
  doc = StarDesktop.loadComponentFromURL(source, "_blank", 0, hidden())
  places = 0
  Walk(doc.Text)
  number = FreeFile
  Open filling For Input As #number
  Do While Not Eof(number)
    Line Input #number, entry
    parts = Split(entry, Chr(9))
    Put(found(CInt(parts(0))), parts(1))
  Loop
  Close #number
  Dim how(0) As New com.sun.star.beans.PropertyValue
  how(0).Name = "FilterName"
  how(0).Value = "MS Word 2007 XML"
  doc.storeToURL(target, how())
  doc.close(True)
End Sub

Sub Walk(text As Object)
  blocks = text.createEnumeration()
  Do While blocks.hasMoreElements()
    block = blocks.nextElement()
    If block.supportsService("com.sun.star.text.TextTable") Then
      For Each cell In block.CellNames
        Walk(block.getCellByName(cell))
      Next
    Else
      portions = block.createEnumeration()
      Do While portions.hasMoreElements()
        portion = portions.nextElement()
        If portion.TextPortionType = "ContentControl" Or portion.TextPortionType = "TextField" Then
          found(places) = portion
          places = places + 1
        End If
      Loop
    End If
  Loop
End Sub

Sub Put(portion As Object, value As String)
  If portion.TextPortionType = "TextField" Then
    portion.TextField.Content = value
    Exit Sub
  End If
  control = portion.ContentControl
  If control.Checkbox Then
    control.Checked = (value = "yes")
  ElseIf UBound(control.ListItems) &gt;= 0 Then
    shown = control.createEnumeration()
    first = shown.nextElement()
    was = ""
    If Not shown.hasMoreElements() Then was = first.String
    Do While shown.hasMoreElements()
      shown.nextElement().setString("")
    Loop
    inside = control.createTextCursor()
    If was &lt;&gt; "" Then
      inside.setString(value)
      inside = control.createTextCursor()
      inside.goRight(Len(value), False)
      inside.goRight(Len(was), True)
      inside.setString("")
    Else
      first.setString(value)
    End If
    control.ShowingPlaceHolder = False
  Else
    control.createTextCursor().setString(value)
    control.ShowingPlaceHolder = False
  End If
End Sub
</script:module>"""


class LibreOffice:
    """One LibreOffice with a profile of its own."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._numbers = count(1)
        self._run("--terminate_after_init")  # makes the profile, with an empty library in it
        library = folder / "profile" / "user" / "basic" / "Standard"
        library.mkdir(parents=True, exist_ok=True)
        (library / "script.xlb").write_text(_LIBRARY)
        (library / "Module1.xba").write_text(_MODULE)

    def _run(self, *arguments: str | Path) -> None:
        profile = f"-env:UserInstallation={(self._folder / 'profile').as_uri()}"
        command = ["soffice", profile, "--headless", "--invisible", "--norestore", *arguments]
        subprocess.run(command, check=True, capture_output=True, timeout=_HANGS_AFTER)

    def _written(self, documents: Sequence[bytes], ending: str = "docx") -> list[Path]:
        folder = self._folder / f"run-{next(self._numbers)}"
        folder.mkdir()
        files = [folder / f"{number}.{ending}" for number in range(len(documents))]
        for file, data in zip(files, documents, strict=True):
            file.write_bytes(data)
        return files

    def settled(self, jobs: Sequence[tuple[bytes, str]]) -> list[bytes]:
        """Return each document with every change settled the way that is named with it: "Accept" or "Reject"."""
        sources = self._written([data for data, _ in jobs])
        targets = [source.with_suffix(".settled.docx") for source in sources]
        listed = sources[0].with_name("jobs.txt")
        ways = zip(sources, targets, [what for _, what in jobs], strict=True)
        listed.write_text("".join(f"{source.as_uri()} {target.as_uri()} {what}\n" for source, target, what in ways))
        self._run(f'macro:///Standard.Module1.SettleAll("{listed}")')
        return [target.read_bytes() for target in targets]

    def filled(self, jobs: Sequence[tuple[bytes, Mapping[int, str]]]) -> list[bytes]:
        """Return each form with its fields filled in, by their number in the order of the text, and saved as Word's."""
        sources = self._written([data for data, _ in jobs])
        targets = [source.with_suffix(".filled.docx") for source in sources]
        lines = []
        for source, target, (_, filling) in zip(sources, targets, jobs, strict=True):
            values = source.with_suffix(".txt")
            values.write_text("".join(f"{number}\t{value}\n" for number, value in filling.items()))
            lines.append(f"{source.as_uri()} {target.as_uri()} {values}\n")
        listed = sources[0].with_name("jobs.txt")
        listed.write_text("".join(lines))
        self._run(f'macro:///Standard.Module1.FillAll("{listed}")')
        return [target.read_bytes() for target in targets]

    def resaved_sheets(self, workbooks: Sequence[bytes]) -> list[bytes]:
        """Return each workbook (.xlsx) as the office saves it again."""
        sources = self._written(workbooks, "xlsx")
        out = sources[0].parent / "saved"
        self._run("--convert-to", "xlsx", "--outdir", out, *sources)
        return [(out / source.name).read_bytes() for source in sources]

    def printed(self, documents: Sequence[bytes]) -> list[list[str]]:
        """Return for each document the text of its pages, laid out as it prints them."""
        return [_pages(file) for file in self.paper(documents)]

    def paper(self, documents: Sequence[bytes]) -> list[Path]:
        """Return each document as a PDF file, as it prints them."""
        sources = self._written(documents)
        self._run("--convert-to", "pdf", "--outdir", sources[0].parent, *sources)
        return [source.with_suffix(".pdf") for source in sources]


def _pages(file: Path) -> list[str]:
    made = subprocess.run(["pdftotext", "-layout", file, "-"], check=True, capture_output=True)
    return made.stdout.decode().split("\f")[:-1]
