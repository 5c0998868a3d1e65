"""Run Lanewater as `python -m lanewater`."""

import sys

from lanewater.interfaces.cli.main import main

sys.exit(main())
