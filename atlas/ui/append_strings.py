"""What the screen says on which patterns are appended and reviewed."""

DRAFTS = "Drafts"
WRITTEN = "Pattern"
NEAR = "Nearest"
PANES = {"drafts": DRAFTS, "written": WRITTEN, "near": NEAR, "sketch": "Sketch"}

# The list
NEW = "Describe a new one"
NEW_LEAD = "+ "
FROM_CASE = "From a case at teardown"
LEARN = "What settled cases teach"
IN_WORK = "In work"
WAITING = "Waiting for review"
REVIEWED = "Reviewed here"
MORE_PATTERNS = "{count} further; 'atlas review ID' shows any of them"
NOT_READ = "cannot be read"
UNDECIDED = "is it one of those there are?"
READING = "Looking through the library…"

# Keys
NEW_KEY = "New"
NEW_TIP = "Describe a structure that the catalogue may not have"
REMOVE = "Remove"
REMOVE_TIP = "Take the entry under the cursor out; undo brings it back"
TEXT = "As text"
TEXT_TIP = "The draft as the text of its file"
EDITOR = "Editor"
EDITOR_TIP = "The draft in your own editor ($VISUAL or $EDITOR)"
NEXT_FAULT = "To mend"
NEXT_FAULT_TIP = "The next field that is missing or wrong"
APPEND = "Append"
APPEND_TIP = "Put the draft into the library, where another person reviews it"
COMMENT = "Comment"
COMMENT_TIP = "Say what should change"
ACCEPT = "Accept"
ACCEPT_TIP = "Accept a pattern that another person wrote"
DRAFTS_TIP = "Drafts, patterns waiting for review, and what cases teach"
PAGE_TIP = "The draft or the pattern"
NEAR_TIP = "The nearest patterns that there are"

GIVE_UP_TIP = "Give the draft up that the list stands on"
WORK = "Work on it"
KEYS_DRAFT = "On a draft"
KEYS_OWN = "On a pattern of the library"

# Beginning
NEW_ABOUT = (
    "Enter asks for a title and for what is seen. The nearest patterns that there are come first; "
    "then say whether yours is one of them, a variant of one, or new."
)
TITLE = "Title: what it is, in the trade's words"
TITLE_HINT = "e.g. Bolted A-brace from cradle to torque boxes"
ZONE = "Zone"
NO_ZONE = "–"
NO_ZONE_TIP = "still to be chosen"
SEEN = "What is seen, and from where"
SEEN_HINT = "e.g. from below: two flat straps meet at one bolt on the cradle's rear edge"
BEGIN = "Look for it"
CASES_ABOUT = (
    "Structures of the library's cases. First those that a teardown found to be none of the "
    "catalogue's: they are what the catalogue lacks."
)
NO_CASES = "No case speaks of any structure yet. Open one under Cases and note what was seen."
CASE_NONE = "found to be none of the catalogue's"
CASE_IS = "found to be: {title}"
CASE_OPEN = "not settled yet"
CASES_MORE = "{count} further structures; settle or describe them under Cases"

# Same, variant or new
DECIDE = "Is it one of these?"
DECIDE_ABOUT = (
    "Read the nearest before anything is written: two pages on one thing part what is known of it. "
    "On each line the pattern and its sketch are shown beside."
)
SAME = "It is the same"
SAME_TIP = "nothing is appended; what was seen goes into a case, and cases teach the pattern"
VARIANT = "A variant of it"
VARIANT_TIP = "starts from its page; each will name the other as a look-alike"
IS_NEW = "None of these: it is new"
IS_NEW_TIP = "starts from an empty page and what you saw"
NOTHING_NEAR = "Nothing in the catalogue is near these words."
SAME_TITLE = "It is: {title}"
SAME_DONE = "It is in the case; nothing was appended."

# The page of a draft
COMPLETE = "Complete: it can be appended."
LACKING = "To mend before it can be appended: {count}."
THIN = "Thin, though it can be appended: {count}."
NEW_ONE = "new"
VARIANT_OF = "variant of {title}"
REVISES = "changes what the library has"
ADD = "Add"
EMPTY = "to be written"
SKETCH_TEXT = "{view}: {title}, {count} shapes"
SKETCH_HOW = "Take a sketch over from another pattern"
SKETCH_ABOUT = "Its shapes are written as text, with t; they are drawn beside as they stand."
SIGNATURE_ABOUT = "Terms of the glossary by which a description finds it"
FIELDS = {
    "title": "Title",
    "zone": "Zone",
    "other_names": "Also called",
    "summary": "Summary",
    "cues": "What you see",
    "look_alikes": "Taken for",
    "does": "What it does",
    "load_cases": "Loads",
    "rationale": "Why it is built so",
    "trade_offs": "Gains and costs",
    "builds": "Usual makes",
    "calculations": "Calculations",
    "settle": "To settle it at teardown",
    "cautions": "Cautions",
    "sources": "Sources",
    "likelihoods": "How likely each answer is",
    "signature": "Words that find it",
    "sketches": "Sketches",
    "provenance": "Where seen",
}
ONE = {
    "cues": "a cue",
    "look_alikes": "a look-alike",
    "load_cases": "a load case",
    "trade_offs": "a gain or a cost",
    "builds": "a make",
    "calculations": "a calculation",
    "settle": "a step that settles it",
    "sources": "a source",
    "likelihoods": "an observable",
    "sketches": "a sketch",
}
LONG_HINT = {
    "summary": "What it is and what it does, in two sentences",
    "does": "What it does for the structure",
    "rationale": "Which force comes from where, takes which path, of what size; why not otherwise",
    "other_names": "one a line",
    "cautions": "one a line",
}

