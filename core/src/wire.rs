//! Documents on the wire: JSON with a `schema` field, read strictly and written canonically.

use std::marker::PhantomData;

use schemars::Schema;
use serde::de::{self, Deserialize, DeserializeOwned, Deserializer};
use serde::ser::{Serialize, Serializer};
use serde_json::Value;

use crate::error::{Code, Error};

/// A kind of document.
pub trait Document: Serialize + DeserializeOwned {
    /// What its `schema` field says, such as `upstand/job/1`.
    const SCHEMA: &'static str;
}

/// The `schema` field of a document: always written, and checked when read.
pub struct Tag<D>(PhantomData<fn() -> D>);

impl<D> Default for Tag<D> {
    fn default() -> Self {
        Tag(PhantomData)
    }
}

impl<D> Clone for Tag<D> {
    fn clone(&self) -> Self {
        Tag::default()
    }
}

impl<D> std::fmt::Debug for Tag<D> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Tag")
    }
}

impl<D> PartialEq for Tag<D> {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

impl<D> Eq for Tag<D> {}

impl<D: Document> Serialize for Tag<D> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(D::SCHEMA)
    }
}

impl<'de, D: Document> Deserialize<'de> for Tag<D> {
    fn deserialize<R: Deserializer<'de>>(deserializer: R) -> Result<Self, R::Error> {
        let found = String::deserialize(deserializer)?;
        if found == D::SCHEMA {
            Ok(Tag::default())
        } else {
            Err(de::Error::custom(format!("{found:?} is not {:?}", D::SCHEMA)))
        }
    }
}

pub(crate) fn tag_schema<D: Document>() -> Schema {
    schemars::json_schema!({ "type": "string", "const": D::SCHEMA })
}

/// The longest text that is read: 64 MiB.
pub const LONGEST: usize = 64 << 20;

/// Reads a document from JSON text. See [`Job::from_json`](crate::Job::from_json) for the errors.
pub(crate) fn read<D: Document>(text: &str) -> Result<D, Error> {
    read_value(parse(text)?)
}

/// Parses JSON text of at most [`LONGEST`] bytes.
///
/// # Errors
/// [`Code::TooLarge`], [`Code::BadJson`].
///
/// ```
/// use upstand::{Code, wire};
///
/// assert_eq!(wire::parse("[1, 2]").unwrap()[1], 2);
/// assert_eq!(wire::parse("[1, 2").unwrap_err().code(), Code::BadJson);
/// ```
pub fn parse(text: &str) -> Result<Value, Error> {
    if text.len() > LONGEST {
        return Err(Error::new(
            Code::TooLarge,
            "",
            format!("{} bytes of text: at most {LONGEST} are read", text.len()),
        ));
    }
    serde_json::from_str(text).map_err(|e| Error::new(Code::BadJson, "", format!("not JSON: {e}")))
}

/// Reads a document from a JSON value.
pub(crate) fn read_value<D: Document>(value: Value) -> Result<D, Error> {
    check_schema(&value, D::SCHEMA)?;
    read_part(value)
}

/// Checks what a document says that it is.
pub(crate) fn check_schema(value: &Value, schema: &str) -> Result<(), Error> {
    match value.get("schema") {
        Some(Value::String(found)) if found == schema => Ok(()),
        Some(other) => Err(Error::new(Code::WrongSchema, "/schema", format!("{other} is not {schema:?}"))),
        None => {
            Err(Error::new(Code::WrongSchema, "/schema", format!("the document must say \"schema\": {:?}", schema)))
        }
    }
}

/// Reads a part of a document, which has no `schema` field, from a JSON value.
pub(crate) fn read_part<T: DeserializeOwned>(value: Value) -> Result<T, Error> {
    serde_path_to_error::deserialize(value).map_err(|e| from_serde(&e))
}

/// Writes a document as canonical JSON: fields in the order of their definition, no white space, exact lengths.
pub(crate) fn write<D: Serialize>(document: &D) -> String {
    serde_json::to_string(document).expect("documents have string keys and finite numbers")
}

fn from_serde(error: &serde_path_to_error::Error<serde_json::Error>) -> Error {
    let mut path = String::new();
    for segment in error.path() {
        use serde_path_to_error::Segment;
        let step = match segment {
            Segment::Seq { index } => index.to_string(),
            Segment::Map { key } => key.replace('~', "~0").replace('/', "~1"),
            Segment::Enum { variant } => variant.clone(),
            Segment::Unknown => continue,
        };
        path.push('/');
        path.push_str(&step);
    }
    let message = error.inner().to_string();
    let quoted = |prefix: &str| Some(message.strip_prefix(prefix)?.split('`').next()?.to_string());
    if let Some(field) = quoted("unknown field `") {
        let step = format!("/{}", field.replace('~', "~0").replace('/', "~1"));
        if !path.ends_with(&step) {
            path.push_str(&step);
        }
        return Error::new(Code::UnknownField, path, message);
    }
    if let Some(field) = quoted("missing field `") {
        path.push('/');
        path.push_str(&field);
        return Error::new(Code::MissingField, path, message);
    }
    // Errors of our own number types carry their code at the end of their sentence.
    let own = [Code::NonFinite, Code::OutOfRange, Code::BadDate]
        .into_iter()
        .find_map(|code| Some((code, message.strip_suffix(&format!(" [{}]", code.slug()))?.to_string())));
    let (code, message) = own.unwrap_or((Code::BadValue, message));
    Error::new(code, path, message)
}

#[cfg(test)]
mod tests {
    use crate::{Code, Job};

    #[test]
    fn every_kind_of_misreading_has_its_code_and_place() {
        let cases = [
            ("[", Code::BadJson, ""),
            ("{}", Code::WrongSchema, "/schema"),
            (r#"{"schema": "upstand/job/9", "roofs": []}"#, Code::WrongSchema, "/schema"),
            (r#"{"schema": "upstand/job/1"}"#, Code::MissingField, "/roofs"),
            (r#"{"schema": "upstand/job/1", "roofs": 1}"#, Code::BadValue, "/roofs"),
            (
                r#"{"schema": "upstand/job/1", "roofs": [{"outer": {"points": []}, "a/b": 1}]}"#,
                Code::UnknownField,
                "/roofs/0/a~1b",
            ),
            (
                r#"{"schema": "upstand/job/1", "roofs": [{"outer": {"points": [[0, 1e12]]}}]}"#,
                Code::OutOfRange,
                "/roofs/0/outer/points/0/1",
            ),
            (
                r#"{"schema": "upstand/job/1", "roofs": [{"outer": {"points": [], "kinds": ["wall"]}}]}"#,
                Code::BadValue,
                "/roofs/0/outer/kinds/0",
            ),
            (
                r#"{"schema": "upstand/job/1", "roofs": [], "system": {"mat": {"width": "1 m"}}}"#,
                Code::BadValue,
                "/system/mat/width",
            ),
        ];
        for (text, code, path) in cases {
            let error = Job::from_json(text).expect_err(text);
            assert_eq!((error.code(), error.path()), (code, path), "{text}: {error}");
        }
    }
}
