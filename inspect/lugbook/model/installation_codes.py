"""The problem codes of the installation, of the bases and of languages: P6xx."""

from __future__ import annotations

from lugbook.model.problem import Code

INSTALLATION_CODES: tuple[Code, ...] = (
    Code(
        "P601",
        "error",
        "An id of the installation is used twice, or means two things.",
        "Give each element an id of its own.",
    ),
    Code(
        "P602",
        "error",
        "A terminal that does not exist.",
        "Write the id of an element, a full stop and one of its terminals: house.pos. The hint lists them. "
        "Bus bars, panels and studs of your own are entered under 'nodes' and written by their id alone.",
    ),
    Code(
        "P603", "error", "An element that begins and ends at the same place.", "Name two different terminals."
    ),
    Code(
        "P604",
        "error",
        "A switch position without contacts, or with contacts that the switch does not have.",
        "List the pairs that each position closes.",
    ),
    Code(
        "P605",
        "error",
        "A conductor's size is given twice, or not at all.",
        "Write either 'area: 10 mm2' or 'awg: AWG 6'.",
    ),
    Code("P606", "error", "Not an American wire gauge.", "Write 24 to 1, or 1/0 to 4/0."),
    Code(
        "P607",
        "error",
        "An insulation temperature rating outside the tables, or above what its material stands.",
        "Read it off the insulation: 60 to 200 degC.",
    ),
    Code(
        "P608", "error", "A device beyond the end of its conductor.", "Distances count from the 'from' end."
    ),
    Code("P609", "error", "A fuse or breaker without its rating.", "Add 'rating: 50 A'."),
    Code("P610", "error", "A load with neither current nor power, or with both.", "Write one of them."),
    Code("P611", "error", "A converter without the ports that its kind needs.", "The message names them."),
    Code(
        "P612",
        "error",
        "A lug on a stud that is not described, or a stud that is not known here.",
        "Add 'studs: {pos: M8}' to the element, or 'unknown'.",
    ),
    Code(
        "P613",
        "error",
        "A state or interlock names something that the installation does not have.",
        "The hint names the nearest.",
    ),
    Code(
        "P614",
        "error",
        "Interlocks contradict a state, or leave none.",
        "Correct the state or the interlock.",
    ),
    Code(
        "P615",
        "error",
        "A source is shorted by a closed path without a load.",
        "Look at the positions, joins and conductors that the message names.",
    ),
    Code(
        "P616",
        "error",
        "Polarities conflict: a battery, source or load is the wrong way round.",
        "Compare plus and minus at the elements named.",
    ),
    Code("P617", "warning", "Something is not connected.", "Add the conductor, or delete the element."),
    Code(
        "P618",
        "warning",
        "More combinations of switch positions than are worked through.",
        "Name the ones that matter under 'states'.",
    ),
    Code("P619", "error", "Two values that exclude each other.", "The message says which."),
    Code("P620", "warning", "A contact that no position closes.", "Correct the positions."),
    Code("P630", "error", "An unknown basis.", "The hint names the nearest."),
    Code(
        "P631",
        "error",
        "A basis of your own is not complete.",
        "Name a shipped one under 'based_on', or give 'kind', 'in_force', 'binds' and 'applies'.",
    ),
    Code(
        "P632",
        "error",
        "A table of a basis has a row that does not fit its head.",
        "One value for each rating.",
    ),
    Code(
        "P633",
        "error",
        "A table of a basis does not rise with size or rating.",
        "Look for a slip of the pen.",
    ),
    Code("P634", "error", "A basis was in force to a day before it began.", "Correct the dates."),
    Code(
        "P640",
        "error",
        "A proposal changes or removes what the installation does not have.",
        "Name an element by its id, under the list in which it stands.",
    ),
    Code(
        "P641",
        "error",
        "A proposal is accepted by nobody, or on no day.",
        "Write both 'accepted_by' and 'on', or neither.",
    ),
    Code(
        "P642",
        "error",
        "Two proposals change the same key of one element.",
        "Put both into one proposal.",
    ),
    Code("P660", "error", "An unknown language.", "The hint names the nearest."),
    Code(
        "P661",
        "error",
        "A language file of your own has a key or a placeholder that the English text does not have.",
        "'lugbook words LANGUAGE' lists the keys; keep what stands in braces.",
    ),
    Code(
        "P662",
        "note",
        "A language file of your own is not complete; the rest stays English.",
        "'lugbook words LANGUAGE' lists what is missing.",
    ),
)
