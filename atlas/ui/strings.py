"""What several parts of the application say, or one of no more than some lines.

What one part alone says stands in a module of its own beside this one: append_strings.py,
case_strings.py, photo_strings.py, study_strings.py, vehicle_strings.py. No other module holds text
that is shown, so that these are all there is to translate.
"""

from atlas.catalogue.model import SETTLED_BY

APP = "atlas"
READ_ONLY = " read-only "

# Keys
CHOOSE = "Choose"
CHOOSE_TIP = "Act on the line under the cursor"
WORDS = "Words"
WORDS_TIP = "Describe what is seen"
HELP = "Help"
HELP_TIP = "Keys and what this screen is for"
BACK = "Back"
BACK_TIP = "To where one was before"
FORWARD = "Forward"
FORWARD_TIP = "Where one was before going back"
THEME = "Colours"
THEME_TIP = "Next of the themes: dusk, paper, stark, terminal"
UNDO = "Undo"
UNDO_TIP = "Take the last step back"
MARK = "Mark"
MARK_TIP = "Mark the pattern on screen, or take its mark away"
GO = "Go to"
GO_TIP = "Any pattern, calculator, case, word or command by name"
QUIT = "Quit"
LEAVE = "Leave"
LEAVE_TIP = "Close this and change nothing"
OUTWARD_TIP = "One step outward: from a pane to the list, from there back"
WORDS_OUT_TIP = "To the matches, then the words, then an empty line; ctrl+z brings the words back"
DO = "Do it"
DO_TIP = "Do it with what is filled in, from any field"
DROP_FIRST = "Nothing is added yet: esc again drops what was filled in."

# Places
FIND = "Find"
CASES = "Cases"
CALCULATORS = "Calculators"
GLOSSARY = "Glossary"
VEHICLES = "Vehicles"
VEHICLES_TIP = "Front structures as models, with and without each pattern"
STUDY = "Study"
APPEND = "Append"
APPEND_TIP = "Write new patterns, review those of others, and learn from settled cases"
FIND_TIP = "Describe, browse and narrow"
CASES_TIP = "What was seen, suspected, computed and settled"
CALCULATORS_TIP = "All calculators and their questions"
GLOSSARY_TIP = "Words of the trade"
STUDY_TIP = "A path through a zone, practice, and how it goes"

# Find
PLACEHOLDER = "What do you see?  e.g. long curved leg from below, two bolts at each foot, no rubber"
ZONES = "Zones"
MATCHES = "Matches"
PAGE = "Pattern"
SKETCH = "Sketch"
QUESTION = "Next question"
NO_SKETCH = "no sketch"
NOTHING = "Nothing in the catalogue matches these words."
NEAREST = "Nearest words it knows: "
NARROWED = "after {count} answers"
NARROWED_ONE = "after 1 answer"
NONE_OF_THESE = "none of these"
CANNOT_SEE = "cannot see"
WHY_THIS = "Why: "
GAIN = "{gain:.2f} bit · {look}"
ANSWERED = "Answered"
ANOTHER = "another question"
CONFLICT = "Contradiction: "
NO_QUESTION = "No further look would part these candidates."
ASK_FIRST = "Describe something or open a zone; questions that part the candidates appear here."
PATTERN_COUNT = "{count} patterns"
ADD_TO_CASE = "To case"
ADD_TO_CASE_TIP = "State in a case how likely this pattern is"
ZONE_ONLY = "Zone"
ZONE_ONLY_TIP = "Search this zone only, or all again"
ALL_ZONES = "all zones"
PANES = {"matches": "Matches", "page": "Pattern", "sketch": "Sketch", "question": "Question"}

# Sketch
VIEW = "View"
VIEW_TIP = "Next view of the sketch"
ZOOM_IN = "Nearer"
ZOOM_OUT = "Farther"
WHOLE = "Whole sheet"
VIEWS = {
    "plan": "from above",
    "front": "from ahead",
    "side": "from the side",
    "section": "cut",
    "detail": "detail",
}

# Pattern page
ALSO_CALLED = "Also called "
WHY_HERE = "Why it matches"
CUES = "What one sees"
LOOK_ALIKES = "Mistaken for"
DOES = "What it does"
LOADS = "Loads and their path"
WHY = "Why it is built so"
TRADE_OFFS = "What it gains and costs"
BUILDS = "Usual makes"
SUMS = "Put a number on it"
SETTLE = "Settle it at teardown"
CAUTIONS = "Cautions"
SOURCES = "Sources"
NO_CALCULATOR = "not in this installation"
STATUS = {"draft": "draft", "reviewed": "reviewed", "settled": "settled at teardown"}
SUPERSEDED = "Superseded by "
SEEN_IN = "Seen in "
TELLING = {"settles": "settles it", "strong": "strong", "supports": "supports", "weak": "weak"}
LOOKS = {
    "below": "from below",
    "above": "from above",
    "front": "from ahead",
    "side": "from the side",
    "wheel-off": "wheel off",
    "fascia-off": "fascia off",
    "section-cut": "cut through",
    "bench": "on the bench",
    "touch": "by hand",
}
EFFECTS = {"better": "+", "worse": "−", "depends": "±"}
AXES = {
    "mass": "mass",
    "cost": "cost",
    "stiffness": "stiffness",
    "crash": "crash",
    "noise": "noise",
    "repair": "repair",
    "packaging": "packaging",
}
BY = {
    "look": "look",
    "measure": "measure",
    "weigh": "weigh",
    "test": "test",
    "cut": "cut",
    "unbolt": "unbolt",
}
GAUGE = "{low:g} to {high:g} mm"
GAUGE_ONE = "{low:g} mm"
SOURCE_KINDS = {"published": "", "common-practice": "common practice", "memory": "from memory"}

