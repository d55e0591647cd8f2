"""How wide the words of the drawing are, and how they are broken into lines.

Compose reads no files, so the advances of the label face stand here; a test compares them with the font.
"""

from __future__ import annotations

# Characters that are not listed are taken as a full em and more: too wide is harmless, too narrow is not.
UNKNOWN = 1.2
ELLIPSIS = "…"
# Ink above and below the baseline, in ems: figures, capitals and ascenders; descenders.
ABOVE, BELOW = 0.78, 0.24
# Advance in hundredths of an em, rounded up, of the widest of the label faces -> the characters that have it.
ADVANCES = {
    20: " \u00a0",
    23: "'",
    25: ",‘’",
    27: "!.:;¡·ʹ͵;·",
    28: "ijlìíîïĩīĭįıĵĺļ",
    29: "|¦",
    30: "ľ",
    32: "IJÌÍÎÏĨĪĬĮİĴΙΪ",
    33: "ΐίιϊ",
    34: "¹",
    36: "ł",
    37: "Ί",
    41: "[]fª",
    42: "()r²ŕŗř",
    43: "-_t³¿ţťŧ",
    44: "\"",
    45: "{}",
    46: "/1?\\º“”",
    47: "sŀśŝşš",
    49: "ζ",
    50: "*c¢çćĉċčέεξς",
    51: "°τ",
    52: "zźżž",
    53: "aeàáâãäåèéêëāăąēĕėęě",
    54: "γν",
    55: "7gvyýÿĝğġģŷ",
    56: "χ",
    57: "2xλ",
    58: "$<=>Fhknu~§¬®±¶ñ÷ùúûüĥħķĸńņňŋũūŭůűųΓήΰηκυϋύ−",
    59: "35Ldqµ×đĹĻĽĿμρϗ",
    60: "+E`bop¨¯´¸ÈÉÊËðòóôõöøþĒĔĖĘĚŁōŏő΄΅Εβοό",
    61: "S£ďŚŜŞŠδθ",
    62: "4689ßάα–",
    64: "^",
    65: "PT¥«»ÞŢŤŦΡΤπσ",
    66: "¤ΈΣ",
    67: "0BΒΞ",
    69: "CYZÇÝĆĈĊČŶŸŹŻŽΖΥΫ",
    70: "#KRĶŔŖŘΚ",
    71: "VXΧ",
    72: "AÀÁÂÃÄÅĀĂĄΆΎΑΛ",
    74: "DGUÐÙÚÛÜĎĐĜĞĠĢŨŪŬŮŰŲ",
    75: "HĤĦΔΗΠ",
    76: "NÑŃŅŇŊΝ",
    77: "&ψ",
    78: "φ",
    79: "ωώ",
    80: "Ή—…",
    82: "OQ©ÒÓÔÕÖØæŌŎŐΟ",
    83: "ΘΩ",
    84: "wŵ",
    85: "Ό",
    86: "Ώ",
    88: "m",
    90: "@ΦΨ",
    94: "%œ",
    97: "MΜ",
    100: "Æ",
    101: "¼",
    105: "WŴ",
    107: "½¾",
    109: "Œ",
}  # fmt: skip
_EMS = {
    character: hundredths / 100 for hundredths, characters in ADVANCES.items() for character in characters
}


def width(text: str, size: float) -> float:
    """Greatest width of a text in any weight of the label face, kerning left aside."""
    return sum(_EMS.get(character, UNKNOWN) for character in text) * size


def shorten(text: str, room: float, size: float) -> str:
    """The text, or as much of it as fits with an ellipsis."""
    if width(text, size) <= room:
        return text
    kept = text
    while kept and width(kept + ELLIPSIS, size) > room:
        kept = kept[:-1].rstrip()
    return kept + ELLIPSIS


def wrap(text: str, room: float, size: float, most: int) -> tuple[str, ...]:
    """The text in at most so many lines; what does not fit is cut with an ellipsis."""
    lines: list[str] = []
    words = text.split()
    while words and len(lines) < most - 1:
        count = 1
        while count < len(words) and width(" ".join(words[: count + 1]), size) <= room:
            count += 1
        lines.append(shorten(" ".join(words[:count]), room, size))
        words = words[count:]
    if words:
        lines.append(shorten(" ".join(words), room, size))
    return tuple(lines)
