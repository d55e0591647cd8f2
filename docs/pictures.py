"""Make the README's pictures from the demo report: `make gallery`."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[1]
DEMO = ROOT / "photos_demo" / "wandering-plover"
# Picture -> page of the demo's PDF.
PAGES = {"first-page": 1, "defect-page": 4}
DPI = "80"


def main() -> int:
    """Render the demo and turn the named pages into PNG files in docs/images/."""
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([sys.executable, "-m", "lugbook", "report", "-q", str(DEMO), "-o", folder], check=True)
        pdf = Path(folder) / DEMO.name / "report.pdf"
        for name, page in PAGES.items():
            target = ROOT / "docs" / "images" / name
            number = str(page)
            command = [
                "pdftoppm",
                "-png",
                "-r",
                DPI,
                "-f",
                number,
                "-l",
                number,
                "-singlefile",
                str(pdf),
                str(target),
            ]
            subprocess.run(command, check=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
