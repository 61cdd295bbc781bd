//! One quantity: an exact number with a unit, such as `8 1/2 in` or `5 in/min`.

use num_rational::Ratio;
use num_traits::{CheckedAdd, CheckedDiv, CheckedMul};
use std::fmt;

/// An exact number: numerator over denominator.
pub type Exact = Ratio<i128>;

/// What a quantity measures. Two quantities can be added only when their dimensions agree.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Dimension {
    /// A bare number: counts, passes, factors.
    Number,
    /// A length; the base unit is the millimetre.
    Length,
    /// An area, which only ever stands inside a calculation; square millimetres.
    Area,
    /// A speed; millimetres a second.
    Speed,
    /// An acceleration; millimetres a second squared.
    Acceleration,
    /// A time; seconds.
    Time,
    /// An angle; degrees.
    Angle,
    /// A power; watts.
    Power,
    /// A share in hundredths; never the same as a bare number.
    Percent,
}

impl Dimension {
    /// The dimension with its article, as it is said in a message.
    pub fn name(self) -> &'static str {
        match self {
            Self::Number => "a bare number",
            Self::Length => "a length",
            Self::Area => "an area",
            Self::Speed => "a speed",
            Self::Acceleration => "an acceleration",
            Self::Time => "a time",
            Self::Angle => "an angle",
            Self::Power => "a power",
            Self::Percent => "a percentage",
        }
    }

    /// A quantity of this dimension as a maker would write it, for repairs.
    pub fn sample(self) -> &'static str {
        match self {
            Self::Number => "3",
            Self::Length => "\"3 mm\"",
            Self::Area => "\"2 mm * 3 mm\"",
            Self::Speed => "\"120 mm/s\"",
            Self::Acceleration => "\"3000 mm/s2\"",
            Self::Time => "\"2 s\"",
            Self::Angle => "\"30 deg\"",
            Self::Power => "\"10 W\"",
            Self::Percent => "\"80 %\"",
        }
    }

    /// The dimension of a product, where the language has one.
    pub fn times(self, other: Self) -> Option<Self> {
        use Dimension::{Area, Length, Number, Speed, Time};
        match (self, other) {
            (Number, d) | (d, Number) => Some(d),
            (Length, Length) => Some(Area),
            (Speed, Time) | (Time, Speed) => Some(Length),
            _ => None,
        }
    }

    /// The dimension of a quotient, where the language has one.
    pub fn over(self, other: Self) -> Option<Self> {
        use Dimension::{Area, Length, Number, Speed, Time};
        match (self, other) {
            (d, Number) => Some(d),
            (a, b) if a == b => Some(Number),
            (Area, Length) => Some(Length),
            (Length, Time) => Some(Speed),
            (Length, Speed) => Some(Time),
            _ => None,
        }
    }
}

/// One unit of the language.
#[derive(Debug)]
pub struct Unit {
    /// The one spelling that is accepted.
    pub symbol: &'static str,
    /// Spellings from elsewhere that are understood only to offer the right one.
    pub instead_of: &'static [&'static str],
    /// What it measures.
    pub dimension: Dimension,
    /// Exact size in the base unit of the dimension: numerator and denominator.
    pub size: (i128, i128),
}

const fn unit(
    symbol: &'static str,
    instead_of: &'static [&'static str],
    dimension: Dimension,
    size: (i128, i128),
) -> Unit {
    Unit { symbol, instead_of, dimension, size }
}