# Catalogue in general
SET_ASIDE = "{count} records could not be read and were set aside; the first: {first}"

# Calculator
INPUTS = "Readings"
RESULTS = "Results"
RESULTS_COMPARED = "Results, against the held setting"
PLOT = "Plot"
DEFAULTS = "usual values"
MORE = "More"
LESS = "Less"
WIDER = "Wider"
NARROWER = "Narrower"
UP_TIP = "Raise the reading one step"
DOWN_TIP = "Lower the reading one step"
LEAP_UP_TIP = "Raise the reading ten steps"
LEAP_DOWN_TIP = "Lower the reading ten steps"
ROW_BEFORE = "Row before"
ROW_BEFORE_TIP = "To the row before"
WIDER_TIP = "Make its range wider"
NARROWER_TIP = "Make its range narrower"
TURN_TIP = "Another option"
NEXT_ROW = "On to the next row"
STEP_KEYS = "page ↑↓ step, shift ↑↓ range"
EXAMPLE = "e.g. "
COMPARE = "Hold"
COMPARE_TIP = "Hold this setting and compare the next ones with it, or let it go"
HOLDING = "Held. Change a reading to compare."
HELD = "held: "
HELD_SHORT = "held"
COPY = "Copy"
COPY_TIP = "Send the results to the terminal's clipboard"
SENT = "Sent to the terminal's clipboard. Some terminals ignore that; w writes a file."
WRITE = "Write"
WRITE_TIP = "Write the results to a text file in the working folder"
ATTACH_TIP = "Attach this run to a case"
DRIVERS = "What causes the spread in"
LEAVES_OUT = "Leaves out"
CHANGED = "changed"
SIGN_TURNS = "sign turns"
RUN_WITH = "{samples} samples, seed {seed}"

# Dialogs and cases
CANCEL = "Leave it"
ADD = "Add"
OPEN = "Open"
REPORT = "Report"
CASE = "Case"
CASE_TITLE_HINT = "e.g. grey hatchback, front underside"
NEW_TITLE = "Title, if it is a new case"
VEHICLE = "Vehicle"
STRUCTURE = "Which structure"
PATTERN_HINT = "type part of its title, → completes"
FOUND = "What was found"
FOUND_TEXT_HINT = "e.g. sleeve and ring weld seen at the cut"
HOW = "How it was settled"
HOWS = SETTLED_BY
WRITTEN = "Written: "

# Photo
PHOTO_OPEN = "Measure on a photo"
PHOTO_OPEN_TIP = "Mark known points and lengths on a picture"
PHOTO_KEY = "Photo"
PHOTO_FORM_TIP = "Mark the points on the picture itself"
SHAPE_HELP = (
    "Known points may be the corners of a plate or a sheet of paper (A4 is 297 by 210 mm, "
    "ISO 216), the bolts of a pattern that was measured, the rim's bolt circle, or a ruler laid "
    "on the part. All must lie on the surface that is measured."
)

