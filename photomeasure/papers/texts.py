"""Every word that papers print, in one place. Names of jobs and lines come from outside."""

from typing import Final

from photomeasure.takeoff.cutting import JointKind
from photomeasure.takeoff.model import End, Hand, Section, Unit

MEASURED: Final = (
    "Measured from photographs. 95 times in 100 a length lies within ± {half} mm of what "
    "is written here: that is the widest interval, each length has its own."
)
UNSTATED: Final = (
    "Measured from photographs. No interval is stated, because nothing here has a length."
)
CHECK: Final = "Tape every length on the house before you cut or order to it."
FOOT: Final = "Measured from photographs, ± {half} mm (95 %). Tape before cutting."
FOOT_UNSTATED: Final = (
    "Measured from photographs, interval not stated. Tape before cutting."
)
PAGE: Final = "page {page} of {pages}"
CAUTIONS: Final = "Before you start"
SUBSTITUTED: Final = (
    "◊ stands for a letter that no font on the printing computer has; the JSON file "
    "beside this paper has it."
)

JOB: Final = "Job"
DATE: Final = "Date"
CUSTOMER: Final = "For"
NUMBER: Final = "Number"
VALID: Final = "Open until"

QUOTATION: Final = "Quotation"
ORDER: Final = "Order"
CUT_LIST: Final = "Cut list"
TAKE_OFF: Final = "Take-off"
COSTING: Final = "Costing (for the office)"

INVENTED: Final = "Example with invented prices"
INVENTED_TEXT: Final = "These prices come from an example. This is no offer to anybody."

NOT_INCLUDED: Final = "Not included"
NOT_MEASURED: Final = "Not measured: {sentence}"

SECTIONS: Final = {
    Section.ACCESS: "Access",
    Section.STRIP_OUT: "Taking off the old boards",
    Section.TIMBER: "Timber behind the boards",
    Section.BOARDS: "Boards",
    Section.TRIMS: "Joints, corners and trims",
    Section.FIXINGS: "Fixings and sealant",
    Section.VENTILATION: "Roof ventilation",
    Section.VERGE: "Verge",
    Section.RAINWATER: "Gutters and downpipes",
    Section.LABOUR: "Fitting",
}
UNITS: Final = {
    Unit.EACH: "",
    Unit.METRE: "m",
    Unit.SQUARE_METRE: "m²",
    Unit.CUBIC_METRE: "m³",
    Unit.KILOGRAM: "kg",
    Unit.HOUR: "h",
    Unit.DAY: "days",
}
ENDS: Final = {
    End.SQUARE: "square",
    End.PLUMB: "plumb",
    End.LEVEL: "level",
    End.MITRE: "mitre",
}
HANDS: Final = {Hand.LEFT: "left", Hand.RIGHT: "right", Hand.NONE: ""}
JOINTS: Final = {JointKind.IN_LINE: "joint", JointKind.APEX: "apex"}

# Quotation
QUOTE_WORK: Final = "What is done"
QUOTE_PART: Final = "Part"
QUOTE_INCLUDES: Final = "Includes"
QUOTE_PRICE: Final = "Price"
QUOTE_NET: Final = "Sum before tax"
QUOTE_TAX: Final = "{name} {rate} %"
QUOTE_TOTAL: Final = "Total to pay"
QUOTE_NO_TAX: Final = "Total before tax; no tax rate is stated"
QUOTE_BASIS: Final = "What this price rests on"
QUOTE_BASIS_TEXT: Final = (
    "The lengths were measured from photographs. The boards are taped on the house before "
    "anything is cut. If a length lies outside its interval, or something is found behind "
    "the old boards, we talk about the price before the work goes on.",
)
TAX: Final = "Tax"
ACCEPT: Final = ("Accepted by (name)", "Date", "Signature")

# Order
ORDER_GOODS: Final = "Please supply"
ORDER_CODE: Final = "Code"
ORDER_ITEM: Final = "Item"
ORDER_PACKS: Final = "Packs"
ORDER_PACK: Final = "Pack of"
ORDER_NEEDED: Final = "Needed"
ORDER_UNIT: Final = "Unit"
ORDER_NO_PACK: Final = "Pack size not known"
ORDER_NO_PACK_TEXT: Final = (
    "No price says how these are packed; ask, and round up: {items}."
)
ORDER_MORE: Final = "{items} and {more} more"
ORDER_NOTHING: Final = "There is nothing to order."
SHORT: Final = "Chance of running short"
SHORT_MATERIAL: Final = "Board"
SHORT_LENGTH: Final = "Length mm"
SHORT_BOARDS: Final = "If you order"
SHORT_CHANCE: Final = "Runs short"
SHORT_BASIS: Final = (
    "Counted on how sure all the lengths are together. Depths and widths of boards are "
    "taken as measured: where one lies near the next board, the cautions say so, and then "
    "tape it before you order."
)
DECIDING: Final = (
    "Tape {line} first: the doubt how many boards are needed is {now} now, and {taped} "
    "once it is taped."
)