/// Every unit the language knows. The inch is 25.4 mm exactly (NIST SP 811, appendix B.8, from memory);
/// the point is 1/72 in (W3C CSS Values and Units, "Absolute lengths").
pub static UNITS: &[Unit] = &[
    unit("mm", &["millimetre", "millimeter", "millimetres", "millimeters"], Dimension::Length, (1, 1)),
    unit("cm", &["centimetre", "centimeter"], Dimension::Length, (10, 1)),
    unit("m", &["metre", "meter"], Dimension::Length, (1000, 1)),
    unit("in", &["inch", "inches", "\"", "″"], Dimension::Length, (127, 5)),
    unit("ft", &["foot", "feet", "'"], Dimension::Length, (1524, 5)),
    unit("mil", &["thou"], Dimension::Length, (127, 5000)),
    unit("pt", &["point", "points"], Dimension::Length, (127, 360)),
    unit("um", &["µm", "μm", "micron", "microns"], Dimension::Length, (1, 1000)),
    unit("nm", &["nanometre", "nanometer"], Dimension::Length, (1, 1_000_000)),
    unit("s", &["sec", "second", "seconds"], Dimension::Time, (1, 1)),
    unit("min", &["minute", "minutes"], Dimension::Time, (60, 1)),
    unit("ms", &["millisecond"], Dimension::Time, (1, 1000)),
    unit("deg", &["°", "degree", "degrees"], Dimension::Angle, (1, 1)),
    unit("W", &["w", "watt", "watts"], Dimension::Power, (1, 1)),
    unit("mW", &["mw", "milliwatt"], Dimension::Power, (1, 1000)),
    unit("%", &["percent", "pct"], Dimension::Percent, (1, 1)),
    unit("mm/s", &["mm/sec", "mmps"], Dimension::Speed, (1, 1)),
    unit("mm/min", &["mmpm"], Dimension::Speed, (1, 60)),
    unit("cm/s", &[], Dimension::Speed, (10, 1)),
    unit("m/min", &[], Dimension::Speed, (50, 3)),
    unit("m/s", &[], Dimension::Speed, (1000, 1)),
    unit("in/s", &["in/sec", "ips"], Dimension::Speed, (127, 5)),
    unit("in/min", &["ipm"], Dimension::Speed, (127, 300)),
    unit("ft/min", &[], Dimension::Speed, (127, 25)),
    unit("mm/s2", &["mm/s^2", "mm/s²"], Dimension::Acceleration, (1, 1)),
    unit("m/s2", &["m/s^2", "m/s²"], Dimension::Acceleration, (1000, 1)),
    unit("in/s2", &["in/s^2", "in/s²"], Dimension::Acceleration, (127, 5)),
];

/// An exact value in the base unit of its dimension.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Quantity {
    /// The number, in the base unit.
    pub value: Exact,
    /// What it measures.
    pub dimension: Dimension,
}

/// Why a text is not a quantity. Offsets are bytes from the start of the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum QuantityError {
    /// No number where one has to stand.
    NoNumber {
        /// Where it was looked for.
        at: usize,
    },
    /// A comma used as the decimal mark.
    DecimalComma {
        /// Where the number starts.
        at: usize,
        /// Where it ends.
        end: usize,
        /// The number with a point.
        repaired: String,
    },
    /// A number without a unit.
    NoUnit {
        /// Where the unit is missing.
        at: usize,
    },
    /// A word that is no unit.
    UnknownUnit {
        /// Where it starts.
        at: usize,
        /// Where it ends.
        end: usize,
        /// The unit that is probably meant.
        near: Option<&'static str>,
    },
    /// A fraction over zero.
    DivisionByZero {
        /// Where the fraction starts.
        at: usize,
    },
    /// A number too large or too fine to be held exactly.
    TooLarge {
        /// Where it starts.
        at: usize,
    },
    /// Something after the quantity.
    Surplus {
        /// Where it starts.
        at: usize,
    },
}

impl Quantity {
    /// A bare number.
    pub fn number(value: i128) -> Self {
        Self { value: Exact::from_integer(value), dimension: Dimension::Number }
    }

    /// The value as a float, in the base unit of its dimension: the one rounding on the way in.
    pub fn to_f64(self) -> f64 {
        *self.value.numer() as f64 / *self.value.denom() as f64
    }

    /// Sum of two quantities of one dimension; `None` when the dimensions differ or it overflows.
    pub fn plus(self, other: Self) -> Option<Self> {
        (self.dimension == other.dimension)
            .then(|| self.value.checked_add(&other.value))
            .flatten()
            .map(|value| Self { value, dimension: self.dimension })
    }

    /// The quantity with its sign turned.
    pub fn negated(self) -> Self {
        Self { value: -self.value, dimension: self.dimension }
    }

    /// Product; `None` when the language has no such dimension or it overflows.
    pub fn times(self, other: Self) -> Option<Self> {
        let dimension = self.dimension.times(other.dimension)?;
        Some(Self { value: self.value.checked_mul(&other.value)?, dimension })
    }

