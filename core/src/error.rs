//! One error type for the whole library: a stable numbered [`Code`], the JSON Pointer of the offending value,
//! and one sentence that gives the value and what would be valid.
//!
//! Hitting a limit of effort is not an error: see the status of a cut list. A site condition that should stop the
//! work is not an error either: see [`crate::finding`].

use std::fmt;

use serde::Serialize;

macro_rules! codes {
    ($( $(#[doc = $doc:literal])+ $name:ident = $number:literal, $slug:literal; )+) => {
        /// What went wrong. Numbers and slugs never change meaning and are never reused.
        ///
        /// Blocks: 1-99 the border (documents, bindings), 100 geometry, 200 roof, 300 system, 400 cutting, 500 mat,
        /// 600 wet work, 700 drawing, 800 survey.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        #[non_exhaustive]
        #[repr(u32)]
        pub enum Code { $( $(#[doc = $doc])+ $name = $number, )+ }

        impl Code {
            /// Every code, in the order of their numbers.
            pub const ALL: &'static [Code] = &[ $( Code::$name, )+ ];

            /// The stable name in lower case with underscores: what Python and JSON show.
            pub const fn slug(self) -> &'static str {
                match self { $( Code::$name => $slug, )+ }
            }

            /// One or two sentences on when it occurs: what headers and manuals print.
            pub const fn meaning(self) -> &'static str {
                match self { $( Code::$name => concat!($($doc),+).trim_ascii(), )+ }
            }
        }
    };
}

codes! {
    /// A required argument was null.
    NullArgument = 1, "null_argument";
    /// A bug inside the library was caught at the border of a binding. Please report it.
    Panic = 2, "panic";
    /// Text is not UTF-8.
    BadUtf8 = 3, "bad_utf8";
    /// The caller's buffer is too small; the needed size is in the message.
    BufferTooSmall = 4, "buffer_too_small";
    /// The document's `schema` field is missing or names another kind or version.
    WrongSchema = 5, "wrong_schema";
    /// The text is not JSON.
    BadJson = 6, "bad_json";
    /// A field that the document kind does not know.
    UnknownField = 7, "unknown_field";
    /// A required field is missing.
    MissingField = 8, "missing_field";
    /// A value has the wrong type or is not one of the allowed words.
    BadValue = 9, "bad_value";
    /// An argument of a function in a binding makes no sense.
    BadArgument = 10, "bad_argument";
    /// The text is longer or more deeply nested than the library reads.
    TooLarge = 11, "too_large";

    /// A number is NaN or infinite.
    NonFinite = 101, "non_finite";
    /// A number is outside the range that the library computes with.
    OutOfRange = 102, "out_of_range";
    /// A ring has fewer than three distinct points.
    TooFewPoints = 103, "too_few_points";
    /// A ring or roof has more points than the limit.
    TooManyPoints = 104, "too_many_points";
    /// A point repeats the one before it.
    RepeatedPoint = 105, "repeated_point";
    /// The ring runs out and back along the same line.
    Spike = 106, "spike";
    /// The ring encloses no area.
    ZeroArea = 107, "zero_area";
    /// Two edges of the outline cross.
    SelfCrossing = 108, "self_crossing";
    /// The outline touches itself in a point or along an edge.
    SelfTouching = 109, "self_touching";
    /// An edge is shorter than the system's least edge.
    ShortEdge = 110, "short_edge";
    /// A hole lies outside the outer ring, or crosses it.
    HoleOutside = 111, "hole_outside";
    /// A hole touches the outer ring or another hole.
    HoleTouches = 112, "hole_touches";
    /// Two holes overlap, or one lies inside the other.
    HolesOverlap = 113, "holes_overlap";

    /// The number of edge kinds is not the number of edges.
    KindCount = 201, "kind_count";
    /// A job without a roof.
    NoRoofs = 202, "no_roofs";
    /// More roofs, holes, outlets or pipes than the limit.
    TooMany = 203, "too_many";
    /// An outlet that is not on the roof.
    OutletOutside = 204, "outlet_outside";
    /// The corner table has no row for the two edges that meet.
    NoCornerRule = 205, "no_corner_rule";
    /// The number of levels is not the number of points.
    LevelCount = 206, "level_count";
    /// A pipe that is not on the roof.
    PipeOutside = 207, "pipe_outside";

    /// A trim's section cannot be made: too few points, no deck flange, crossing itself.
    BadSection = 301, "bad_section";
    /// A size in the system is zero, negative or contradicts another.
    BadSize = 302, "bad_size";
    /// A rate, price or allowance in the system is negative or absurd.
    BadRate = 303, "bad_rate";
    /// A table in the system is empty, unsorted or overlapping.
    BadTable = 304, "bad_table";
    /// A corner that cannot be mitred: too sharp, straight, or of edges too steep.
    BadCorner = 305, "bad_corner";

    /// A run to cut is zero, negative or beyond range.
    BadRun = 401, "bad_run";
    /// A bar is zero, negative or beyond range.
    BadBar = 402, "bad_bar";
    /// A lap, kerf, trim-off, least piece or clear distance is negative or leaves nothing of a bar.
    BadCutRule = 403, "bad_cut_rule";
    /// A run that no bars on offer can make under the rules given.
    Uncuttable = 404, "uncuttable";
    /// More kinds of run or bar than the limit.
    TooManyRuns = 405, "too_many_runs";
    /// Quantities, lengths or costs whose totals would overflow.
    Overflow = 406, "overflow";
    /// An option or limit that makes no sense.
    BadOption = 407, "bad_option";
    /// A cut list that is not what it says it is: a piece, a rule, a total, a bound or its proof.
    WrongCutList = 408, "wrong_cut_list";

    /// Mat, tape or patch sizes that leave no cover: a lap as wide as the strip, no roll.
    BadMat = 501, "bad_mat";
    /// The lay-out would need more strips than the limit.
    TooManyStrips = 502, "too_many_strips";

    /// A liquid's rate, density, pack or table makes no sense.
    BadLiquid = 601, "bad_liquid";
    /// A date or time that no calendar has, or that is not written as ISO 8601 has it.
    BadDate = 602, "bad_date";
    /// A programme of work that contradicts itself: no crew, hours that end before they begin, a ragged forecast.
    BadProgramme = 603, "bad_programme";

    /// A drawing of a roof that the plan does not have.
    NoSuchRoof = 701, "no_such_roof";

    /// A reading that cannot be: a moisture or humidity outside 0 to 100 %, a temperature no roof has.
    BadReading = 801, "bad_reading";
    /// A reading or a record names a roof or a layer that the job does not have.
    NoSuchPlace = 802, "no_such_place";
    /// A measurement that makes no sense: a length of nothing, an angle beyond a turn, a point measured to itself.
    BadMeasurement = 811, "bad_measurement";
    /// The measurements do not hold a point in its place.
    FloatingPoint = 812, "floating_point";
    /// The measurements contradict each other so far that no positions meet them.
    Clash = 813, "clash";
}

impl Code {
    /// The stable number: what C returns.
    pub const fn number(self) -> u32 {
        self as u32
    }
}

/// Why a document or a call was refused.
///
/// ```
/// use upstand::{Code, Job};
///
/// let error = Job::from_json(r#"{"schema": "upstand/job/1", "roofs": "none"}"#).unwrap_err();
/// assert_eq!(error.code(), Code::BadValue);
/// assert_eq!(error.path(), "/roofs");
/// ```
#[derive(Clone, PartialEq, Eq)]
#[must_use]
pub struct Error(Box<Inner>);

#[derive(Clone, PartialEq, Eq)]
struct Inner {
    code: Code,
    path: String,
    message: String,
    others: Vec<Error>,
}

impl Error {
    /// An error with its code, the JSON Pointer of the offending value (empty for the whole document) and one sentence.
    pub fn new(code: Code, path: impl Into<String>, message: impl Into<String>) -> Self {
        Error(Box::new(Inner { code, path: path.into(), message: message.into(), others: Vec::new() }))
    }

    /// Folds a list of problems into one error: the first, which carries the others.
    ///
    /// # Errors
    /// The first problem, if there is one.
    ///
    /// ```
    /// use upstand::{Code, Error};
    ///
    /// assert!(Error::from_problems(Vec::new()).is_ok());
    /// let problems = ["/runs/0", "/runs/3"].map(|path| Error::new(Code::BadValue, path, "is no length"));
    /// let error = Error::from_problems(problems.to_vec()).unwrap_err();
    /// assert_eq!((error.path(), error.problems().count()), ("/runs/0", 2));
    /// ```
    pub fn from_problems(problems: Vec<Error>) -> Result<(), Error> {
        let mut problems = problems.into_iter();
        match problems.next() {
            None => Ok(()),
            Some(mut first) => {
                first.0.others = problems.collect();
                Err(first)
            }
        }
    }

    /// What went wrong, stable across versions.
    pub fn code(&self) -> Code {
        self.0.code
    }

    /// JSON Pointer (RFC 6901) of the offending value, such as `/roofs/0/outer/points/3`.
    pub fn path(&self) -> &str {
        &self.0.path
    }

    /// The sentence alone.
    pub fn message(&self) -> &str {
        &self.0.message
    }

    /// Every problem found, this one first.
    pub fn problems(&self) -> impl Iterator<Item = &Error> {
        std::iter::once(self).chain(self.0.others.iter())
    }

    /// The same error seen from a document that holds the offending value below `prefix`.
    pub fn under(mut self, prefix: &str) -> Self {
        self.0.path.insert_str(0, prefix);
        self.0.others = self.0.others.into_iter().map(|other| other.under(prefix)).collect();
        self
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Inner { code, path, message, .. } = &*self.0;
        if path.is_empty() {
            write!(f, "{message} [{}]", code.slug())
        } else {
            write!(f, "{path}: {message} [{}]", code.slug())
        }
    }
}

impl fmt::Debug for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")?;
        for other in &self.0.others {
            write!(f, "; {other}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Error {}

impl Serialize for Code {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.slug())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_and_slugs_are_unique_and_sorted() {
        assert!(Code::ALL.windows(2).all(|pair| pair[0].number() < pair[1].number()));
        let mut slugs: Vec<_> = Code::ALL.iter().map(|code| code.slug()).collect();
        slugs.sort_unstable();
        slugs.dedup();
        assert_eq!(slugs.len(), Code::ALL.len());
        assert!(Code::ALL.iter().all(|code| code.meaning().ends_with('.') && !code.meaning().starts_with(' ')));
    }

    #[test]
    fn the_first_problem_carries_the_others() {
        let problems = vec![Error::new(Code::Spike, "/points/1", "a"), Error::new(Code::ZeroArea, "", "b")];
        let error = Error::from_problems(problems).expect_err("two problems").under("/roofs/0");
        let paths: Vec<_> = error.problems().map(Error::path).collect();
        assert_eq!(paths, ["/roofs/0/points/1", "/roofs/0"]);
        assert!(Error::from_problems(Vec::new()).is_ok());
    }
}
