"""`python -m progdoc`."""

import sys

from progdoc.cli import main

sys.exit(main())
