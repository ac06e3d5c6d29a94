"""The pack's made-up build serves its outside checks too."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent / "pack"))
