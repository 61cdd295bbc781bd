//! The small calculation: `"{board.width} - 2 * 8 mm"`.
//!
//! Read once, checked by dimension at once, evaluated when the sizes of the figures it names are known.
//! It has no loops, functions, clock or environment: it always ends and does not depend on order.

use super::scope::{InputValue, Scope};
use crate::source::Span;
use crate::units::{Dimension, Mm, Quantity, QuantityError, parse_quantity};
use num_rational::Ratio;

/// A side of a figure's box that a calculation may ask for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// From its left to its right edge.
    Width,
    /// From its top to its bottom edge.
    Height,
}

/// Tells the sizes of figures.
pub trait Measures {
    /// A side of the named figure's box on the sheet; `None` when it is not known.
    fn measure(&self, figure: &str, side: Side) -> Option<Mm>;
}

/// For calculations that name no figure.
impl Measures for () {
    fn measure(&self, _: &str, _: Side) -> Option<Mm> {
        None
    }
}

/// A calculation whose dimension is known.
#[derive(Clone, Debug)]
pub struct Expression {
    term: Term,
    dimension: Dimension,
    /// Where its text stands, if it stands there byte for byte.
    inner: Option<Span>,
}

#[derive(Clone, Debug)]
enum Term {
    Value(Quantity),
    /// A figure, the side, and the first byte of the figure's name in the text.
    Measure(String, Side, usize),
    Negated(Box<Term>),
    Joined(Operator, Box<Term>, Box<Term>),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Operator {
    Plus,
    Minus,
    Times,
    Over,
}

impl Operator {
    const fn sign(self) -> char {
        match self {
            Self::Plus => '+',
            Self::Minus => '-',
            Self::Times => '*',
            Self::Over => '/',
        }
    }
}

/// Why a text is no calculation. Offsets are bytes from the start of the text.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum ExpressionError {
    /// A quantity in it is wrong.
    Quantity(QuantityError),
    /// A brace or parenthesis that is not closed.
    NotClosed { at: usize, sign: char },
    /// `{name}` is no input.
    UnknownInput { at: usize, end: usize, name: String },
    /// `{name.side}` asks for something other than width and height.
    UnknownSide { at: usize, end: usize, side: String },
    /// An input that is no quantity.
    NotAQuantity { at: usize, end: usize, name: String },
    /// Two operands that do not go together.
    Dimensions { at: usize, end: usize, sign: char, left: Dimension, right: Dimension },
    /// More terms than any calculation needs.
    TooLong { at: usize },
    /// A division by zero, or a number too large to be held.
    Overflow { at: usize, end: usize },
    /// An input that was wrong and has been reported.
    Poisoned,
}

impl From<QuantityError> for ExpressionError {
    fn from(error: QuantityError) -> Self {
        Self::Quantity(error)
    }
}

/// A term, its dimension and the bytes it takes.
struct Parsed {
    term: Term,
    dimension: Dimension,
    start: usize,
    end: usize,
}

struct Parser<'a> {
    text: &'a str,
    at: usize,
    depth: usize,
    terms: usize,
    scope: &'a Scope,
}

/// Parentheses deeper than this are refused, so that a hostile text cannot exhaust the stack.
const DEEPEST: usize = 32;

/// Longer calculations are refused: each term is one level of the tree, which is walked recursively.
const MOST_TERMS: usize = 200;

impl Expression {
    /// Reads a calculation.
    pub(super) fn parse(text: &str, scope: &Scope) -> Result<Self, ExpressionError> {
        let mut parser = Parser { text, at: 0, depth: 0, terms: 0, scope };
        let Parsed { term, dimension, .. } = parser.sum()?;
        parser.skip_spaces();
        if parser.at < text.len() {
            return Err(QuantityError::Surplus { at: parser.at }.into());
        }
        Ok(Self { term: fold(term), dimension, inner: None })
    }

    /// Reads a calculation that names nothing; `None` when it is none.
    pub fn read_constant(text: &str) -> Option<Quantity> {
        Self::parse(text, &Scope::default()).ok()?.constant()
    }

    /// A calculation that is one known quantity.
    pub const fn of(quantity: Quantity) -> Self {
        Self { dimension: quantity.dimension, term: Term::Value(quantity), inner: None }
    }

    /// What it measures.
    pub const fn dimension(&self) -> Dimension {
        self.dimension
    }

    /// The calculation with the place where its text stands byte for byte.
    pub(super) fn written_in(self, inner: Option<Span>) -> Self {
        Self { inner, ..self }
    }

    /// The figures whose sizes it needs, each with its place where that is known.
    pub fn figures(&self) -> Vec<(&str, Option<Span>)> {
        let mut names = Vec::new();
        collect(&self.term, &mut names);
        let place = |name: &str, at: usize| self.inner.map(|inner| inner.within(at, at + name.len()));
        names.into_iter().map(|(name, at)| (name, place(name, at))).collect()
    }