# Calculators, glossary, palette, help
READING_CALCULATORS = "Reading the calculators…"
USED_BY = "used by {count} patterns"
USED_BY_ONE = "used by 1 pattern"
CALCULATOR = "Calculator"
TERM = "Word"
WORD_TIP = "Look for a word"
WORD_HINT = "A word of the trade, in any spelling"
NO_TERM = "No word of the glossary holds that."
TERM_COUNT = "{count} words"
KINDS = {
    "part": "part",
    "place": "place",
    "shape": "shape",
    "joint": "joint",
    "material": "material",
    "process": "process",
    "ties": "what it ties",
    "serves": "what it serves",
    "count": "count",
    "measure": "measure",
    "test": "test",
    "load": "load",
}
HELP_LEAVE = "esc closes"
KEYS_HERE = "Keys of this screen"
KEYS_ANYWHERE = "Keys of every screen"
KEYS_READING = "Keys of a reading"
KEYS_CHOICE = "Keys of a choice"
KEYS_PAGE = "Keys of a list or a page"
HELP_ABOUT = {
    "FindScreen": (
        "Say what you see in any words, or open a zone. The list shows what it may be, the page "
        "says why and how to tell, and the question in the corner is the look that tells most. "
        "Answer it, and the list follows. On a cue, the sketch shows the part that is meant; on "
        "a look-alike, it shows that one instead."
    ),
    "CalculatorScreen": (
        "Type a reading as a number (2.5), with a unit (0.1in), as a range (2.2..2.8), a range "
        "with its likeliest value (2.2..2.5..2.8) or a tolerance (2.5+-0.2). Results follow as "
        "you type; the bars say which reading to take better. Escape leaves the rows, so that "
        "letters are keys again."
    ),
    "CasesScreen": (
        "A case keeps what was seen, what was suspected and how surely, what was computed, and "
        "what the teardown showed. Every step can be taken back and stays in the history."
    ),
    "AppendScreen": (
        "What a teardown taught goes into the catalogue here. Describe a structure or take one "
        "from a case; the nearest patterns come first, and you say whether it is one of them, a "
        "variant or new. Then write the page entry by entry: what is missing stands where it is "
        "missing, and everything is kept as you go. Appended, it waits for another person's "
        "review."
    ),
    "VehiclesScreen": (
        "Front structures as frame models. All shipped ones are invented; a library's own lie in "
        "its vehicles folder. Space ticks two to eight, and c writes them side by side."
    ),
    "VehicleScreen": (
        "A front structure under a load. Lines are drawn by how far each member is used of its "
        "elastic limit: the heavier, the further; past the limit they break up. Choose a member "
        "with the arrow keys or a click. Under Patterns, enter takes one away: what is left is "
        "solved at once, and the table says what each one buys for its mass."
    ),
    "PhotoScreen": (
        "Mark four points whose true places you know, then both ends of each length you want: "
        "arrows move the cursor, + zooms in, g goes to the nearest corner or hole, enter sets "
        "the mark. Say where the known points "
        "really lie, or give them a shape. With the mouse: click to point, double click to set, "
        "drag a mark or the picture, wheel to zoom. The terminal draws in pixels if it can; "
        "t, or Photos in the list of commands, says otherwise. A mark set from afar is less sure, "
        "and the range says so. Everything measured must lie on the same surface as the known "
        "points: 10 mm nearer the camera at 1 m reads 1 % long. " + SHAPE_HELP
    ),
    "StudyScreen": (
        "Walk a zone's path: sketch, cues and reasons, with a question before going on. Then "
        "practise: space uncovers one cue after another, a answers, with the probability that you "
        "would state. What you know comes back after 2, 5, 8 and 14 days, what you do not the next "
        "day (Leitner boxes). You may leave at any moment: an item comes back as you left it."
    ),
    "CalculatorsScreen": "Choose a question; its calculator opens with usual values.",
    "GlossaryScreen": "Type part of a word. Other names and older words are found too.",
}
MARKS_TITLE = "Signs in sketches"
MARK_LINES = (
    "solid line  the pattern's own members    dotted  what surrounds them",
    "dashed  hidden edge    long and short dashes  centre line",
    "⊕ bolt seen end-on   ◉ rivet   × spot weld   ▶ load or motion",
)

# Going about
NO_LIBRARY = "There is no library to keep cases in."
MARKED = "Marked. M shows the marks."
UNMARKED = "Mark taken away."
MARKS = "Marks"
MARKS_TIP = "Patterns that were marked"
NO_MARKS = "Nothing is marked yet; m marks the pattern on screen."

# Tour
TOUR = "Tour"
TOUR_TIP = "A short walk through the loop on a demo vehicle"
NEXT = "Next"
TOUR_STEPS = (
    (
        "A blurred photo of an invented hatchback: a flat plate, crossed, behind the engine "
        "cradle. Say so in your own words.",
        "flat crossed plate behind the cradle, four feet, bolts from below",
    ),
    (
        "The list shows what it may be. The page says what one sees, what it is mistaken for, "
        "and why it is built so. Later, arrow keys walk down the cues: the sketch follows.",
        "page",
    ),
    (
        "The question in the corner is the look that would tell most. Answer it and the list "
        "follows; 'cannot see' is an answer too.",
        "question",
    ),
    (
        "Near the end of the page stand calculators with inputs that fit the pattern: after the "
        "tour, enter opens one. Readings may be ranges: 2.2..2.8.",
        "page",
    ),
    (
        "The key a states in a case how likely the pattern is. After the teardown, F7 leads to "
        "the case and x settles it. That is the loop; F1 shows the keys.",
        "matches",
    ),
)
TOUR_END = "Done"
PICTURE = "Picture"
PICTURE_TIP = "Write the screen as an SVG picture to the working folder"
ADDED = "Added to the case."
QUIT_TIP = "Leave the application; it comes back to where one was"
THEMES = {
    "dusk": "Dark, calm",
    "paper": "Light, as if printed",
    "stark": "Strongest contrast",
    "terminal": "The terminal's own sixteen colours",
}
