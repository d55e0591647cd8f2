"""Make the README's pictures from the demo report: `make gallery`."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image

ROOT = Path(__file__).parents[1]
DEMO = ROOT / "photos_demo" / "wandering-plover"
# Picture -> the heading on its page of the demo's PDF; each is looked for after the page of contents.
PAGES = {
    "first-page": "In two minutes",
    "defect-page": "What needs attention",
    "diagram": "Line diagram",
    "diagnosis": "Voltage along the charging path",
    "time-current": "Time and current of devices in a defect",
    "test-record": "What was measured",
}
CONTENTS = 1
DPI = 80
COLOURS = 128


def main() -> int:
    """Render the demo and turn the named pages into PNG files in docs/images/."""
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([sys.executable, "-m", "lugbook", "report", "-q", str(DEMO), "-o", folder], check=True)
        pdf = Path(folder) / DEMO.name / "report.pdf"
        text = subprocess.run(["pdftotext", "-layout", pdf, "-"], capture_output=True, text=True, check=True)
        pages = text.stdout.split("\f")
        for name, heading in PAGES.items():
            number = page_with(pages, heading)
            target = ROOT / "docs" / "images" / f"{name}.png"
            span = ["-f", str(number), "-l", str(number), "-singlefile"]
            subprocess.run(
                ["pdftoppm", "-png", "-r", str(DPI), *span, pdf, target.with_suffix("")], check=True
            )
            with Image.open(target) as image:
                image.quantize(COLOURS).save(target, optimize=True)
    return 0


def page_with(pages: list[str], heading: str) -> int:
    """The number of the first page, but for that of the contents, with a line that begins with the heading."""
    for n, page in enumerate(pages):
        if n != CONTENTS and any(line.strip().startswith(heading) for line in page.splitlines()):
            return n + 1
    raise SystemExit(f"no page says '{heading}'")


if __name__ == "__main__":
    sys.exit(main())
