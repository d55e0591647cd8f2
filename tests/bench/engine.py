"""The layout engine by itself on a prepared page, for comparison. Run by bench.py: `engine.py own|floor FOLDER DPI`.

FOLDER holds page.html, and names.json: for each name on the page its file, media type and long edge in pixels.
"""

from __future__ import annotations

import json
import sys
from concurrent.futures import ProcessPoolExecutor
from io import BytesIO
from pathlib import Path

import weasyprint
from PIL import Image
from weasyprint.urls import URLFetcher, URLFetcherResponse


class Served(URLFetcher):
    """Answers from a dictionary of bytes."""

    def __init__(self, served: dict[str, tuple[bytes, str]]) -> None:
        super().__init__(allowed_protocols=("job",))
        self._served = served

    def fetch(self, url: str, headers: object = None) -> URLFetcherResponse:  # noqa: ARG002
        data, kind = self._served[url.removeprefix("job:///")]
        return URLFetcherResponse(url, data, {"Content-Type": kind})


def small(given: tuple[str, int]) -> bytes:
    """What has to be done for one picture at the least: decode scaled, resize, encode."""
    path, edge = given
    image = Image.open(path)
    image.draft("RGB", (edge, edge))
    image.thumbnail((edge, edge))
    out = BytesIO()
    image.save(out, "JPEG", quality=80)
    return out.getvalue()


def main() -> None:
    mode, folder, dpi = sys.argv[1], Path(sys.argv[2]), int(sys.argv[3])
    names = json.loads((folder / "names.json").read_text(encoding="utf-8"))
    pictures = {name: one for name, one in names.items() if one["edge"]}
    served = {
        name: (Path(one["file"]).read_bytes(), one["type"]) for name, one in names.items() if not one["edge"]
    }
    if mode == "floor":
        with ProcessPoolExecutor(2) as pool:
            made = pool.map(small, [(one["file"], one["edge"]) for one in pictures.values()])
            served |= {name: (data, "image/jpeg") for name, data in zip(pictures, made, strict=True)}
        options = {}
    else:
        served |= {name: (Path(one["file"]).read_bytes(), one["type"]) for name, one in pictures.items()}
        options = {"optimize_images": True, "jpeg_quality": 80, "dpi": dpi}
    html = (folder / "page.html").read_text(encoding="utf-8")
    page = weasyprint.HTML(string=html, base_url="job:///", url_fetcher=Served(served))
    page.write_pdf(folder / f"{mode}.pdf", pdf_variant="pdf/a-3a", **options)


if __name__ == "__main__":
    main()
