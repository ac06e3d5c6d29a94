"""A module knows its own floor and the floors below."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent


def test_no_module_imports_from_a_floor_above():
    linter = Path(sys.executable).parent / "lint-imports"
    ran = subprocess.run(
        [linter, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert ran.returncode == 0, ran.stdout + ran.stderr


def test_help_loads_no_heavy_library():
    """`barwright --help` answers at once: nothing heavy may be imported on the way."""
    code = (
        "import sys, barwright.cli\n"
        "heavy = {'OCP', 'scipy', 'matplotlib', 'ezdxf', 'reportlab', 'cv2', 'shapely', 'numpy'}\n"
        "print(sorted(heavy & {m.split('.')[0] for m in sys.modules}))"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"
