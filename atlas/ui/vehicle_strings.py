"""What the screens of vehicles and their structures say."""

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
