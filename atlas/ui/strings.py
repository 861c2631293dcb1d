"""Everything that the application says, in one place, ready to be translated."""

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
DRAFT_TIP = "Draft a pattern from what this case saw"
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
NEW = "New"
NEW_TIP = "Open a new case"
NOTE = "Note"
NOTE_TIP = "Add what was seen, measured or photographed"
SUSPECT = "Suspect"
SUSPECT_TIP = "State how likely a structure is a pattern"
ASK = "Ask"
ASK_TIP = "Note an open question and the look that would settle it"
SETTLE_KEY = "Settle"
SETTLE_TIP = "Record what the teardown showed"
REPORT = "Report"
REPORT_TIP = "Write the case as a page that can be handed over"
CASE = "Case"
NEW_CASE = "new case"
OLDER_CASES = "{count} older ones: Enter shows more, Ctrl+P finds one by its name"
CASE_TITLE = "What the case is about"
CASE_TITLE_HINT = "e.g. grey hatchback, front underside"
NEW_TITLE = "Title, if it is a new case"
VEHICLE = "Vehicle"
PLACE = "Place"
DATE = "Day of the inspection"
DATE_HINT = "2026-11-25; today if left empty"
SEEN = "What was seen, measured or found"
STRUCTURE = "Which structure"
READING = "Reading"
READING_HINT = "e.g. 2.5 mm or 3.1 kg; may be empty"
PHOTO = "Photo"
PHOTO_HINT = "path of a file; kept by path and hash"
PATTERN_HINT = "type part of its title, → completes"
PROBABILITY = "How likely"
PROBABILITY_HINT = "0.7 or 70%"
REASON = "Why"
OPEN_QUESTION = "Question"
SETTLING_LOOK = "What would settle it"
FOUND_PATTERN = "What it turned out to be"
FOUND_HINT = "a pattern, or empty for none of the catalogue's"
FOUND = "What was found"
FOUND_TEXT_HINT = "e.g. sleeve and ring weld seen at the cut"
HOW = "How it was settled"
HOWS = SETTLED_BY
EVIDENCE = "Evidence"
CALCULATIONS = "Calculations"
OPEN_QUESTIONS = "Open questions"
HISTORY = "History"
EMPTY_CASE = "Nothing in it yet: note what is seen, then suspect a pattern."
STATES = {"open": "open", "settled": "settled"}
RIGHT = "was right"
WRONG = "was not"
SETTLED_AS = "Settled:"
CORRECTED = "before that, {by} settled it as {found}:"
NOT_CHOSEN = "not chosen (by {who}, {day}): {by} settled it as {found}:"
CONFLICTS = "Conflicts"
CONFLICTS_TIP = "What two people did differently, side by side, to keep one of"
CONFLICTS_WAIT = "{count} waiting for a choice"
CONFLICTS_NONE = "Nothing waits for a choice."
CONFLICTS_LOOKING = "Looking for what waits for a choice…"
CONFLICT_PLACE = "{place} of {count}   {record}: {field}"
CONFLICT_VERDICT = "Verdicts that contradict each other: which stands? The rest stays on record."
CONFLICT_FIELD = "One field, written differently: which one is kept?"
CONFLICT_WHOLE = "One file, written differently: which one is kept?"
CONFLICT_TAKEN = "One took it out while another changed it: is it kept?"
CONFLICT_TAKE_OUT = "Take it out"
CONFLICT_FILE = "whole file"
CONFLICT_HELD = "the record holds this one until then"
CONFLICT_VERSION = "Version {number}"
CONFLICT_WHO = "Who"
CONFLICT_WHEN = "When"
CONFLICT_WHAT = "What it is"
CONFLICT_FOUND = "Found"
CONFLICT_KEEP = "Keep this one"
CONFLICT_KEPT = "Kept: {what}"
CONFLICT_NEXT = "Next"
CONFLICT_NEXT_TIP = "The next conflict"
CONFLICT_BEFORE = "Before"
CONFLICT_BEFORE_TIP = "The conflict before"
CONFLICT_TO = "Version"
CONFLICT_TO_TIP = "To version 1, 2 and so on; tab goes round"
IN_DISPUTE = "In dispute: it counts as open until one verdict is chosen."
IN_DISPUTE_LIST = "in dispute"
MEAN_OF = "mean of {count} people"
UNNAMED = "unnamed"
NONE_OF_CATALOGUE = "none of the catalogue"
WRITTEN = "Written: "

