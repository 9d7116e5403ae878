"""Sets a PDF in a process of its own: what the typesetter takes for it, some seventy megabytes, it never gives back.

Of a firm with thousands of people that room is wanted for them. Run as a script it is that process: it imports nothing
of this package, so that it is there at once.
"""

from __future__ import annotations

import json
import subprocess
import sys

__all__ = ["pdf_set_apart"]

_REFUSED = 3  # the exit status where the typesetter says what is wrong


def pdf_set_apart(layout: bytes, inputs: dict[str, str]) -> tuple[bytes, str] | None:
    """Return the file and "", or nothing and what the typesetter says against it; None where no process could do it.

    Parameters
    ----------
    layout, inputs
        As the library takes them.
    """
    if not sys.executable:
        return None
    task = json.dumps([layout.decode(), inputs]).encode()
    command = [sys.executable, "-P", __file__]  # without the folder of this file: it has a module `html`
    try:
        done = subprocess.run(command, input=task, capture_output=True, check=False)
    except OSError:
        return None
    if done.returncode == _REFUSED:
        return b"", done.stderr.decode()
    return (done.stdout, "") if done.returncode == 0 else None


def _main() -> int:
    import typst

    layout, inputs = json.loads(sys.stdin.buffer.read())
    fonts = typst.Fonts(include_system_fonts=False)
    try:
        file = typst.compile(layout.encode(), format="pdf", font_paths=fonts, pdf_standards="ua-1", sys_inputs=inputs)
    except typst.TypstError as error:
        sys.stderr.buffer.write(error.diagnostic.encode())
        return _REFUSED
    sys.stdout.buffer.write(file)
    return 0


if __name__ == "__main__":
    sys.exit(_main())
