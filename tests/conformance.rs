//! The same documents give the same answers in Rust, Python and C. This is the Rust runner; the others are
//! `bindings-py/tests/test_vectors.py` and `bindings-c/tests/vectors.c`.
//!
//! `vectors/plan/NAME.job.json` is a job. Beside it lies either `NAME.plan.json`, the bytes of its plan, or
//! `NAME.errors.json`, every problem of it in order. `vectors/cutting` holds problems (`NAME.cutting.json`) with cut
//! lists (`NAME.cut_list.json`) or errors in the same way, `vectors/adjust` tape measurements (`NAME.network.json`) with
//! their adjustment (`NAME.adjusted.json`) or errors, `vectors/codes.json` all codes with their numbers.
//!
//! `UPDATE_VECTORS=1 cargo test -p upstand-tests --test conformance` writes what is expected anew from the jobs and
//! problems: look at the difference before you commit it.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use upstand::cutting::{self, Effort, Problem};
use upstand::record::Record;
use upstand::survey::adjust::{Network, adjust};
use upstand::{Code, Error, Job};

/// Codes that no vector can show, with the reason. A vector that shows one of them after all fails the test.
const WITHOUT_VECTOR: &[(Code, &str)] = &[
    (Code::NullArgument, "C only: bindings-c/tests/interface.c"),
    (Code::Panic, "a bug: bindings-c/src/context.rs provokes one"),
    (Code::BadUtf8, "not a text: bindings-c/tests/interface.c, bindings-py/tests/test_plan.py"),
    (Code::BufferTooSmall, "C only: bindings-c/tests/interface.c"),
    (Code::BadArgument, "an argument, not a document: the bindings' tests"),
    (Code::TooLarge, "64 MiB of text: core/src/wire.rs"),
    (Code::NonFinite, "JSON has no such number: bindings-py/tests/test_plan.py"),
    (Code::TooManyRuns, "a long document: tests/cutting/refusals.rs"),
    (Code::BadOption, "an argument, not a document: the bindings' tests"),
    (Code::WrongCutList, "C only: bindings-c/tests/interface.c"),
    (Code::NoSuchRoof, "an argument, not a document: core/src/drawing"),
    (Code::BadCorner, "an argument, not a document: core/src/trim/mitre.rs and the bindings' tests"),
];

fn vectors() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("vectors")
}

fn updating() -> bool {
    std::env::var_os("UPDATE_VECTORS").is_some()
}

/// The problems of a document as the vectors hold them: one array, no white space but a final newline.
fn errors_text(error: &Error) -> String {
    let problems = error.problems().map(|problem| {
        let code = problem.code();
        serde_json::json!({"code": code.slug(), "number": code.number(), "path": problem.path()}).to_string()
    });
    format!("[{}]\n", problems.collect::<Vec<_>>().join(","))
}

/// Runs every document `NAME.input.json` of a folder and compares with the file beside it. Returns the codes seen.
fn run(
    folder: &str,
    input: &str,
    output: &str,
    least: usize,
    work: impl Fn(&str) -> Result<String, Error>,
) -> BTreeSet<Code> {
    let folder = vectors().join(folder);
    let files = fs::read_dir(&folder).expect("the vectors are committed");
    let mut files: BTreeSet<String> =
        files.map(|file| file.expect("readable").file_name().into_string().expect("UTF-8")).collect();
    let suffix = format!(".{input}.json");
    let names: Vec<String> = files.iter().filter_map(|file| file.strip_suffix(&suffix)).map(str::to_string).collect();
    assert!(names.len() >= least, "only {} vectors in {}", names.len(), folder.display());
    let mut codes = BTreeSet::new();
    for name in names {
        let text = fs::read_to_string(folder.join(format!("{name}{suffix}"))).expect("readable");
        let (expected, actual) = match work(&text) {
            Ok(document) => (format!("{name}.{output}.json"), document),
            Err(error) => {
                codes.extend(error.problems().map(Error::code));
                (format!("{name}.errors.json"), errors_text(&error))
            }
        };
        let path = folder.join(&expected);
        if updating() {
            fs::write(&path, &actual).expect("writable");
            files.insert(expected.clone());
        }
        let wanted =
            fs::read_to_string(&path).unwrap_or_else(|_| panic!("{expected} is missing: the answer is {actual}"));
        assert!(actual == wanted, "{expected} differs, the answer is now {actual}");
        files.remove(&expected);
        files.remove(&format!("{name}{suffix}"));
    }
    assert!(files.is_empty(), "{} has files that belong to no vector: {files:?}", folder.display());
    codes
}