    /// Quotient; `None` when the language has no such dimension, the divisor is zero or it overflows.
    pub fn over(self, other: Self) -> Option<Self> {
        let dimension = self.dimension.over(other.dimension)?;
        if *other.value.numer() == 0 {
            return None;
        }
        Some(Self { value: self.value.checked_div(&other.value)?, dimension })
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let unit = match self.dimension {
            Dimension::Number => "",
            Dimension::Length => " mm",
            Dimension::Area => " mm²",
            Dimension::Speed => " mm/s",
            Dimension::Acceleration => " mm/s2",
            Dimension::Time => " s",
            Dimension::Angle => " deg",
            Dimension::Power => " W",
            Dimension::Percent => " %",
        };
        write!(f, "{}{unit}", super::number::fixed(self.to_f64(), 6))
    }
}

/// Reads a number from the start of `text`: `8`, `8.5`, `1/8`, `8 1/2`. Returns it and its length in bytes.
fn leading_number(text: &str, at: usize) -> Result<(Exact, usize), QuantityError> {
    let (whole, used) = decimal(text, at)?;
    let rest = &text[used..];
    if let Some(after) = rest.strip_prefix('/') {
        if after.starts_with(|c: char| c.is_ascii_digit()) {
            let (bottom, more) = decimal(after, at + used + 1)?;
            return Ok((divide(whole, bottom, at)?, used + 1 + more));
        }
        return Ok((whole, used));
    }
    // A mixed number: a space, digits, a slash, digits (`8 1/2`).
    let gap = rest.len() - rest.trim_start_matches(' ').len();
    let fraction = &rest[gap..];
    let top = fraction.chars().take_while(char::is_ascii_digit).count();
    let bottom =
        fraction[top..].strip_prefix('/').map_or(0, |b| b.chars().take_while(char::is_ascii_digit).count());
    if gap > 0 && top > 0 && bottom > 0 && whole.is_integer() {
        let start = at + used + gap;
        let (upper, _) = decimal(&fraction[..top], start)?;
        let (lower, _) = decimal(&fraction[top + 1..top + 1 + bottom], start)?;
        let part = divide(upper, lower, start)?;
        let sum = whole.checked_add(&part).ok_or(QuantityError::TooLarge { at })?;
        return Ok((sum, used + gap + top + 1 + bottom));
    }
    Ok((whole, used))
}

fn divide(top: Exact, bottom: Exact, at: usize) -> Result<Exact, QuantityError> {
    if *bottom.numer() == 0 {
        return Err(QuantityError::DivisionByZero { at });
    }
    top.checked_div(&bottom).ok_or(QuantityError::TooLarge { at })
}

/// Reads `digits[.digits]` exactly.
fn decimal(text: &str, at: usize) -> Result<(Exact, usize), QuantityError> {
    let digits = |s: &str| s.bytes().take_while(u8::is_ascii_digit).count();
    let whole = digits(text);
    if whole == 0 {
        return Err(QuantityError::NoNumber { at });
    }
    let mut end = whole;
    let mut fraction = "";
    if let Some(rest) = text[whole..].strip_prefix('.') {
        let length = digits(rest);
        if length == 0 {
            return Err(QuantityError::NoNumber { at: at + whole + 1 });
        }
        fraction = &rest[..length];
        end = whole + 1 + length;
    } else if let Some(rest) = text[whole..].strip_prefix(',') {
        let length = digits(rest);
        if length > 0 {
            let repaired = format!("{}.{}", &text[..whole], &rest[..length]);
            return Err(QuantityError::DecimalComma { at, end: at + whole + 1 + length, repaired });
        }
    }
    // Twelve digits on each side: a nanometre over a thousand kilometres, and exact products still fit.
    if whole > 12 || fraction.len() > 12 {
        return Err(QuantityError::TooLarge { at });
    }
    let numerator: i128 =
        format!("{}{fraction}", &text[..whole]).parse().map_err(|_| QuantityError::TooLarge { at })?;
    let denominator = 10_i128.pow(u32::try_from(fraction.len()).unwrap_or(12));
    Ok((Exact::new(numerator, denominator), end))
}

/// Finds a unit by its accepted spelling; otherwise tells which one is probably meant.
pub fn parse_unit(symbol: &str) -> Result<&'static Unit, Option<&'static str>> {
    if let Some(found) = UNITS.iter().find(|u| u.symbol == symbol) {
        return Ok(found);
    }
    let lower = symbol.to_lowercase();
    let meant = UNITS
        .iter()
        .find(|u| u.instead_of.contains(&symbol) || u.instead_of.contains(&lower.as_str()) || u.symbol == lower);
    Err(meant.map(|u| u.symbol))
}

