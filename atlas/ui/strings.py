"""Everything that the application says, in one place, ready to be translated."""

APP = "atlas"

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
MARK_TIP = "Remember this page, or forget it"
GO = "Go to"
GO_TIP = "Any pattern, calculator, case, word or command by name"
QUIT = "Quit"
LEAVE = "Leave"
LEAVE_TIP = "Close this and change nothing"

# Places
FIND = "Find"
CASES = "Cases"
CALCULATORS = "Calculators"
GLOSSARY = "Glossary"
FIND_TIP = "Describe, browse and narrow"
CASES_TIP = "What was seen, suspected, computed and settled"
CALCULATORS_TIP = "All calculators and their questions"
GLOSSARY_TIP = "Words of the trade"

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
READING = "Reading the catalogue…"
FOR = "for"
AGAINST = "against"
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
