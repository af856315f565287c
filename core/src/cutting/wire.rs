//! Problems and answers as documents: JSON with a `schema` field, read strictly and written canonically.

use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::error::Error;
use crate::wire;

use super::answer::Answer;
use super::problem::Problem;

const PROBLEM: &str = "upstand/cutting/1";
const ANSWER: &str = "upstand/cut_list/1";

/// A document with its `schema` before everything else.
#[derive(Serialize)]
struct Tagged<'a, T> {
    schema: &'static str,
    #[serde(flatten)]
    body: &'a T,
}

impl Problem {
    /// Reads a problem from JSON text with `"schema": "upstand/cutting/1"`.
    ///
    /// # Errors
    /// [`Code::BadJson`](crate::Code::BadJson), [`Code::WrongSchema`](crate::Code::WrongSchema), and for fields
    /// [`Code::UnknownField`](crate::Code::UnknownField), [`Code::MissingField`](crate::Code::MissingField) and
    /// [`Code::BadValue`](crate::Code::BadValue) with their place. Whether the values make sense is for
    /// [`Problem::check`].
    ///
    /// ```
    /// use upstand::{Code, cutting::Problem};
    ///
    /// let text = r#"{"schema": "upstand/cutting/1", "bars": [{"length": 3000}], "runs": [{"length": 4200}]}"#;
    /// assert_eq!(Problem::from_json(text).unwrap().runs[0].quantity, 1);
    /// let error = Problem::from_json(&text.replace("length\": 4200", "lenght\": 4200")).unwrap_err();
    /// assert_eq!((error.code(), error.path()), (Code::UnknownField, "/runs/0/lenght"));
    /// ```
    pub fn from_json(text: &str) -> Result<Problem, Error> {
        Problem::from_value(wire::parse(text)?)
    }

    /// Reads a problem from a JSON value that is already in memory.
    ///
    /// # Errors
    /// As for [`Problem::from_json`].
    ///
    /// ```
    /// use serde_json::json;
    /// use upstand::{Code, cutting::Problem};
    ///
    /// let (schema, bars) = ("upstand/cutting/1", json!([{"length": 3000}]));
    /// let problem = json!({"schema": schema, "bars": bars, "runs": [{"length": 4200}]});
    /// assert_eq!(Problem::from_value(problem).unwrap().runs.len(), 1);
    /// let error = Problem::from_value(json!({"schema": schema, "bars": bars})).unwrap_err();
    /// assert_eq!((error.code(), error.path()), (Code::MissingField, "/runs"));
    /// ```
    pub fn from_value(value: serde_json::Value) -> Result<Problem, Error> {
        read(value, PROBLEM)
    }

    /// The problem as canonical JSON.
    pub fn to_json(&self) -> String {
        wire::write(&Tagged { schema: PROBLEM, body: self })
    }
}

impl Answer {
    /// Reads an answer from JSON text with `"schema": "upstand/cut_list/1"`.
    ///
    /// # Errors
    /// As for [`Problem::from_json`].
    ///
    /// ```
    /// use upstand::{Code, Length, cutting::{Answer, Rules, cut_list}};
    ///
    /// let answer = cut_list(&[Length::from_mm(4200)], Length::from_mm(3000), &Rules::default())?;
    /// assert_eq!(Answer::from_json(&answer.to_json())?, answer);
    /// assert_eq!(Answer::from_json("{}").unwrap_err().code(), Code::WrongSchema);
    /// # Ok::<(), upstand::Error>(())
    /// ```
    pub fn from_json(text: &str) -> Result<Answer, Error> {
        Answer::from_value(wire::parse(text)?)
    }

    /// Reads an answer from a JSON value that is already in memory.
    ///
    /// # Errors
    /// As for [`Problem::from_json`].
    ///
    /// ```
    /// use upstand::{Code, Length, cutting::{Answer, Rules, cut_list}};
    ///
    /// let answer = cut_list(&[Length::from_mm(4200)], Length::from_mm(3000), &Rules::default())?;
    /// let value = serde_json::from_str(&answer.to_json()).unwrap();
    /// assert_eq!(Answer::from_value(value)?, answer);
    /// assert_eq!(Answer::from_value(serde_json::Value::Null).unwrap_err().code(), Code::WrongSchema);
    /// # Ok::<(), upstand::Error>(())
    /// ```
    pub fn from_value(value: serde_json::Value) -> Result<Answer, Error> {
        read(value, ANSWER)
    }

    /// The answer as canonical JSON.
    pub fn to_json(&self) -> String {
        wire::write(&Tagged { schema: ANSWER, body: self })
    }
}

fn read<T: DeserializeOwned>(mut value: serde_json::Value, schema: &str) -> Result<T, Error> {
    wire::check_schema(&value, schema)?;
    if let Some(fields) = value.as_object_mut() {
        fields.remove("schema");
    }
    wire::read_part(value)
}
