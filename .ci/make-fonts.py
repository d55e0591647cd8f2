"""Make templates/fonts/ from two open-licence families of the npm registry.

Run with `.venv/bin/python .ci/make-fonts.py` (needs npm; fontTools and brotli come with WeasyPrint).
The same input gives the same bytes: nothing in a font depends on the clock or on the folder.

The faces are renamed so that a page can never pick up a system font of the same name by accident.
Neither source reserves a font name, so the renamed subset stays under the same licence.
"""

import base64
import hashlib
import io
import subprocess
import tarfile
import tempfile
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont, woff2

TARGET = Path(__file__).parents[1] / "templates" / "fonts"

# package name and version -> the tarball's SHA-512 as the registry states it
SOURCES = {
    "@expo-google-fonts/literata@0.4.3": (
        "AuxE7NB6Ae1laRK8uTcap5xI2MYTZOXrAWul4SNGBiq4igP7r/q8IO3vdvO/P1MGiRczuyZ1zhTwSm/CaYeq9A=="
    ),
    "@expo-google-fonts/commissioner@0.4.1": (
        "M+Gdbq507GnODV/+Sc99BD+1X9e7L89n7GTthA373wL3NANFa2s57nOFrGjbciZfrVeVzB2iJKqq8lTO6eEnwA=="
    ),
}

# file name -> package, the style's name there, our family, our style
FACES = {
    "text-regular": ("literata", "400Regular", "Lugbook Text", "Regular"),
    "text-italic": ("literata", "400Regular_Italic", "Lugbook Text", "Italic"),
    "text-bold": ("literata", "700Bold", "Lugbook Text", "Bold"),
    "text-bolditalic": ("literata", "700Bold_Italic", "Lugbook Text", "Bold Italic"),
    "label-regular": ("commissioner", "400Regular", "Lugbook Label", "Regular"),
    "label-semibold": ("commissioner", "600SemiBold", "Lugbook Label", "SemiBold"),
    "label-bold": ("commissioner", "700Bold", "Lugbook Label", "Bold"),
}

# The four styles that the old two-name scheme of the name table knows; any other gets the longer names.
PLAIN_STYLES = {"Regular", "Italic", "Bold", "Bold Italic"}

RANGES = [
    (0x0020, 0x007E),  # Basic Latin
    (0x00A0, 0x024F),  # Latin-1, Latin Extended-A and -B
    (0x02B0, 0x036F),  # modifier letters, combining marks
    (0x0370, 0x03FF),  # Greek
    (0x1E00, 0x1EFF),  # Latin Extended Additional
    (0x1F00, 0x1FFF),  # Greek Extended
    (0x2000, 0x206F),  # general punctuation
    (0x2070, 0x209F),  # superscripts and subscripts
    (0x20A0, 0x20CF),  # currency
    (0x2100, 0x215F),  # letter-like signs and fractions
    (0x2190, 0x21FF),  # arrows
    (0x2200, 0x22FF),  # mathematical operators
    (0x25A0, 0x25FF),  # geometric shapes
    (0x2713, 0x2714),  # ticks
]

FEATURES = [
    *("kern", "mark", "mkmk", "ccmp", "locl"),  # right letters and right distances
    *("liga", "calt", "case", "frac", "numr", "dnom", "sups", "subs", "sinf"),
    *("tnum", "pnum", "lnum", "onum"),  # figures
]


def fetch(package: str, digest: str, folder: Path) -> Path:
    """Download one package into `folder`, check its sum, unpack it and return the unpacked folder."""
    done = subprocess.run(
        ["npm", "pack", "--silent", package], cwd=folder, check=True, stdout=subprocess.PIPE, text=True
    )
    archive = folder / done.stdout.split()[-1]
    data = archive.read_bytes()
    if base64.b64encode(hashlib.sha512(data).digest()).decode() != digest:
        raise SystemExit(f"{package}: the download does not have the expected SHA-512 sum")
    unpacked = folder / archive.stem
    with tarfile.open(fileobj=io.BytesIO(data)) as tar:
        tar.extractall(unpacked, filter="data")
    return unpacked / "package"


def rename(font: TTFont, family: str, style: str) -> None:
    """Give the font its new names; copyright, version and licence entries stay as they are."""
    plain = style in PLAIN_STYLES
    new = {
        1: family if plain else f"{family} {style}",
        2: style if plain else "Regular",
        4: f"{family} {style}",
        3: f"{family} {style}",
        6: f"{family}-{style}".replace(" ", ""),
    }
    if not plain:
        new |= {16: family, 17: style}
    table = font["name"]
    table.names = [
        n for n in table.names if n.nameID in {0, 5, 13, 14} and (n.platformID, n.langID) == (3, 0x409)
    ]
    for name_id, text in new.items():
        table.setName(text, name_id, 3, 1, 0x409)


def make(source: Path, family: str, style: str) -> bytes:
    """Return the subset of one face as WOFF2."""
    options = subset.Options(
        layout_features=FEATURES,
        name_IDs=["*"],
        notdef_outline=True,
        hinting=False,
        drop_tables=["DSIG", "STAT", "MVAR"],
        recalc_timestamp=False,
    )
    font = TTFont(source, recalcTimestamp=False)
    subsetter = subset.Subsetter(options)
    subsetter.populate(unicodes=[code for first, last in RANGES for code in range(first, last + 1)])
    subsetter.subset(font)
    rename(font, family, style)
    font.flavor = "woff2"
    out = io.BytesIO()
    font.save(out)
    return out.getvalue()


def main() -> None:
    """Write every face and both licence texts."""
    TARGET.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as temporary:
        packages = {
            name.split("/")[1].split("@")[0]: fetch(name, digest, Path(temporary))
            for name, digest in SOURCES.items()
        }
        for name, (package, original, family, style) in FACES.items():
            source = packages[package] / original / f"{package.capitalize()}_{original}.ttf"
            data = make(source, family, style)
            (TARGET / f"{name}.woff2").write_bytes(data)
            print(f"{name}.woff2: {len(data):,} bytes")
            woff2.decompress(TARGET / f"{name}.woff2", TARGET / f"{name}.ttf")
        for package, folder in packages.items():
            text = (folder / "LICENSE_FONT").read_text(encoding="utf-8")
            notice = text.split("\n\n")[0]
            if "Reserved Font Name" in notice:
                raise SystemExit(f"{package}: its licence reserves a font name, so it must not be renamed")
            (TARGET / f"OFL-{package}.txt").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
