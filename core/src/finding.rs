//! What a check says about the site or the plan: [`Finding`].
//!
//! A finding is advice with a basis, not a failure of the call: the plan that carries it is complete. `refuse`
//! means do not go on before it is cleared, `caution` means a person must decide, `note` means know this.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// How grave a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Grade {
    /// Do not go on before this is cleared.
    Refuse,
    /// A person must look and decide.
    Caution,
    /// Worth knowing.
    Note,
}

/// One thing that a check found.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Finding {
    /// How grave.
    pub grade: Grade,
    /// Stable name of the check, such as `deck_moisture`.
    pub code: String,
    /// JSON Pointer into the job of what it is about.
    pub place: String,
    /// The value found, in `unit`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value: Option<f64>,
    /// The limit it was held against, in `unit`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limit: Option<f64>,
    /// Unit of value and limit, such as `%` or `mm`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// Where the limit comes from.
    pub basis: String,
    /// One or two sentences for the person on the roof: what was found and what to do next.
    pub text: String,
}

impl Finding {
    /// A finding without numbers.
    pub fn new(
        grade: Grade,
        code: &str,
        place: impl Into<String>,
        basis: impl Into<String>,
        text: impl Into<String>,
    ) -> Self {
        Finding {
            grade,
            code: code.into(),
            place: place.into(),
            value: None,
            limit: None,
            unit: None,
            basis: basis.into(),
            text: text.into(),
        }
    }

    /// The same finding with the value found, the limit it was held against and their unit.
    #[must_use]
    pub fn measured(mut self, value: f64, limit: f64, unit: &str) -> Self {
        self.value = Some(value);
        self.limit = Some(limit);
        self.unit = Some(unit.into());
        self
    }
}
