//! The rules about single values.

use crate::diagnostics::{Finding, Severity};

pub(super) static WRONG_KIND: Finding = Finding {
    rule: "schema/wrong-kind",
    severity: Severity::Error,
    title: "a value is of another kind than the one wanted",
    explanation: "Each argument and property takes one kind of value: a text, a quantity, a whole number, a switch, \
        a name. A value of another kind is never converted by guessing, because a guess would be burned.",
    wrong: "shape \"sun\" { star points=\"twelve\" outer=\"26 mm\" inner=\"16 mm\" }",
    right: "shape \"sun\" { star points=12 outer=\"26 mm\" inner=\"16 mm\" }",
};

pub(super) static NO_UNIT: Finding = Finding {
    rule: "schema/no-unit",
    severity: Severity::Error,
    title: "a quantity has no unit",
    explanation: "There is no default unit. The same number in inches or in millimetres is a piece 25 times as large, \
        so every length, speed, angle and power says its unit: `\"8.5 in\"`, `\"120 mm/s\"`, `\"30 deg\"`.",
    wrong: "shape \"dot\" { circle 18 }",
    right: "shape \"dot\" { circle \"18 mm\" }",
};

pub(super) static WRONG_DIMENSION: Finding = Finding {
    rule: "schema/wrong-dimension",
    severity: Severity::Error,
    title: "a quantity measures something else than the one wanted",
    explanation: "A length cannot stand where a speed is wanted, and a percentage is not a length. The message says \
        what is wanted and what was found; a calculation is checked in the same way.",
    wrong: "shape \"dot\" { circle \"18 mm/s\" }",
    right: "shape \"dot\" { circle \"18 mm\" }",
};

pub(super) static BAD_QUANTITY: Finding = Finding {
    rule: "schema/bad-quantity",
    severity: Severity::Error,
    title: "a quantity cannot be read",
    explanation: "A quantity is a number and a unit: `\"8.5 in\"`, `\"1/8 in\"`, `\"1 1/2 in\"`. The decimal mark is a \
        point. `explain units` lists the units; each has one spelling.",
    wrong: "shape \"dot\" { circle \"18 millimetres\" }",
    right: "shape \"dot\" { circle \"18 mm\" }",
};

pub(super) static OUT_OF_RANGE: Finding = Finding {
    rule: "schema/out-of-range",
    severity: Severity::Error,
    title: "a value is outside the range that makes sense",
    explanation: "Sizes are above zero, counts have a least and a greatest value. A size of zero or less would burn \
        nothing or turn the drawing inside out; directions are words (`left`, `down`), never signs.",
    wrong: "shape \"dot\" { circle \"-18 mm\" }",
    right: "shape \"dot\" { circle \"18 mm\" }",
};

pub(super) static UNKNOWN_WORD: Finding = Finding {
    rule: "schema/unknown-word",
    severity: Severity::Error,
    title: "a word is none of those that may stand here",
    explanation: "Some values are one of a few words. The message lists them.",
    wrong: "offset \"halo\" of=\"sun\" by=\"2 mm\" corners=\"rounded\"",
    right: "offset \"halo\" of=\"sun\" by=\"2 mm\" corners=\"round\"",
};

pub(super) static BAD_NAME: Finding = Finding {
    rule: "schema/bad-name",
    severity: Severity::Error,
    title: "a name is not spelled as names are",
    explanation: "A name starts with a letter and goes on with letters, digits, `-` and `_`, at most 60 of them. Names \
        become parts of file names, and have to stay the same on every system.",
    wrong: "shape \"sun/moon\" { circle \"18 mm\" }",
    right: "shape \"sun-moon\" { circle \"18 mm\" }",
};

pub(super) static UNKNOWN_INPUT: Finding = Finding {
    rule: "schema/unknown-input",
    severity: Severity::Error,
    title: "braces name an input that is not declared",
    explanation: "`{name}` is replaced by the value of `input \"name\"`. Write `{{` where a brace itself is wanted.",
    wrong: "lettering \"date\" \"{dya}\" font=\"fonts/a.ttf\" height=\"12 mm\"",
    right: "lettering \"date\" \"{day}\" font=\"fonts/a.ttf\" height=\"12 mm\"",
};

pub(super) static BAD_CALCULATION: Finding = Finding {
    rule: "schema/bad-calculation",
    severity: Severity::Error,
    title: "a calculation cannot be worked out",
    explanation: "A calculation has `+ - * /`, parentheses, quantities, inputs (`{margin}`) and the width and height of \
        figures (`{board.width}`). Only like can be added to like; nothing is divided by zero.",
    wrong: "shape \"dot\" { circle \"{board.width} + 3\" }",
    right: "shape \"dot\" { circle \"{board.width} + 3 mm\" }",
};

pub(super) static BAD_CONDITION: Finding = Finding {
    rule: "schema/bad-condition",
    severity: Severity::Error,
    title: "a condition cannot be read",
    explanation: "`when` takes a switch, `when=\"{tray}\"`, or compares a choice or text with one word, \
        `when=\"{level} == hard\"` or `!=`. There is nothing more, so that a recipe can be read at a glance.",
    wrong: "shape \"dot\" when=\"{size} > 3\" { circle \"18 mm\" }",
    right: "shape \"dot\" when=\"{level} == hard\" { circle \"18 mm\" }",
};
