"""Accepts or rejects every tracked change of a Word document in LibreOffice, which knows nothing of progdoc."""

from __future__ import annotations

import subprocess
from pathlib import Path

__all__ = ["LibreOffice"]

_LIBRARY = """<?xml version="1.0" encoding="UTF-8"?>
<library:library xmlns:library="http://openoffice.org/2000/library" library:name="Standard" library:readonly="false"
 library:passwordprotected="false"><library:element library:name="Module1"/></library:library>"""
_MODULE = """<?xml version="1.0" encoding="UTF-8"?>
<script:module xmlns:script="http://openoffice.org/2000/script" script:name="Module1" script:language="StarBasic">
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
</script:module>"""


class LibreOffice:
    """One LibreOffice with a profile of its own."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._run("--terminate_after_init")  # makes the profile, with an empty library in it
        library = folder / "profile" / "user" / "basic" / "Standard"
        library.mkdir(parents=True, exist_ok=True)
        (library / "script.xlb").write_text(_LIBRARY)
        (library / "Module1.xba").write_text(_MODULE)

    def _run(self, *arguments: str) -> None:
        profile = f"-env:UserInstallation={(self._folder / 'profile').as_uri()}"
        command = ["soffice", profile, "--headless", "--invisible", "--norestore", *arguments]
        subprocess.run(command, check=True, capture_output=True, timeout=240)

    def settled(self, data: bytes, what: str) -> bytes:
        """Return the document with every change settled: `what` is "Accept" or "Reject"."""
        source, target = self._folder / "redline.docx", self._folder / "settled.docx"
        target.unlink(missing_ok=True)
        source.write_bytes(data)
        self._run(f'macro:///Standard.Module1.Settle("{source.as_uri()}","{target.as_uri()}","{what}")')
        return target.read_bytes()
