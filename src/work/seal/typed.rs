//! Values as they are typed: a text is a number, or true or false, where the schema wants one.
//!
//! Which it wants only the schema knows: the gauge of a reading is a name, even if it is called 7, and the gauge of the
//! temperatures is a number of degrees. So the schema is asked, and no list of fields has to be kept beside it.

use serde::de::value::{MapAccessDeserializer, MapDeserializer, SeqDeserializer};
use serde::de::{Deserializer, Error as _, IntoDeserializer, Visitor};
use serde::forward_to_deserialize_any;
use serde_json::{Error, Value};

/// A value whose texts may stand for numbers, or for true or false.
pub(super) struct AsTyped(pub Value);

impl AsTyped {
    /// The number that a text stands for, whole where it can be; what is no text as it is.
    fn number(self) -> Result<Self, Error> {
        let Value::String(text) = &self.0 else { return Ok(self) };
        let whole = text.parse::<u64>().map(Value::from);
        // JSON knows no infinity: such a number would be none.
        let number = whole.or_else(|_| text.parse::<f64>().map(Value::from)).ok().filter(Value::is_number);
        number.map(Self).ok_or_else(|| Error::custom(format!("`{text}` is no number")))
    }
}

impl IntoDeserializer<'_, Error> for AsTyped {
    type Deserializer = Self;

    fn into_deserializer(self) -> Self {
        self
    }
}

/// Hands numbers on as what a text stands for.
macro_rules! numbers {
    ($($method:ident)*) => {$(
        fn $method<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
            self.number()?.0.$method(visitor)
        }
    )*};
}

impl<'de> Deserializer<'de> for AsTyped {
    type Error = Error;

    numbers! {
        deserialize_i8 deserialize_i16 deserialize_i32 deserialize_i64 deserialize_i128
        deserialize_u8 deserialize_u16 deserialize_u32 deserialize_u64 deserialize_u128
        deserialize_f32 deserialize_f64
    }

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        match self.0 {
            Value::Array(elements) => {
                let mut elements = SeqDeserializer::new(elements.into_iter().map(AsTyped));
                let value = visitor.visit_seq(&mut elements)?;
                elements.end().map(|()| value)
            }
            Value::Object(fields) => {
                let mut fields = MapDeserializer::new(fields.into_iter().map(|(name, v)| (name, AsTyped(v))));
                let value = visitor.visit_map(&mut fields)?;
                fields.end().map(|()| value)
            }
            scalar => scalar.deserialize_any(visitor),
        }
    }

    fn deserialize_bool<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        match &self.0 {
            Value::String(text) => match text.parse() {
                Ok(truth) => visitor.visit_bool(truth),
                Err(_) => Err(Error::custom(format!("`{text}` is neither true nor false"))),
            },
            _ => self.0.deserialize_bool(visitor),
        }
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        if self.0.is_null() { visitor.visit_none() } else { visitor.visit_some(self) }
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        visitor: V,
    ) -> Result<V::Value, Error> {
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        name: &'static str,
        variants: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Error> {
        match self.0 {
            Value::Object(fields) => {
                let fields = fields.into_iter().map(|(name, value)| (name, AsTyped(value)));
                visitor.visit_enum(MapAccessDeserializer::new(MapDeserializer::new(fields)))
            }
            scalar => scalar.deserialize_enum(name, variants, visitor),
        }
    }

    forward_to_deserialize_any! {
        char str string bytes byte_buf unit unit_struct seq tuple tuple_struct map struct identifier ignored_any
    }
}