    /// Its value, where it names no figure.
    pub const fn constant(&self) -> Option<Quantity> {
        match &self.term {
            Term::Value(quantity) => Some(*quantity),
            _ => None,
        }
    }

    /// Its value; `None` when a figure's size is not known or it divides by zero.
    pub fn evaluate(&self, measures: &dyn Measures) -> Option<Quantity> {
        evaluate(&self.term, measures)
    }

    /// Its value as a float in the base unit of its dimension.
    pub fn value(&self, measures: &dyn Measures) -> Option<f64> {
        self.evaluate(measures).map(Quantity::to_f64)
    }

    /// Its value as a length.
    pub fn length(&self, measures: &dyn Measures) -> Option<Mm> {
        self.value(measures).map(Mm::new)
    }
}

fn collect<'a>(term: &'a Term, names: &mut Vec<(&'a str, usize)>) {
    match term {
        Term::Value(_) => {}
        Term::Measure(name, _, at) => names.push((name, *at)),
        Term::Negated(inner) => collect(inner, names),
        Term::Joined(_, left, right) => {
            collect(left, names);
            collect(right, names);
        }
    }
}

/// Replaces a term that names no figure by its value.
fn fold(term: Term) -> Term {
    evaluate(&term, &()).map_or(term, Term::Value)
}

fn evaluate(term: &Term, measures: &dyn Measures) -> Option<Quantity> {
    match term {
        Term::Value(quantity) => Some(*quantity),
        Term::Measure(name, side, _) => measures.measure(name, *side).and_then(exact_length),
        Term::Negated(inner) => evaluate(inner, measures).map(Quantity::negated),
        Term::Joined(operator, left, right) => {
            join(*operator, evaluate(left, measures)?, evaluate(right, measures)?)
        }
    }
}

fn join(operator: Operator, left: Quantity, right: Quantity) -> Option<Quantity> {
    match operator {
        Operator::Plus => left.plus(right),
        Operator::Minus => left.plus(right.negated()),
        Operator::Times => left.times(right),
        Operator::Over => left.over(right),
    }
}

/// A measured length becomes exact again at the nanometre, far below anything that matters.
fn exact_length(length: Mm) -> Option<Quantity> {
    let nanometres = (length.get() * 1e6).round();
    (nanometres.abs() < 1e15)
        .then(|| Quantity { value: Ratio::new(nanometres as i128, 1_000_000), dimension: Dimension::Length })
}

impl Parser<'_> {
    fn skip_spaces(&mut self) {
        let rest = &self.text[self.at..];
        self.at += rest.len() - rest.trim_start().len();
    }

    /// The next sign, if it is one of two.
    fn sign(&mut self, one: Operator, other: Operator) -> Option<Operator> {
        self.skip_spaces();
        let found = [one, other].into_iter().find(|o| self.text[self.at..].starts_with(o.sign()))?;
        self.at += 1;
        Some(found)
    }

    fn sum(&mut self) -> Result<Parsed, ExpressionError> {
        let mut left = self.product()?;
        while let Some(operator) = self.sign(Operator::Plus, Operator::Minus) {
            let right = self.product()?;
            left = combine(operator, left, right)?;
        }
        Ok(left)
    }

    fn product(&mut self) -> Result<Parsed, ExpressionError> {
        let mut left = self.operand()?;
        while let Some(operator) = self.sign(Operator::Times, Operator::Over) {
            let right = self.operand()?;
            left = combine(operator, left, right)?;
        }
        Ok(left)
    }

    fn operand(&mut self) -> Result<Parsed, ExpressionError> {
        self.skip_spaces();
        self.depth += 1;
        self.terms += 1;
        if self.terms > MOST_TERMS {
            return Err(ExpressionError::TooLong { at: self.at });
        }
        if self.depth > DEEPEST {
            return Err(QuantityError::TooLarge { at: self.at }.into());
        }
        let start = self.at;
        let parsed = match self.text[start..].chars().next() {
            Some('-') => {
                self.at += 1;
                let inner = self.operand()?;
                Parsed { term: Term::Negated(Box::new(inner.term)), start, ..inner }
            }
            Some('(') => self.parenthesis(start)?,
            Some('{') => self.reference(start)?,
            _ => {
                let (quantity, used) = parse_quantity(&self.text[start..], start)?;
                self.at += used;
                Parsed { term: Term::Value(quantity), dimension: quantity.dimension, start, end: self.at }
            }
        };
        self.depth -= 1;
        Ok(parsed)
    }

    fn parenthesis(&mut self, start: usize) -> Result<Parsed, ExpressionError> {
        self.at += 1;
        let inner = self.sum()?;
        self.skip_spaces();
        if !self.text[self.at..].starts_with(')') {
            return Err(ExpressionError::NotClosed { at: start, sign: ')' });
        }
        self.at += 1;
        Ok(Parsed { start, end: self.at, ..inner })
    }

    fn reference(&mut self, start: usize) -> Result<Parsed, ExpressionError> {
        let length = self.text[start..].find('}').ok_or(ExpressionError::NotClosed { at: start, sign: '}' })?;
        let end = start + length + 1;
        let inside = self.text[start + 1..end - 1].trim();
        let name_at = start + 1 + self.text[start + 1..].find(inside).unwrap_or(0);
        self.at = end;
        let (term, dimension) = match inside.split_once('.') {
            Some((figure, "width")) => (self.measure(figure, Side::Width, name_at), Dimension::Length),
            Some((figure, "height")) => (self.measure(figure, Side::Height, name_at), Dimension::Length),
            Some((_, side)) => {
                return Err(ExpressionError::UnknownSide { at: start, end, side: side.to_owned() });
            }
            None => self.input(inside, start, end).map(|q| (Term::Value(q), q.dimension))?,
        };
        Ok(Parsed { term, dimension, start, end })
    }

    fn measure(&self, figure: &str, side: Side, at: usize) -> Term {
        Term::Measure(self.scope.figure(figure).to_owned(), side, at)
    }

    fn input(&self, name: &str, at: usize, end: usize) -> Result<Quantity, ExpressionError> {
        let name = name.to_owned();
        match self.scope.get(&name) {
            None => Err(ExpressionError::UnknownInput { at, end, name }),
            Some(entry) => match &entry.value {
                None => Err(ExpressionError::Poisoned),
                Some(InputValue::Quantity(quantity)) => Ok(*quantity),
                Some(_) => Err(ExpressionError::NotAQuantity { at, end, name }),
            },
        }
    }
}

