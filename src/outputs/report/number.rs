//! Numbers as they are written.

use crate::units::number::fixed;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Serialize, Serializer};
use std::borrow::Cow;

/// A number rounded to six decimals: a nanometre, a microsecond, a millionth of a square millimetre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Number(f64);

impl Number {
    /// Rounds `value`; one that is not finite, which no plan holds, becomes 0.
    pub fn new(value: f64) -> Self {
        Self(fixed(value, 6).parse().unwrap_or(0.0))
    }
}

impl Serialize for Number {
    /// Whole numbers are written without a fraction.
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        // Up to 2^53 every whole number is held exactly.
        if self.0.fract() == 0.0 && self.0.abs() < 9e15 {
            serializer.serialize_i64(self.0 as i64)
        } else {
            serializer.serialize_f64(self.0)
        }
    }
}

impl JsonSchema for Number {
    fn schema_name() -> Cow<'static, str> {
        "Number".into()
    }

    fn inline_schema() -> bool {
        true
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "number" })
    }
}

#[cfg(test)]
mod tests {
    use super::Number;

    fn written(value: f64) -> String {
        serde_json::to_string(&Number::new(value)).unwrap()
    }

    #[test]
    fn numbers_are_rounded_and_plain() {
        assert_eq!(written(304.8), "304.8");
        assert_eq!(written(100.0), "100");
        assert_eq!(written(-0.000_000_1), "0");
        assert_eq!(written(0.1 + 0.2), "0.3");
        assert_eq!(written(f64::NAN), "0");
        assert_eq!(written(2.0 / 3.0), "0.666667");
    }
}
