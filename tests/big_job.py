"""Makes jobs of any size, for looking at, for timing and for breaking: `python tests/big_job.py FOLDER --defects 150`."""

from __future__ import annotations

import argparse
import json
import random
from pathlib import Path

from PIL import Image, ImageDraw, ImageFilter

# Invented sentences that exercise each alphabet: Polish, Greek, German, Welsh, and long words.
TONGUES = {
    "en": ("No fuse at the battery", "Under the chart table, to port", "The cable passes the bulkhead without a fuse."),
    "pl": ("Brak bezpiecznika przy akumulatorze", "Pod stołem nawigacyjnym, lewa burta", "Żółty przewód przechodzi przez gródź; izolacja jest przetarta."),
    "el": ("Λείπει ασφάλεια στη μπαταρία", "Κάτω από το τραπέζι πλοήγησης", "Το καλώδιο περνά από το διάφραγμα χωρίς ασφάλεια."),
    "de": ("Keine Sicherung an der Batterie", "Unter dem Kartentisch, backbord", "Das Schiffsbatteriehauptschalterverbindungskabel läuft ungeschützt über eine Kante."),
    "cy": ("Dim ffiws wrth y batri", "O dan y bwrdd siartiau, ochr chwith", "Mae'r cebl yn mynd drwy'r pared heb ffiws; ŵ ŷ â ê î ô û."),
}  # fmt: skip
LEVELS = ("probable", "occasional", "remote", "improbable")


def photo(path: Path, size: tuple[int, int], seed: int, *, quality: int = 92) -> None:
    """A picture with the texture of a photograph, so that its file has a photograph's size."""
    chance = random.Random(seed)
    small = Image.effect_noise((size[0] // 4, size[1] // 4), 60).convert("RGB")
    image = small.resize(size, Image.Resampling.BICUBIC).filter(ImageFilter.GaussianBlur(1))
    grain = Image.effect_noise(size, 18).convert("RGB")
    image = Image.blend(image, grain, 0.35)
    draw = ImageDraw.Draw(image)
    for _ in range(12):
        x, y = chance.randrange(size[0]), chance.randrange(size[1])
        colour = tuple(chance.randrange(256) for _ in range(3))
        draw.ellipse((x, y, x + size[0] // 6, y + size[1] // 6), fill=colour)
    image.save(path, quality=quality)


def defect(number: int, tongue: str, photos: list[str], *, long: bool) -> str:
    title, place, seen = TONGUES[tongue]
    if long:
        title = f"{title}, and a headline that runs on over its line"
        place = f"{place}, behind the third panel counted from the companionway, beside the fresh-water pump and its filter"
        seen = " ".join([seen] * 6)
    shown = "".join(
        f"\n      - {{file: {name}, caption: {json.dumps(title, ensure_ascii=False)}, alt: A generated test picture}}"
        for name in photos
    )
    lines = [
        f"  - id: d{number}",
        f"    title: {json.dumps(title, ensure_ascii=False)}",
        f"    place: {json.dumps(place, ensure_ascii=False)}",
        f"    seen: {json.dumps(seen, ensure_ascii=False)}",
        "    severity: critical",
        f"    probability: {LEVELS[number % 4]}",
        f"    why: {json.dumps(seen, ensure_ascii=False)}",
        f"    remedy: {json.dumps(title, ensure_ascii=False)}",
        f"    danger: {'present' if number % 3 == 0 else 'latent'}",
        f"    photos:{shown or ' []'}",
    ]
    return "\n".join(lines)


def make(
    folder: Path, *, defects: int, pictures: int, size: tuple[int, int], tongues: list[str], long: bool
) -> None:
    """Write a job of `defects` extra defects that share `pictures` pictures."""
    (folder / "photos").mkdir(parents=True, exist_ok=True)
    names = []
    for n in range(pictures):
        shape = (size, (size[1], size[0]), (size[1], size[1]))[n % 3]
        names.append(f"picture-{n + 1}.jpg")
        photo(folder / "photos" / names[-1], shape, n)
    share = [names[i::defects] for i in range(defects)] if defects else []
    body = "\n".join(defect(n + 1, tongues[n % len(tongues)], share[n], long=long) for n in range(defects))
    name = "Hafren-y-Môr Żuraw Ελπίδα Übermütige Königin der Nordsee" if long else "Test Boat"
    (folder / "findings.yaml").write_text(
        f"format: lugbook-findings-1\nlast_defect: {defects}\n"
        "report:\n  number: BIG-1\n  date: 2026-06-03\n  checklists: [small-craft-dc]\n"
        f"  craft: {{name: {json.dumps(name, ensure_ascii=False)}}}\nextra:{'' if defects else ' []'}\n{body}\n",
        encoding="utf-8",
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--defects", type=int, default=10)
    parser.add_argument("--pictures", type=int, default=0)
    parser.add_argument("--size", type=int, nargs=2, default=(1600, 1200))
    parser.add_argument("--tongues", nargs="+", default=["en"], choices=sorted(TONGUES))
    parser.add_argument("--long", action="store_true", help="long names and texts")
    given = parser.parse_args()
    width, height = given.size
    make(
        given.folder,
        defects=given.defects,
        pictures=given.pictures,
        size=(width, height),
        tongues=given.tongues,
        long=given.long,
    )


if __name__ == "__main__":
    main()
