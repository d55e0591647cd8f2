"""The bundled fonts: their names, and that they hold the letters the report needs."""

from io import BytesIO
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont, woff2

FONTS = Path(__file__).parents[1] / "templates" / "fonts"

# file -> family, style, weight
FACES = {
    "text-regular": ("Lugbook Text", "Regular", 400),
    "text-italic": ("Lugbook Text", "Italic", 400),
    "text-bold": ("Lugbook Text", "Bold", 700),
    "text-bolditalic": ("Lugbook Text", "Bold Italic", 700),
    "label-regular": ("Lugbook Label", "Regular", 400),
    "label-semibold": ("Lugbook Label", "SemiBold", 600),
    "label-bold": ("Lugbook Label", "Bold", 700),
}

# SOURCE of the alphabets: recalled. Symbols: those that the report prints.
LETTERS = {
    "Polish": "ąćęłńóśźżĄĆĘŁŃÓŚŹŻ",
    "German": "äöüßÄÖÜẞ",
    "Welsh": "âêîôûŵŷÂÊÎÔÛŴŶáéíóúẃýàèìòùẁỳäëïöüẅÿ",
    "Greek": "αβγδεζηθικλμνξοπρσςτυφχψωΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡΣΤΥΦΧΨΩάέήίόύώϊϋΐΰΆΈΉΊΌΎΏΪΫ",
    "symbols": "−×÷±≤≥≈≠√∞ΩΩµμ°²³′″½¼¾€£№…–—•‘’“”„«»\u00a0\u2009",
}
TEXT_ONLY = "→←↑↓■□▲△▼⅓⅛ἀἁᾶῶΐ"


@pytest.fixture(params=FACES)
def face(request: pytest.FixtureRequest) -> tuple[str, TTFont]:
    return request.param, TTFont(FONTS / f"{request.param}.woff2")


def test_every_font_file_is_listed() -> None:
    assert {p.stem for p in FONTS.glob("*.woff2")} == set(FACES)


@pytest.mark.parametrize("name", FACES)
def test_the_unpacked_file_is_the_packed_one(name: str) -> None:
    out = BytesIO()
    woff2.decompress(BytesIO((FONTS / f"{name}.woff2").read_bytes()), out)
    assert (FONTS / f"{name}.ttf").read_bytes() == out.getvalue()


def test_names_are_our_own(face: tuple[str, TTFont]) -> None:
    name, font = face
    family, style, weight = FACES[name]
    assert font["name"].getBestFamilyName() == family
    assert font["name"].getBestSubFamilyName() == style
    assert font["OS/2"].usWeightClass == weight
    assert font["OS/2"].fsType == 0, "free to embed"


@pytest.mark.parametrize("language", LETTERS)
def test_letters_are_there(face: tuple[str, TTFont], language: str) -> None:
    _, font = face
    assert [c for c in LETTERS[language] if ord(c) not in font.getBestCmap()] == []


def test_text_family_fills_the_gaps_of_the_label_family(face: tuple[str, TTFont]) -> None:
    name, font = face
    missing = [c for c in TEXT_ONLY if ord(c) not in font.getBestCmap()]
    assert bool(missing) == name.startswith("label"), missing


def test_features_are_kept(face: tuple[str, TTFont]) -> None:
    name, font = face
    tags = {r.FeatureTag for t in ("GSUB", "GPOS") for r in font[t].table.FeatureList.FeatureRecord}
    wanted = {"kern", "liga", "frac", "sups", "case"}
    if name.startswith("text"):
        wanted |= {"tnum", "lnum", "onum"}
    assert wanted <= tags


@pytest.mark.parametrize("source", ["literata", "commissioner"])
def test_licence_text_is_there_and_reserves_no_name(source: str) -> None:
    text = (FONTS / f"OFL-{source}.txt").read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE Version 1.1" in text
    assert "Reserved Font Name" not in text.split("-----")[0]
