"""Every code that a problem can carry, with its meaning. `docs/problems.md` is made from this table."""

from __future__ import annotations

from lugbook.model.installation_codes import INSTALLATION_CODES
from lugbook.model.problem import Code

CODES: dict[str, Code] = {
    code.code: code
    for code in (
        Code("P001", "error", "A file cannot be read.", "Check the name and who may read it."),
        Code("P002", "error", "A file is not UTF-8 text.", "Save it as UTF-8 in your editor."),
        Code(
            "P003", "error", "The text is not YAML.", "Look at indent, colons and quotes at the place named."
        ),
        Code("P004", "error", "The file is empty or holds several documents.", "Keep one document a file."),
        Code("P005", "error", "Anchors and aliases are refused.", "Write the value out."),
        Code("P006", "error", "YAML tags are refused.", "Delete the tag."),
        Code("P007", "error", "Values are nested too deep.", "Flatten them."),
        Code("P008", "error", "A file, a text or the number of values is too large.", "Shorten it."),
        Code("P009", "error", "A hidden control or direction character.", "Delete it."),
        Code("P101", "error", "A key that is not known here.", "The hint names the nearest known key."),
        Code("P102", "error", "A required key is missing.", "Add it."),
        Code("P103", "error", "A key stands twice.", "Keep one."),
        Code(
            "P104",
            "error",
            "The wrong kind of value: a list, a group of keys or a text was expected.",
            "See the example in docs/findings.md.",
        ),
        Code("P105", "error", "A word that is not among those allowed here.", "The message lists them."),
        Code("P107", "error", "A required value is empty.", "Fill it in."),
        Code(
            "P108",
            "error",
            "A mark on a picture is incomplete.",
            "See the list of marks in docs/findings.md.",
        ),
        Code("P109", "error", "A text is too long for its place.", "Shorten it."),
        Code(
            "P110", "error", "An unquoted yes, no, on, off or null where text is meant.", "Put it in quotes."
        ),
        Code(
            "P111",
            "error",
            "A number with a leading zero.",
            "Some programs read 010 as 8. Drop the zero, or quote text.",
        ),
        Code("P112", "error", "A number with an exponent.", "Write it out."),
        Code(
            "P113", "error", "A number with colons.", "Some programs read 1:30 as 90. Write times as 09:30."
        ),
        Code(
            "P114",
            "error",
            "A number spelt with letters or underscores: 0x10, 1_000, .inf.",
            "Programs disagree about it. Write plain digits, or quote text.",
        ),
        Code("P119", "error", "A quantity without its unit.", "Add the unit."),
        Code(
            "P120", "error", "A unit that is unknown or of the wrong kind.", "The message gives an example."
        ),
        Code("P121", "error", "Not a number, or out of range.", "Write digits with a decimal point."),
        Code("P122", "error", "Not a date.", "Write year-month-day."),
        Code("P123", "error", "Not a time of day.", "Write HH:MM."),
        Code(
            "P124",
            "error",
            "Not an extent.",
            "Write whole, part seen, or sample 4 of 12; tested or not tested may follow.",
        ),
        Code(
            "P125",
            "error",
            "An id that is not well formed.",
            "Small letters, digits and hyphens; defects d1, d2 and so on.",
        ),
        Code("P201", "error", "An unknown checklist or group.", "The hint names the nearest."),
        Code(
            "P202", "error", "An item that is in none of the job's checklists.", "The hint names the nearest."
        ),
        Code("P203", "error", "An item answered twice, or an id used twice.", "Keep one."),
        Code("P204", "error", "A defect has no id.", "Run 'lugbook check --fix'."),
        Code(
            "P205",
            "error",
            "A defect id is used twice.",
            "Delete one of the ids and run 'lugbook check --fix'.",
        ),
        Code("P206", "error", "This result needs a reason.", "Say why."),
        Code(
            "P207",
            "error",
            "Result and contents disagree.",
            "A result 'defect' lists its defects; no other result has any.",
        ),
        Code(
            "P208",
            "error",
            "A reading, an instrument or a defect that is not in the file.",
            "The hint names the nearest.",
        ),
        Code(
            "P209",
            "error",
            "Dates in the wrong order.",
            "The order is instructed, inspected, reported, signed.",
        ),
        Code(
            "P210",
            "error",
            "Heat has left a mark, yet the probability is improbable.",
            "Choose a higher probability.",
        ),
        Code(
            "P211",
            "error",
            "A result without its extent, or with one that contradicts it.",
            "Say how far the item was looked at.",
        ),
        Code(
            "P212",
            "error",
            "A defect or a reading points at something that the installation does not have.",
            "The hint names the nearest.",
        ),
        Code(
            "P213",
            "error",
            "A reading of the mains side lacks what its test needs, or who was entitled to take it.",
            "Mains readings are for qualified people: say under 'qualified' what entitled them.",
        ),
        Code(
            "P214",
            "error",
            "A reading before work and one after it that do not belong together.",
            "'before' names an earlier reading of the same quantity, and each is paired once.",
        ),
        Code("P301", "error", "A picture is missing.", "The hint names the nearest."),
        Code(
            "P302", "error", "A path leads out of the job, or to the network.", "Copy the file into photos/."
        ),
        Code("P303", "error", "Not an ordinary file.", "Copy the picture itself into photos/."),
        Code(
            "P304",
            "error",
            "Not a picture of a kind that is read here.",
            "Save it as JPEG, PNG, WebP or HEIC.",
        ),
        Code("P305", "error", "A broken or truncated picture.", "Copy it from the camera again."),
        Code("P306", "error", "A picture that is too large.", "Save a smaller copy."),
        Code(
            "P307",
            "error",
            "HEIC pictures need an extra part of the program.",
            "Install 'lugbook[heic]', or save as JPEG.",
        ),
        Code(
            "P308",
            "error",
            "Two pictures whose names look the same.",
            "Their accents are coded differently. Rename one.",
        ),
        Code("P401", "warning", "A picture that nothing uses.", "Use it, or move it out of photos/."),
        Code("P402", "warning", "An instrument was past its calibration date.", "The report prints it."),
        Code(
            "P403",
            "warning",
            "An item was answered although the boat has no such thing.",
            "Correct 'fitted', or answer 'not applicable'.",
        ),
        Code(
            "P404",
            "warning",
            "An answer says that there is no departure, and the installation or the readings give one.",
            "Look again. Then enter it as a defect, correct what was entered, or say under 'disagree' why it is none.",
        ),
        Code(
            "P405",
            "warning",
            "Text after ' #' is a comment for YAML, and left out.",
            "Put the text in quotes, or write a space after the # of a comment.",
        ),
        Code("P501", "note", "Items without an answer.", "They count as open until the report is issued."),
        Code("P502", "note", "A field that a finished report needs is empty.", "Fill it in before issuing."),
        Code(
            "P701",
            "error",
            "An archive that cannot be read, or is cut short.",
            "Copy it from the phone again, or export again.",
        ),
        Code(
            "P702",
            "error",
            "A name in an archive that leads out of the job, or that not every disk can hold.",
            "Export again; the capture page gives no such names.",
        ),
        Code(
            "P703",
            "error",
            "An entry of an archive that is a link, a device or encrypted.",
            "Export again, without a password.",
        ),
        Code(
            "P704",
            "error",
            "An archive that holds or unpacks to too much.",
            "The message says which limit.",
        ),
        Code("P705", "error", "Two names in an archive that would be one file.", "Rename one."),
        Code(
            "P706",
            "error",
            "An archive without the facts of the capture page, or of another format.",
            "Export again from the page; a newer page needs a newer program.",
        ),
        Code(
            "P707",
            "error",
            "A file of an export that is missing, not listed, or no file of a job.",
            "Export again; add pictures of your own after unpacking.",
        ),
        Code(
            "P708",
            "error",
            "A file of an export whose length or SHA-256 sum is not the one listed.",
            "It was changed or damaged on the way. Export again.",
        ),
        Code(
            "P709",
            "error",
            "An export of another visit, or one that is not newer than the last that was unpacked.",
            "Unpack it into a folder of its own.",
        ),
        Code(
            "P710",
            "error",
            "A value that was changed both in the job and on the phone.",
            "Run it in a terminal to be asked, or say '--ours' or '--theirs'.",
        ),
        *INSTALLATION_CODES,
    )
}
