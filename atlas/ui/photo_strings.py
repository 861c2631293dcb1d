"""What the screen says on which a photo is measured."""

PHOTO_TITLE = "Photo"
PHOTO_FILE = "File of the photo"
PHOTO_FILE_HINT = "path; → completes"
PHOTO_LOOK_ONLY = "read-only: only the photos of cases are opened here"
PHOTO_MOVED = "Where the photo is now"
PHOTO_READING = "Reading the photo…"
PHOTO_IS_OTHER = "is another picture than the one that was noted"
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
KEYS_PICTURE = "Keys of the picture"
PHOTO_WAY = "Photos"
PHOTO_WAYS = {
    "auto": "In pixels where the terminal can, else in its cells",
    "cells": "In the terminal's cells, two dots each",
    "sixel": "In pixels by sixels",
    "placeholders": "In pixels by the terminal graphics protocol",
}