# Parts of an entry
PARTS = {
    "see": "What is seen",
    "look": "From where",
    "telling": "How telling it is",
    "mark": "Mark of the sketch's shapes that show it",
    "id": "Pattern",
    "separates": "The one observation that tells the two apart",
    "case": "Load",
    "force": "Which force, which direction, what size",
    "path": "The path it takes",
    "axis": "Property",
    "effect": "Effect",
    "why": "Against which alternative, and why",
    "material": "Material",
    "process": "Process",
    "joint": "Joint",
    "gauge_mm": "Gauge [mm]",
    "calculator": "Calculator",
    "question": "The question that it answers here",
    "inputs": "Readings, one a line",
    "expect": "What must hold for the text to be true, one a line",
    "by": "How",
    "do": "What to look at, measure, weigh or cut",
    "decides": "What it decides, with a threshold",
    "kind": "Kind",
    "text": "Source",
    "address": "Address",
}
HINTS = {
    "gauge_mm": "1.8..2.5",
    "inputs": "gauge = 2.2..2.8",
    "expect": "pull > 12",
    "id": "part of its title",
    "decides": "a magnet that sticks means steel",
}
EFFECT_WORDS = {"better": "a gain", "worse": "a cost", "depends": "depends"}
SOURCE_WORDS = {
    "published": "looked up in a published work",
    "common-practice": "common practice, no source",
    "memory": "from memory",
}
OBSERVABLE = "Question that one look answers"
OBSERVABLE_HINT = "part of the question"
SHARE_HINT = "e.g. 70%; what is left empty shares the rest"
SIGNATURE_HINT = "ids of terms, with commas; ! after one that it hardly lacks"
ROLES = {
    "part": "Part", "place": "Place", "shape": "Shape", "joint": "Joint", "material": "Material",
    "process": "Process", "ties": "Tied to", "serves": "Serves", "count": "Counts",
    "absent": "Speaks against it",
}  # fmt: skip
FROM_PATTERN = "Pattern whose sketches are taken over"
OK = "Take over"

# As text
TEXT_KEYS = "ctrl+g takes it over, esc leaves; comments are not kept"
TEXT_SAVE = "Take over"
TEXT_LEFT = "Not taken over yet: esc again drops what was changed."
EDITOR_NONE = "no editor is named in $VISUAL or $EDITOR, or none can be opened here"
EDITOR_FAILED = "the editor ended in a fault and left nothing new; the draft is as it was"
EDITOR_LOOK = "The editor ended in a fault. Look through what it left before it is taken over."
BROKEN = "This draft's file cannot be read as it stands. Mend it as text."

# Appending
INITIALS = "Your initials"
IN_RETURN = "Name it in return"
IN_RETURN_YES = "yes"
IN_RETURN_NO = "no"
IN_RETURN_WHO = "as a look-alike of {titles}, which become drafts too"
APPENDED = "{title} is in the library as a draft; another person reviews it."
NOT_IN_RETURN = "Not named in return"
CAUGHT = (
    "Somebody changed this pattern meanwhile; the draft has taken that over. Look through it, "
    "then append it again."
)
CAUGHT_BOTH = "Changed by both, yours kept: {fields}."
GIVE_UP = "Give the draft up?"
GIVE_UP_WORD = "Write its id to give it up"
GIVE_UP_DO = "Give up"
GONE = "{name} was given up."

# Review
AGAINST_NEW = "New: every field"
AGAINST_SHIPPED = "Against the shipped one, field by field"
AGAINST_ORIGIN = "Against {title}, of which it is a variant, field by field"
NO_DIFFERENCE = "No field differs."
CHECKED = "What a check finds"
COMMENTS = "Comments"
NO_COMMENTS = "None yet."
STANDS = "{status}, written by {author} on {day}"
STANDS_REVIEWED = "reviewed by {reviewer} on {day}"
SHIPPED_AUTHOR = "the shipped catalogue"
WAYS = "What can be done"
DO_ACCEPT = "Accept it"
DO_ACCEPT_TIP = "by another person than {author}"
DO_COMMENT = "Comment on it"
DO_WORK = "Take it into work again"
DO_WORK_TIP = "a changed pattern waits for review once more"
DO_REPLACE = "Let another pattern replace it"
DO_REPLACE_TIP = "links keep working; the other takes over its names and finds"
REPLACED_BY = "Pattern that replaces it"
REPLACE_DO = "Replace"
REPLACED = "{old} is replaced; its links lead on."
ACCEPTED = "{title} is reviewed."
WHAT = "What should change"
OLD_LEAD = "− "
NEW_FIELD_LEAD = "+ "

# Learning
LEARN_ABOUT = (
    "Counts of looks at settled structures that no likelihood has counted yet, and what they would "
    "move. Nothing is written before you choose a line."
)
LEARN_NONE = (
    "No settled case holds anything that was not counted yet. Note looks in cases, and settle them."
)
LEARN_WRITE = "Write this into {title}"
LEARN_STATE = "{state}: seen {count}, {before:.2f} → {after:.2f}"
LEARN_SAID = "said of it, and searched from then on: {text}"
LEARN_DISPUTE = "{about} ({case}) is in dispute: it counts once one of its verdicts is chosen"
LEARN_MOVED = "the cases have changed since these counts were shown"
LEARN_MOVED_DO = "they are shown anew; choose the line again"
LEARNED = "Written into {title}."
