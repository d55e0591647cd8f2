"""The symbols of the line diagram in the manner of IEC 60617, as paths around their centre.

Classes tell the colour: `l` line, `f` filled line colour, `p` filled with paper under a line.
"""

from __future__ import annotations

SYMBOLS: dict[str, tuple[tuple[str, str], ...]] = {
    # Two cells: long plate positive, short plate negative, between leads.
    "battery": (
        ("l", "M-13 0H-7M-7 -9V9M-1.5 -4.5V4.5M-1.5 0H1.5M1.5 -9V9M7 -4.5V4.5M7 0H13"),
        ("l", "M-12 -8V-4M-14 -6H-10"),
    ),
    # A rotating machine: circle, with G.
    "machine": (
        ("p", "M-12 0A12 12 0 1 0 12 0A12 12 0 1 0 -12 0Z"),
        ("l", "M4 -4A5.2 5.2 0 1 0 4 3.6V0H0.5"),
    ),
    # A rectifier: a.c. in, d.c. out, with the diagonal of a converter.
    "charger": (
        ("p", "M-12 -12H12V12H-12Z"),
        ("l", "M-12 12L12 -12M-9 -6C-7.5 -9 -6 -9 -4.5 -6S-1.5 -3 0 -6M1 5H9M1 8H3.4M4.4 8H6.4M7.4 8H9"),
    ),
    # A photovoltaic generator: cell in a square, two arrows of light.
    "pv": (
        ("p", "M-12 -12H12V12H-12Z"),
        (
            "l",
            "M-8 5H-2M-2 -1V11M2.5 2V8M2.5 5H8M-9 -10L-4 -5M-4 -5V-8.2M-4 -5H-7.2M-2 -10L3 -5M3 -5V-8.2M3 -5H-0.2",
        ),
    ),
    "source": (
        ("p", "M-12 0A12 12 0 1 0 12 0A12 12 0 1 0 -12 0Z"),
        ("l", "M-6 -2H6M-6 3H-3M-1.5 3H1.5M3 3H6"),
    ),
    "converter": (
        ("p", "M-12 -12H12V12H-12Z"),
        ("l", "M-12 12L12 -12M-9 -8H-1M-9 -5H-6.6M-5.8 -5H-4.2M-3.4 -5H-1M1 5H9M1 8H3.4M4.2 8H5.8M6.6 8H9"),
    ),
    "inverter": (
        ("p", "M-12 -12H12V12H-12Z"),
        ("l", "M-12 12L12 -12M-9 -8H-1M-9 -5H-6.6M-5.8 -5H-4.2M-3.4 -5H-1M0.5 7C2 4 3.5 4 5 7S8 10 9.5 7"),
    ),
    "diode": (("l", "M-14 0H-6M6 -8V8M6 0H14"), ("f", "M-6 -7.5L6 0L-6 7.5Z")),
    "switch": (
        ("l", "M-15 4H-8M-6.2 3L8 -7M8 4H15"),
        ("p", "M-8 4A1.8 1.8 0 1 0 -4.4 4A1.8 1.8 0 1 0 -8 4ZM4.4 4A1.8 1.8 0 1 0 8 4A1.8 1.8 0 1 0 4.4 4Z"),
    ),
    # One arm, several contacts.
    "selector": (
        ("l", "M-15 0H-8M-6.2 -1L5 -8"),
        (
            "p",
            "M-8 0A1.8 1.8 0 1 0 -4.4 0A1.8 1.8 0 1 0 -8 0ZM6 -9A1.8 1.8 0 1 0 9.6 -9A1.8 1.8 0 1 0 6 -9Z"
            "M6 0A1.8 1.8 0 1 0 9.6 0A1.8 1.8 0 1 0 6 0ZM6 9A1.8 1.8 0 1 0 9.6 9A1.8 1.8 0 1 0 6 9Z",
        ),
        ("l", "M9.6 -9H14M9.6 0H14M9.6 9H14"),
    ),
    # A coil, coupled to a contact.
    "relay": (
        ("p", "M-14 -8H-4V8H-14Z"),
        ("l", "M-14 8L-4 -8M1 4H4.5M5.5 3L12.5 -5M12 4H15M-4 0H-1.5M0 0H2.5M4 0H6.5"),
    ),
    "fuse": (("p", "M-8 -3.5H8V3.5H-8Z"), ("l", "M-8 0H8")),
    # A contact with the cross of a breaker.
    "breaker": (
        ("b", "M-8 -4.9H8V3.4H-8Z"),
        ("l", "M-8 0H-5M-5 0L6 -4.4M5 0H8M3 -2L7 2M3 2L7 -2"),
    ),
    "lamp": (
        ("p", "M-11 0A11 11 0 1 0 11 0A11 11 0 1 0 -11 0Z"),
        ("l", "M-7.8 -7.8L7.8 7.8M-7.8 7.8L7.8 -7.8"),
    ),
    "motor": (("p", "M-12 0A12 12 0 1 0 12 0A12 12 0 1 0 -12 0Z"), ("l", "M-5 5V-5L0 2L5 -5V5")),
    "resistor": (("l", "M-14 0H-10M10 0H14"), ("p", "M-10 -4.5H10V4.5H-10Z")),
    "load": (("p", "M-12 -9H12V9H-12Z"), ("l", "M-7 0H7M4 -3L7 0L4 3")),
    "chassis": (("l", "M0 -10V0M-9 0H9M-9 0L-12 7M0 0L-3 7M9 0L6 7"),),
    "earth": (("l", "M0 -10V-1M-10 -1H10M-6.5 3H6.5M-3 7H3"),),
    # A functional bond: a terminal bar with a ring.
    "bonding": (("l", "M0 -10V-2M-9 -2H9M-9 -2V3M9 -2V3M0 -2V8M-6 8H6"),),
}