# Cut list
CUT_PIECES: Final = "Pieces, {elevation}"
CUT_MARK: Final = "Mark"
CUT_NAME: Final = "Piece"
CUT_USED: Final = "Board mm"
CUT_PLACE: Final = "{part}, from {along} mm on"
CUT_BOARD: Final = "Board"
CUT_SKETCH: Final = "Cuts, from outside"
CUT_LONG: Final = "Long mm"
CUT_SHORT: Final = "Short mm"
CUT_START: Final = "Left or foot"
CUT_END: Final = "Right or top"
CUT_HAND: Final = "Hand"
CUT_HALF: Final = "± mm"
CUT_TAPED: Final = "Taped"
CUT_NOTE: Final = "Note"
CUT_HANDED: Final = "{name}, {hand} hand"
CUT_SHAPES: Final = "Shaped pieces, as seen from outside"
CUT_PLAN: Final = "Cutting plan"
CUT_SCALE: Final = "Scale 1 : {scale}. Hatched: what is left."
CUT_NO_PLAN: Final = "There is nothing to cut."
CUT_PROVEN: Final = (
    "Proven: no other plan has fewer joints, or as few joints at less cost, or leaves a "
    "longer rest at the same cost."
)
CUT_UNPROVEN: Final = "{material}: not proven to be the best: {why}."
CUT_STOCK: Final = "Board {number}: {length} mm"
CUT_IN_HAND: Final = "in hand"
CUT_REST_DRAWN: Final = "rest {length}"
CUT_LENGTH_DRAWN: Final = "{length} mm"
CUT_JOINTS: Final = "Joints of {run}, from its left end"
CUT_JOINT_AT: Final = "{position} mm ({kind})"
CUT_MATERIAL: Final = "Board"
CUT_NUMBER: Final = "No."
CUT_FROM: Final = "Starts at mm"
CUT_LENGTH: Final = "Length mm"
CUT_REST: Final = "Rest mm"
CUT_CUTS: Final = "Cuts, board by board"
ANGLE: Final = "{end} {degrees:.1f}°"
TAPE_NOTE: Final = (
    'Lengths are finished pieces, expansion gaps taken off; "Board mm" is what the piece '
    "takes of its board, from tip to tip. Angles count from a square cut. Pencil the mark "
    "on the piece; write what you taped into the last column and cut to that."
)

# Take-off
TAKE_LINES: Final = "Lines, as measured"
TAKE_LINE: Final = "Line"
TAKE_ROLE: Final = "Is"
TAKE_LENGTH: Final = "Length mm"
TAKE_QUANTITIES: Final = "Quantities"
TAKE_ITEM: Final = "Item"
TAKE_AMOUNT: Final = "Amount"
TAKE_UNIT: Final = "Unit"
TAKE_WORKING: Final = "How"
TAKE_FROM: Final = "Lines"
TAKE_RULES: Final = "Rules"
TAKE_WHOLE: Final = "whole job"
VERDICTS: Final = "Is it enough?"
VERDICT_SUBJECT: Final = "What"
VERDICT_RESULT: Final = "Result"
VERDICT_SENTENCE: Final = "Why"
VERDICT_CLAUSE: Final = "By"
PASSED: Final = {True: "enough", False: "NOT ENOUGH", None: "cannot be judged"}
RULES: Final = "Rules used ({country})"
RULE_NUMBER: Final = "No."
RULE_KEY: Final = "Rule"
RULE_VALUE: Final = "Value"
RULE_SOURCE: Final = "Source"
RULE_OWN: Final = "set by this job; otherwise: {source}"
FAILED: Final = "Not enough: settle this before you close the eaves"

# Costing
COST_LINES: Final = "What it costs"
COST_ITEM: Final = "Item"
COST_PACKS: Final = "Buy"
COST_PRICE: Final = "Price of one"
COST_INCLUDED: Final = "included"
COST_GOODS: Final = "Goods"
COST_HOURS: Final = "Hours"
COST_LABOUR: Final = "Labour"
COST_LINE: Final = "Cost"
COST_SUM: Final = "Cost of the job"
COST_OVERHEAD: Final = "Overhead, {rate} % of the cost"
COST_MARGIN: Final = {
    "margin-on-cost": "Margin, {rate} % of cost and overhead",
    "margin-on-price": "Margin, {rate} % of the price before tax",
}
COST_NO_OVERHEAD: Final = "Overhead: none stated in the price book"
COST_NO_MARGIN: Final = "Margin: none stated in the price book"
COST_SO_FAR: Final = "Priced so far; this is NOT the cost of the job"
COST_INCOMPLETE: Final = "No total, because prices are missing"
COST_NO_BOOK: Final = "No price book was given, so nothing is priced."
COST_TWICE: Final = "Is labour charged twice?"
COST_TWICE_TEXT: Final = (
    "The take-off counts hours of fitting, and rows of the price book state hours too: "
    "both are charged."
)
COST_TOTALS: Final = "How the price comes about"
COST_STEP: Final = "Step"
COST_AMOUNT: Final = "Amount"

MONTHS: Final = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