# Vehicles
READING_VEHICLES = "Reading the vehicles…"
VEHICLE_LINE = "{kind}, {cradle}, {length:,.0f} mm, {mass:,.0f} kg, {members} members"
OWN_VEHICLE = "the library's"
SHIPPED_VEHICLE = "shipped, invented"
NEW_VEHICLE = (
    "A vehicle of one's own: atlas vehicle new --output my-vehicle.toml, then into vehicles/."
)
TICK = "Tick"
TICK_TIP = "Take this vehicle into the comparison, or out of it"
TICKED = "{count} ticked, c sets them side by side"
SIDE_BY_SIDE = "Compare"
SIDE_BY_SIDE_TIP = "Write the ticked vehicles side by side as a page to the working folder"
CRADLES = {
    "perimeter": "perimeter cradle",
    "x-plan": "cradle of X plan",
    "h-plan": "cradle of H plan",
    "short": "short cradle",
    "horned": "cradle with horns",
    "none": "no cradle",
}
STRUCTURE_VIEWS = {
    "plan": "from above, forward up",
    "side": "left side, forward left",
    "front": "from ahead",
}
STRUCTURE_PANE = "Structure"
LOAD = "Load"
LOAD_TIP = "Next load case"
LOAD_BEFORE_TIP = "Load case before"
MEMBER = "Member"
PATTERNS = "Patterns"
PATTERNS_TIP = "What each pattern buys; enter takes it away or puts it back"
PICK_TIP = "To the next member that way on the sheet"
NEXT_MEMBER = "Next"
NEXT_MEMBER_TIP = "To the next member, most used first"
MEMBER_BEFORE = "Before"
MEMBER_BEFORE_TIP = "To the member before"
ZOOM_MEMBER_TIP = "Nearer, round the chosen member"
TURN_VIEW = "View"
TURN_VIEW_TIP = "Plan, side or front view large"
MOVED = "Moved"
MOVED_TIP = "Show the moved shape, or the structure as built"
OPEN_PATTERN = "Page"
OPEN_PATTERN_TIP = "Open the page of the pattern under the cursor"
PUT_BACK = "Put back"
PUT_BACK_TIP = "Put everything back that was taken away"
WRITE_SHEET_TIP = "Write this view with its key as an SVG sheet to the working folder"
SOLVING = "Solving…"
VEHICLE_REPORT_TIP = "Write this vehicle under this load as a page to the working folder"
WRITING = "Writing…"
STANDS_ON = "Load case"
WITHOUT = "Taken away"
WHOLE_WAS = "whole: {words}"
MOUNTS = "Through the mounts"
MOST_USED = "Most used, 1 is the elastic limit"
PULL = "pull"
ABOUT_NOTHING = "about 0 {unit}"
PUSH = "push"
RANGE_NOTE = "Median and 5 to 95 % over {samples} draws of gauges and joints."
SCREENING = "Elastic screening of a frame model; crash performance is proven by test."
NO_MEMBER = "Choose a member: arrow keys in the drawing, n for the most used, or a click."
MEMBER_GONE = "taken away with its patterns"
ENDS = {"rigid": "rigid ends", "semi": "ends that yield", "pinned": "pinned ends"}
LENGTH_MASS = "{length:,.0f} mm long, {mass:.2f} kg"
YIELD = "{material}, yield strength {strength:g} MPa"
BELONGS = "Belongs to"
NO_PATTERN = "It belongs to no pattern of the catalogue."
TAKEN = "taken away"
SHARED_WITH = "shared with {names}"
BUYS = "What each buys in {case}"
BUYS_STIFFNESS = "stiffness {words}"
BUYS_PEAK = "peak use {now} → {bare}"
BUYS_EACH = "{words} per kg"
BUYS_WAIT = "…"
ITS_MEMBERS = "Its members"
ITS_PAGE = "Open its page"
TOGGLE_HINT = "enter: take away, put back"

