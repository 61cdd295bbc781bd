//! The signs that belong at a laser.

/// What the shape and colour of a sign say (ISO 3864-1).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SignKind {
    /// Yellow triangle: look out.
    Warning,
    /// Blue disc: this has to be done.
    Duty,
    /// Red circle with a bar: this is forbidden.
    Ban,
    /// Red square: here is what puts a fire out.
    FireFighting,
}

/// A sign by its number and meaning in ISO 7010 (from secondary lists; the standard itself was not read).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sign {
    /// Its number.
    pub number: &'static str,
    /// What it means.
    pub name: &'static str,
    /// What its shape and colour say.
    pub kind: SignKind,
}

const fn sign(number: &'static str, name: &'static str, kind: SignKind) -> Sign {
    Sign { number, name, kind }
}

/// The signs of a laser workshop; that they hang there is the owner's duty.
pub static SIGNS: [Sign; 9] = [
    sign("W004", "laser beam", SignKind::Warning),
    sign("W017", "hot surface", SignKind::Warning),
    sign("W021", "flammable material", SignKind::Warning),
    sign("W016", "toxic material", SignKind::Warning),
    sign("M002", "refer to the manual", SignKind::Duty),
    sign("M004", "eye protection", SignKind::Duty),
    sign("P002", "no smoking", SignKind::Ban),
    sign("P003", "no open flame", SignKind::Ban),
    sign("F001", "fire extinguisher", SignKind::FireFighting),
];