/// Reads one quantity from the start of `text` and tells how many bytes it took.
///
/// A number with no unit behind it is a bare number. The unit is the run of letters, `%`, `/` and digits
/// that follows; a `/` belongs to it only when a letter follows, so that `6 mm / 2` stays a calculation.
pub fn parse_quantity(text: &str, at: usize) -> Result<(Quantity, usize), QuantityError> {
    let (number, used) = leading_number(text, at)?;
    let rest = &text[used..];
    let gap = rest.len() - rest.trim_start_matches(' ').len();
    let word = unit_word(&rest[gap..]);
    if word.is_empty() {
        return Ok((Quantity { value: number, dimension: Dimension::Number }, used));
    }
    let start = used + gap;
    let found = parse_unit(word).map_err(|near| QuantityError::UnknownUnit {
        at: at + start,
        end: at + start + word.len(),
        near,
    })?;
    let size = Exact::new(found.size.0, found.size.1);
    let value = number.checked_mul(&size).ok_or(QuantityError::TooLarge { at })?;
    Ok((Quantity { value, dimension: found.dimension }, start + word.len()))
}

fn unit_word(text: &str) -> &str {
    let is_letter = |c: char| c.is_alphabetic() || matches!(c, '%' | '°' | 'µ' | '"' | '″' | '\'');
    let mut end = 0;
    let mut chars = text.char_indices().peekable();
    while let Some((index, c)) = chars.next() {
        let next = chars.peek().map(|&(_, n)| n);
        let joins = c == '/' && end > 0 && next.is_some_and(is_letter);
        let raises = (c.is_ascii_digit() || c == '^' || c == '²') && end > 0;
        if !(is_letter(c) || joins || raises) {
            break;
        }
        end = index + c.len_utf8();
    }
    &text[..end]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> f64 {
        parse_quantity(text, 0).expect(text).0.to_f64()
    }

    #[test]
    fn published_conversions_are_exact() {
        // NIST SP 811 appendix B.8 (from memory), W3C CSS Values 3 (point), GNU `units` for the speeds.
        assert_eq!(parse_quantity("1 in", 0).unwrap().0.value, Exact::new(127, 5));
        assert_eq!(parse_quantity("72 pt", 0).unwrap().0.value, Exact::new(127, 5));
        assert!((read("1 pt") - 0.352_777_778).abs() < 1e-9);
        assert!((read("100 in/min") - 42.333_333_333).abs() < 1e-9);
        assert_eq!(read("10 ft/min"), 50.8);
        assert_eq!(read("3000 mm/min"), 50.0);
        assert_eq!(read("450 nm"), 0.00045);
    }

    #[test]
    fn fractions_and_mixed_numbers() {
        assert_eq!(read("1/8 in"), 3.175);
        assert_eq!(read("8 1/2 in"), 215.9);
        assert_eq!(read("8.5in"), 215.9);
        assert_eq!(parse_quantity("6 mm / 2", 0).unwrap().1, 4);
    }

    #[test]
    fn mistakes_are_told_apart() {
        assert!(
            matches!(parse_quantity("8,5 mm", 0), Err(QuantityError::DecimalComma { repaired, .. }) if repaired == "8.5")
        );
        assert!(matches!(parse_quantity("3 inch", 0), Err(QuantityError::UnknownUnit { near: Some("in"), .. })));
        assert!(matches!(parse_quantity("1/0 in", 0), Err(QuantityError::DivisionByZero { .. })));
        assert!(matches!(parse_quantity("x", 4), Err(QuantityError::NoNumber { at: 4 })));
        assert!(matches!(parse_quantity("9999999999999 mm", 0), Err(QuantityError::TooLarge { .. })));
    }

    #[test]
    fn dimensions_multiply_as_they_should() {
        assert_eq!(Dimension::Length.times(Dimension::Length), Some(Dimension::Area));
        assert_eq!(Dimension::Area.over(Dimension::Length), Some(Dimension::Length));
        assert_eq!(Dimension::Length.times(Dimension::Angle), None);
    }
}