# Study
STUDY_PANES = {"list": "Zones", "card": "Card", "answer": "Answer", "sketch": "Sketch"}
STUDY_READING = "Collecting what there is to practise…"
STUDY_OF = "Study of {who}"
STUDY_ALL = "All zones"
STUDY_ROW = "{due} due · {read}/{path} read · {seen}/{items} seen"
STUDY_DUE = "{due} due today, {new} new"
STUDY_LEFT_OFF = "{count} begun"
STUDY_PRACTISE = "Practise"
STUDY_NOTHING_DUE = "Nothing is due today, and nothing is new."
STUDY_PATH = "Walk the path"
STUDY_PATH_DONE = "The path is walked to its end: practise it now."
STUDY_ON_PATH = "On the path"
STUDY_SEEN = "How it goes"
STUDY_READ = "Patterns read: {read} of {path}"
STUDY_ITEMS = "Items seen: {seen} of {items}"
STUDY_HITS = "Right: {hits:.0%} of {answers} answers, after {cues:.0%} of the cues"
STUDY_BOXES = "Boxes"
STUDY_BOX = "Box {box}, {wait}"
STUDY_WAIT_ONE = "every day"
STUDY_WAIT = "every {days} days"
STUDY_CALIBRATION = "Stated against right"
STUDY_BIN = "said {low:.0%} to {high:.0%}: right in {right:.0%} of {count}"
STUDY_NO_STATED = "Nothing was answered with a probability yet."
STUDY_TAKEN = "What was taken for what"
STUDY_TAKEN_FOR = " taken for "
STUDY_NEXT = "What next"
STUDY_WHAT = "What is this?"
STUDY_CATALOGUE = "cues of the catalogue"
STUDY_NEW = "new"
STUDY_IN_BOX = "box {box}"
STUDY_CUE = "Cue {number} of {count}"
STUDY_MORE = "Next cue"
STUDY_MORE_TIP = "Uncover the next cue; after the answer, on to the next one"
STUDY_ALL_SHOWN = "These are all cues."
STUDY_ANSWER = "Answer"
STUDY_ANSWER_TIP = "Say what it is and how sure you are"
STUDY_PASS = "I cannot say"
STUDY_GUESS_HINT = "type part of any of its names"
STUDY_SURE = "How sure"
STUDY_SURE_HINT = "0 to 100 %, ↑ ↓ step"
STUDY_GUESS = "What it is"
STUDY_NO_FIT = "Nothing in this zone is called that."
STUDY_FIRST_WHAT = "Say first what it is."
STUDY_RIGHT = "Right: {title}"
STUDY_WRONG = "Not {said}. It is: {title}"
STUDY_PASSED = "It is: {title}"
STUDY_STATED = "{sure:.0%} sure"
STUDY_AFTER = "after {cues} of {of} cues"
STUDY_BACK_ON = "box {box}, back on {due}"
STUDY_GO_ON = "Next"
STUDY_WORKING = "Working out the reasons…"
STUDY_FOUND = "Found: "
STUDY_GUESSED = "First taken for: "
STUDY_SEPARATES = "What separates it"
STUDY_NO_SEPARATION = "nothing in the catalogue separates the two directly"
STUDY_TOLD = "Which cue told"
STUDY_COURSE = "How likely the catalogue's own matching held it, cue by cue"
STUDY_NOT_SHOWN = "  not uncovered"
STUDY_NUMBER = "The number"
STUDY_LEFT_OUT = "Left out: "
STUDY_STEP = "{number} of {count} on the path"
STUDY_QUESTION = "Question, then on"
STUDY_BEFORE = "Before going on"
STUDY_WHICH = "Which of these shows this?"
STUDY_NOT_THAT = "not that one"
STUDY_STEP_RIGHT = "Right."
STUDY_ON_TO = "On to: "
STUDY_REPORT_TIP = "Write your progress as a page that can be handed over"

