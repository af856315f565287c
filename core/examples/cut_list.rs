//! Solves cutting problems from files and prints one line of JSON for each.
//!
//! ```text
//! cargo run --release --example cut_list -- [--seconds S] [--nodes N] FILE...
//! ```
//!
//! A file holds a problem as JSON (`"schema": "upstand/cutting/1"`), or plain numbers, whose runs may not be joined:
//! either how many distinct lengths there are, the length of a bar, and then a length and its count for each; or
//! how many items there are, the length of a bar, and then a length for each. A limit of seconds alone lifts that of
//! nodes.

use std::io::Write;
use std::process::ExitCode;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use upstand::cutting::{self, Bar, Effort, Problem, Run};
use upstand::{Code, Error, Length};

fn main() -> ExitCode {
    let (mut nodes, mut time) = (None, None);
    let mut files = Vec::new();
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        let known = match argument.as_str() {
            "--seconds" => arguments.next().and_then(|text| seconds(&text)).map(|limit| time = Some(limit)),
            "--nodes" => arguments.next().and_then(|text| text.parse().ok()).map(|limit| nodes = Some(limit)),
            option if option.starts_with("--") => None,
            file => {
                files.push(file.to_owned());
                Some(())
            }
        };
        if known.is_none() {
            eprintln!("usage: cut_list [--seconds S] [--nodes N] FILE...");
            return ExitCode::from(2);
        }
    }
    let mut effort = time.map_or_else(Effort::default, Effort::within);
    effort.nodes = nodes.unwrap_or(effort.nodes);
    let mut all_solved = true;
    for file in files {
        let begun = Instant::now();
        let line = match solve(&file, &effort) {
            Ok(answer) => json!({
                "file": file,
                "bars": answer.bar_count,
                "joints": answer.joint_count,
                "bound": answer.bound.bars,
                "proven": answer.proven(),
                "nodes": answer.proof.nodes,
                "seconds": begun.elapsed().as_secs_f64(),
            }),
            Err(error) => {
                all_solved = false;
                report(&file, &error)
            }
        };
        // Whoever reads may have stopped.
        if writeln!(std::io::stdout(), "{line}").is_err() {
            break;
        }
    }
    if all_solved { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

fn seconds(text: &str) -> Option<Duration> {
    Duration::try_from_secs_f64(text.parse().ok()?).ok()
}

fn report(file: &str, error: &Error) -> Value {
    let problems = error.problems();
    let problems = problems.map(|e| json!({"code": e.code().slug(), "path": e.path(), "message": e.message()}));
    json!({"file": file, "errors": problems.collect::<Vec<_>>()})
}

fn solve(file: &str, effort: &Effort) -> Result<cutting::Answer, Error> {
    let text =
        std::fs::read(file).map_err(|error| Error::new(Code::BadArgument, "", format!("cannot be read: {error}")))?;
    let text = String::from_utf8(text).map_err(|_| Error::new(Code::BadUtf8, "", "the file is not UTF-8 text"))?;
    cutting::solve(&read(&text)?, effort)
}

fn read(text: &str) -> Result<Problem, Error> {
    let text = text.trim_start_matches('\u{feff}').trim();
    if text.starts_with('{') {
        return Problem::from_json(text);
    }
    let wrong = |message: String| Error::new(Code::BadValue, "", message);
    let mut numbers = Vec::new();
    for word in text.split_whitespace() {
        let number: f64 = word.parse().map_err(|_| wrong(format!("{word:?} is not a number")))?;
        numbers.push(Length::try_from_mm_f64(number)?);
    }
    let [lines, bar, rest @ ..] = &numbers[..] else {
        return Err(wrong("a count and a bar length are needed".to_owned()));
    };
    let whole = |number: Length| u64::try_from(number.um()).ok().filter(|um| um % 1000 == 0).map(|um| um / 1000);
    let lines = whole(*lines).ok_or_else(|| wrong(format!("{} is not a count", lines.mm())))?;
    let runs: Vec<Run> = if rest.len() as u64 == lines {
        rest.iter().map(|&length| Run::of(length, 1).whole()).collect()
    } else if rest.len() as u64 == 2 * lines {
        let pairs = rest.chunks_exact(2).map(|pair| Some(Run::of(pair[0], whole(pair[1])?).whole()));
        let pairs = pairs.collect::<Option<Vec<Run>>>().ok_or_else(|| wrong("a count is not whole".to_owned()))?;
        pairs.into_iter().filter(|run| run.quantity > 0).collect()
    } else {
        return Err(wrong(format!("{lines} lengths are announced, but {} numbers follow", rest.len())));
    };
    Ok(Problem::new(vec![Bar::of(*bar)], runs))
}
