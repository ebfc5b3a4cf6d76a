"""`python -m stock` is `rick`."""

import sys

from stock.cli import main

sys.exit(main())