# Photo
PHOTO_TITLE = "Photo"
PHOTO_OPEN = "Measure on a photo"
PHOTO_OPEN_TIP = "Mark known points and lengths on a picture"
PHOTO_FILE = "File of the photo"
PHOTO_FILE_HINT = "path; → completes"
PHOTO_LOOK_ONLY = "read-only: only the photos of cases are opened here"
PHOTO_MOVED = "Where the photo is now"
PHOTO_READING = "Reading the photo…"
PHOTO_NONE = "There is no photo in this case yet; e adds one."
READING_GONE = "its reading off a photo has changed since"
PHOTO_MISSING = "is missing"
PHOTO_IS_OTHER = "is another picture than the one that was noted"
PHOTO_CHANGED = (
    "{path} is no longer the photo that was noted: what is marked now belongs to the new one."
)
PHOTO_KEY = "Photo"
PHOTO_KEY_TIP = "Measure on a photo of this case"
PHOTO_FORM_TIP = "Mark the points on the picture itself"
PHOTO_FACTS = "{width} × {height} px"
PHOTO_TURNED = ", turned upright"
PHOTO_REDUCED = ", held at 1/{reduced}"
MARKS_PANE = "Marks"
PUT = "Set mark"
PUT_TIP = "Set the next mark here: known points first, then ends of lengths; or set down a held one"
PUT_KNOWN = "Known"
PUT_KNOWN_TIP = "Set a point here whose true place is known"
PUT_END = "Length"
PUT_END_TIP = "Set an end of a length that is wanted here"
CURSOR = "Cursor"
CURSOR_TIP = "Move the cursor by a dot; a held mark moves with it"
LEAP = "Leap"
LEAP_TIP = "Move the cursor by eight dots"
PAN = "Pan"
PAN_TIP = "Move over the picture by half a window"
ZOOM_IN_TIP = "Nearer, about the cursor; the wheel zooms about the pointer"
ZOOM_OUT_TIP = "Farther"
WHOLE_PHOTO = "Whole"
WHOLE_PHOTO_TIP = "All of the picture"
LOUPE = "Loupe"
LOUPE_TIP = "Pixel for dot about the cursor, or back to the whole"
BRIGHTER = "Brighter"
BRIGHTER_TIP = "Lift the dark parts, in steps"
TONES = "Tones"
TONES_TIP = "Draw in pixels where the terminal can, in colour, in dots or in letters"
NEXT_MARK = "Next mark"
NEXT_MARK_TIP = "Go to the next mark"
MARK_BEFORE_TIP = "Go to the mark before"
HOLD_MARK = "Hold"
HOLD_MARK_TIP = "Hold the mark so that the arrow keys move it; enter sets it down"
HELD_MARK = "Mark {label} is held: arrows move it, enter sets it down, esc puts it back."
SNAP = "Snap"
SNAP_TIP = "To the corner or the middle of the hole next to the cursor, with the mark that is there"
DELETE_MARK = "Delete"
DELETE_MARK_TIP = "Take the mark away; of a length, both ends"
REDO = "Redo"
REDO_TIP = "Take the undoing back"
EDIT_MARK = "Place"
EDIT_MARK_TIP = "Type the true place or the name of the mark"
SHAPE = "Shape"
SHAPE_TIP = "Give the known points the places of a plate, a bolt circle or a ruler"
SHAPE_KIND = "What the known points are, in the order in which they were marked"
SHAPES = {
    "rectangle": "four corners, going round",
    "bolt circle": "holes or studs round a circle, going round from the top",
    "ruler": "marks along a ruler or a tape",
}
SHAPE_FIRST = "Width, diameter or step, mm"
SHAPE_SECOND = "Height of a rectangle, mm; number of bolts or marks"
SHAPE_HELP = (
    "Known points may be the corners of a plate or a sheet of paper (A4 is 297 by 210 mm, "
    "ISO 216), the bolts of a pattern that was measured, the rim's bolt circle, or a ruler laid "
    "on the part. All must lie on the surface that is measured."
)
KEEP_TIP = "Keep photo, lengths and run on a case"
KEPT = "Kept on the case."
USE = "Calculate"
USE_TIP = "Use the lengths as readings of a calculator"
USE_WHICH = "Which calculator"
USE_WHICH_HINT = "its name; → completes"
USE_NOTHING = "not used"
USE_NO_LENGTHS = "takes no lengths"
USE_NONE_CHOSEN = "no length was given an input"
USE_TWICE = "two lengths are given to {name}"
TO_FORM = "Form"
TO_FORM_TIP = "The same marks as readings of the calculator photo-scale"
WHERE = "x {x:.1f}  y {y:.1f}  {per_dot} px a dot  ×{near:.3g}"
SURFACE = "points lie on"
SURFACES = {"plane": "one flat surface", "line": "one straight edge"}
PLACE_HINT = "true x, y"
PLACE_LINE_HINT = "true place"
NAME_HINT = "name of the length"
MARK_ROWS = {"scatter": "off by, 1 σ", "reference": "true, factor"}
MARK_UNITS = {"scatter": "px", "reference": ""}
TO_DO = "To do: "
DO_IT = "Take it"
SENT_ONLY = "Sent to the terminal's clipboard. Some terminals ignore that."
ALL_SET = "Move a mark or zoom in to make a range narrower."
MARK_HELP = {
    "known": "Known point {label}: its pixel position and its true place on the surface, mm.",
    "end": "End {label} of a length: its pixel position, and what the length is called.",
}
SCATTER_HELP = (
    "Marks may be off by {scatter:.3g} px: mark {label} was set at {coarse:.3g} px a dot. Zoom in, "
    "hold it and set it again for a narrower range."
)
EDGE_HELP = (
    "{labels} near the picture's edge: lenses distort most there, by a per cent or more "
    "(common practice)."
)
DRIVER_HELP = "Most of the spread in {length} comes from mark {label}."
SCALE_LINE = "{value} mm a pixel"
MISFIT_LINE = "known points miss their places by {value} mm"

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
KEYS_PICTURE = "Keys of the picture"
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
PHOTO_WAY = "Photos"
PHOTO_WAYS = {
    "auto": "In pixels where the terminal can, else in its cells",
    "cells": "In the terminal's cells, two dots each",
    "sixel": "In pixels by sixels",
    "placeholders": "In pixels by the terminal graphics protocol",
}
THEMES = {
    "dusk": "Dark, calm",
    "paper": "Light, as if printed",
    "stark": "Strongest contrast",
    "terminal": "The terminal's own sixteen colours",
}