fn plans() -> BTreeSet<Code> {
    run("plan", "job", "plan", 20, |text| Ok(upstand::plan(&Job::from_json(text)?)?.to_json()))
}

fn cut_lists() -> BTreeSet<Code> {
    run("cutting", "cutting", "cut_list", 20, |text| {
        let problem = Problem::from_json(text)?;
        let answer = cutting::solve(&problem, &Effort::default())?;
        assert!(cutting::check(&problem, &answer).is_ok(), "the checker refuses the answer to {text}");
        Ok(answer.to_json())
    })
}

fn adjustments() -> BTreeSet<Code> {
    run("adjust", "network", "adjusted", 8, |text| Ok(adjust(&Network::from_json(text)?)?.to_json()))
}

fn reports() -> BTreeSet<Code> {
    run("record", "record", "report", 5, |text| Ok(Record::from_json(text)?.report()?.to_json()))
}

#[test]
fn every_vector_gives_what_is_expected_and_every_code_has_one() {
    let mut seen = plans();
    seen.extend(cut_lists());
    seen.extend(adjustments());
    seen.extend(reports());
    let excused: BTreeSet<Code> = WITHOUT_VECTOR.iter().map(|(code, _)| *code).collect();
    let missing: Vec<_> = Code::ALL.iter().filter(|code| !seen.contains(code) && !excused.contains(code)).collect();
    assert!(missing.is_empty(), "no vector shows {missing:?}");
    let surplus: Vec<_> = excused.intersection(&seen).collect();
    assert!(surplus.is_empty(), "a vector shows {surplus:?}: take them off the list of those without");
}

#[test]
fn check_and_plan_find_the_same_problems() {
    for file in fs::read_dir(vectors().join("plan")).expect("the vectors are committed") {
        let path = file.expect("readable").path();
        if !path.to_string_lossy().ends_with(".job.json") {
            continue;
        }
        let Ok(job) = Job::from_json(&fs::read_to_string(&path).expect("readable")) else { continue };
        let planned = upstand::plan(&job).err();
        let planned: Vec<Error> = planned.iter().flat_map(|error| error.problems()).cloned().collect();
        let strip = |errors: &[Error]| errors.iter().map(|e| (e.code(), e.path().to_string())).collect::<Vec<_>>();
        assert_eq!(strip(&job.check()), strip(&planned), "{}", path.display());
    }
}

#[test]
fn codes_are_those_listed() {
    let path = vectors().join("codes.json");
    let lines =
        Code::ALL.iter().map(|code| format!("  {{\"code\": \"{}\", \"number\": {}}}", code.slug(), code.number()));
    let actual = format!("[\n{}\n]\n", lines.collect::<Vec<_>>().join(",\n"));
    if updating() {
        fs::write(&path, &actual).expect("writable");
    }
    assert_eq!(fs::read_to_string(&path).expect("committed"), actual, "codes never change: add new ones only");
}

/// The demonstration job is a vector too.
#[test]
fn the_demonstration_is_a_vector() {
    let example = Path::new(env!("CARGO_MANIFEST_DIR")).join("../core/examples/demo/garden_room.json");
    let example = fs::read_to_string(example).expect("committed");
    assert_eq!(example, fs::read_to_string(vectors().join("plan/demonstration.job.json")).expect("committed"));
}