fn combine(operator: Operator, left: Parsed, right: Parsed) -> Result<Parsed, ExpressionError> {
    let (at, end) = (left.start, right.end);
    let dimension = match operator {
        Operator::Plus | Operator::Minus => (left.dimension == right.dimension).then_some(left.dimension),
        Operator::Times => left.dimension.times(right.dimension),
        Operator::Over => left.dimension.over(right.dimension),
    }
    .ok_or(ExpressionError::Dimensions {
        at,
        end,
        sign: operator.sign(),
        left: left.dimension,
        right: right.dimension,
    })?;
    let both_known = matches!((&left.term, &right.term), (Term::Value(_), Term::Value(_)));
    let term = fold(Term::Joined(operator, Box::new(left.term), Box::new(right.term)));
    if both_known && !matches!(term, Term::Value(_)) {
        return Err(ExpressionError::Overflow { at, end });
    }
    Ok(Parsed { term, dimension, start: at, end })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::schema::ScopeEntry;
    use crate::source::{SourceId, Span};

    struct Board;
    impl Measures for Board {
        fn measure(&self, figure: &str, side: Side) -> Option<Mm> {
            (figure == "board").then(|| Mm::new(if side == Side::Width { 215.9 } else { 279.4 }))
        }
    }

    fn scope() -> Scope {
        let mut scope = Scope::default();
        let quantity = parse_quantity("12 mm", 0).unwrap().0;
        let span = Span::new(SourceId(0), 0, 0);
        scope.declare("margin", ScopeEntry { value: Some(InputValue::Quantity(quantity)), span });
        scope
    }

    fn value(text: &str) -> f64 {
        Expression::parse(text, &scope()).expect(text).value(&Board).expect(text)
    }

    #[test]
    fn precedence_parentheses_and_references() {
        assert_eq!(value("{board.width} - 2 * 8 mm"), 199.9);
        assert_eq!(value("({board.height} + 0.6 mm) / 2"), 140.0);
        assert_eq!(value("-{margin} + 1 in"), 13.4);
        assert_eq!(value("8 1/2 in"), 215.9);
        assert_eq!(value("6 mm/2"), 3.0);
    }

    #[test]
    fn dimensions_are_checked() {
        let wrong = Expression::parse("{board.width} + 3", &scope()).unwrap_err();
        assert!(matches!(
            wrong,
            ExpressionError::Dimensions { left: Dimension::Length, right: Dimension::Number, .. }
        ));
        assert_eq!(Expression::parse("2 in * 2 in", &scope()).unwrap().dimension(), Dimension::Area);
    }

    #[test]
    fn mistakes_say_where() {
        assert!(matches!(
            Expression::parse("{bord}", &scope()),
            Err(ExpressionError::UnknownInput { at: 0, end: 6, .. })
        ));
        assert!(matches!(
            Expression::parse("(1 mm", &scope()),
            Err(ExpressionError::NotClosed { at: 0, sign: ')' })
        ));
        assert!(matches!(Expression::parse("1 mm / 0", &scope()), Err(ExpressionError::Overflow { .. })));
        assert!(Expression::parse(&"(".repeat(10_000), &scope()).is_err());
    }
}
