"""`python -m nudgebot` is `nudgebot`."""

import sys

from nudgebot.cli import main

sys.exit(main())
