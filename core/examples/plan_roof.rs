//! Plans a job and says what came out: `cargo run --release --example plan_roof -- [JOB.json] [--out DIR]`.
//!
//! Without a file it plans the bundled garden room. It writes `plan.json`, `plan.svg`, `cut_list.svg`,
//! `cut_list.txt`, `order.svg`, `order.csv`, `mixing.txt`, `schedule.svg` and `schedule.txt` to `out/`, or to the folder named;
//! with `--features pdf` also all sheets in `sheets.pdf`.

use std::fmt::Write as _;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::{Duration, Instant};

use upstand::plan::RoofPlan;
use upstand::system::Stage;
use upstand::takeoff::{Costs, Group};
use upstand::trim::{End, Hand};
use upstand::{Error, Grade, Job, Length, Money, Plan, drawing, takeoff};

const DEMO: &str = include_str!("demo/garden_room.json");
/// How often the job is planned to say how long it takes.
const TIMED_RUNS: usize = 25;
/// Width of the terminal that the tables are made for.
const COLUMNS: usize = 80;

/// Adds a line to a text. Writing to a `String` cannot fail.
macro_rules! line {
    ($text:expr, $($part:tt)+) => {{ let _ = writeln!($text, $($part)+); }};
}

struct Arguments {
    job: Option<PathBuf>,
    out: PathBuf,
}

fn main() -> ExitCode {
    match arguments().and_then(|arguments| run(&arguments)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("{message}");
            ExitCode::FAILURE
        }
    }
}

fn arguments() -> Result<Arguments, String> {
    let mut parsed = Arguments { job: None, out: PathBuf::from("out") };
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        match word.as_str() {
            "--out" => parsed.out = words.next().ok_or("--out needs the name of a folder")?.into(),
            _ if word.starts_with('-') => {
                return Err(format!("{word} is unknown; usage: plan_roof [JOB.json] [--out DIR]"));
            }
            _ if parsed.job.is_some() => return Err(format!("{word}: only one job at a time")),
            _ => parsed.job = Some(word.into()),
        }
    }
    Ok(parsed)
}

fn run(arguments: &Arguments) -> Result<(), String> {
    let (name, text) = match &arguments.job {
        Some(path) => {
            let text = std::fs::read_to_string(path).map_err(|error| format!("{}: {error}", path.display()))?;
            (path.display().to_string(), text)
        }
        None => ("the bundled demo".to_string(), DEMO.to_string()),
    };
    let job = Job::from_json(&text).map_err(|error| problems(&name, &error))?;
    let plan = upstand::plan(&job).map_err(|error| problems(&name, &error))?;
    let mut text = report(&plan);
    let alternatives = job.alternatives.len();
    let (all, _) = median_time(&job);
    // Each alternative is a plan of its own.
    let (time, runs) = median_time(&Job { alternatives: Vec::new(), ..job });
    let time = milliseconds(time);
    line!(text, "\nPlanned {name} in {time} (median of {runs} runs).");
    if alternatives > 0 {
        line!(text, "With {alternatives} alternatives to compare it took {}.", milliseconds(all));
    }
    line!(text, "Written:");
    for path in write(&plan, &arguments.out)? {
        line!(text, "  {}", path.display());
    }
    // A reader that stops early, such as `head`, is no error.
    std::io::stdout().write_all(text.as_bytes()).or_else(|error| match error.kind() {
        std::io::ErrorKind::BrokenPipe => Ok(()),
        _ => Err(error.to_string()),
    })
}

/// Every problem of a job, each with the place in the document.
fn problems(name: &str, error: &Error) -> String {
    let count = error.problems().count();
    let mut text = format!("{name} cannot be planned: {count} {}.\n", if count == 1 { "problem" } else { "problems" });
    for problem in error.problems() {
        let place = if problem.path().is_empty() { "the whole document" } else { problem.path() };
        text += &format!("\n  {place}\n");
        for line in wrapped(&format!("{} [{}]", problem.message(), problem.code().slug()), COLUMNS - 6) {
            text += &format!("      {line}\n");
        }
    }
    text
}

fn median_time(job: &Job) -> (Duration, usize) {
    let begun = Instant::now();
    let mut times = Vec::new();
    // A large job is not planned again and again.
    while times.is_empty() || times.len() < TIMED_RUNS && begun.elapsed() < Duration::from_secs(1) {
        let start = Instant::now();
        std::hint::black_box(upstand::plan(std::hint::black_box(job))).ok();
        times.push(start.elapsed());
    }
    times.sort();
    (times[times.len() / 2], times.len())
}

fn milliseconds(time: Duration) -> String {
    format!("{:.2} ms", time.as_secs_f64() * 1_000.0)
}

/// Writes the plan's files; gives their paths.
fn write(plan: &Plan, out: &Path) -> Result<Vec<PathBuf>, String> {
    std::fs::create_dir_all(out).map_err(|error| format!("{}: {error}", out.display()))?;
    let files = [
        ("plan.json", plan.to_json()),
        ("plan.svg", drawing::plan_svg(plan)),
        ("cut_list.svg", drawing::cut_list_svg(plan)),
        ("mat.svg", drawing::mat_svg(plan)),
        ("order.svg", drawing::order_svg(plan)),
        ("templates.svg", drawing::template_svg(plan)),
        ("cut_list.txt", drawing::cut_list_text(plan)),
        ("schedule.svg", drawing::schedule_svg(plan)),
        ("schedule.txt", drawing::schedule_text(plan)),
        ("order.csv", takeoff::order_csv(&plan.takeoff)),
        ("mixing.txt", drawing::mixing_text(plan)),
    ];
    let write = |(file, text): (&str, String)| {
        let path = out.join(file);
        std::fs::write(&path, text).map_err(|error| format!("{}: {error}", path.display()))?;
        Ok(path)
    };
    let written: Result<Vec<PathBuf>, String> = files.into_iter().map(write).collect();
    #[cfg(feature = "pdf")]
    let written = written.and_then(|mut written| {
        let sheets = [
            vec![drawing::plan_sheet(plan)],
            drawing::cutting_sheets(plan),
            drawing::order_sheets(plan),
            drawing::schedule_sheets(plan),
        ];
        let path = out.join("sheets.pdf");
        let pdf = drawing::to_pdf(&sheets.concat());
        std::fs::write(&path, pdf).map_err(|error| format!("{}: {error}", path.display()))?;
        written.push(path);
        Ok(written)
    });
    written
}

/// All that a plan says, for a terminal.
fn report(plan: &Plan) -> String {
    let mut text = String::new();
    line!(text, "{}", plan.name.as_deref().unwrap_or("Roof"));
    for roof in &plan.roofs {
        push_roof(&mut text, roof);
    }
    push_findings(&mut text, plan);
    line!(text, "\n{}", drawing::cut_list_text(plan).trim_end());
    push_order(&mut text, plan);
    push_mixing(&mut text, plan);
    line!(text, "\n{}", drawing::schedule_text(plan).trim_end());
    line!(text, "\nBEFORE YOU START");
    for caution in &plan.cautions {
        bullet(&mut text, "-", caution);
    }
    text
}

fn push_roof(text: &mut String, roof: &RoofPlan) {
    line!(text, "\nROOF: {}", roof.name);
    let openings = roof.rings.len().saturating_sub(1);
    line!(
        text,
        "  area {:.2} m2, openings {openings}, outlets {}, pipes {}\n",
        roof.area_m2,
        roof.outlets.len(),
        roof.pipes.len()
    );
    line!(text, "  run      line     cut  start                end                  fixings joints");
    for run in &roof.trims.runs {
        let (line, cut) = (mm(run.line_length), mm(run.cut_length));
        let (start, end) = (end_words(&run.start), end_words(&run.end));
        let joints: Vec<String> = run.joints.iter().map(|&joint| mm(joint)).collect();
        let joints = if joints.is_empty() { "-".to_string() } else { joints.join(" ") };
        line!(text, "  {:<5}{line:>8}{cut:>8}  {start:<20} {end:<20} {:>7} {joints}", run.mark, run.fixings);
    }
}

fn push_findings(text: &mut String, plan: &Plan) {
    if plan.findings.is_empty() {
        return;
    }
    line!(text, "\nFINDINGS");
    for finding in &plan.findings {
        let grade = match finding.grade {
            Grade::Refuse => "REFUSE",
            Grade::Caution => "CAUTION",
            Grade::Note => "NOTE",
        };
        bullet(text, &format!("{grade:<8}"), &format!("{} ({})", finding.text, finding.place));
    }
}

fn push_order(text: &mut String, plan: &Plan) {
    line!(text, "\nORDER");
    line!(text, "  {:<25}{:>11}{:>10}  {:<22}{:>8}", "material", "net", "allowance", "buy", "cost");
    for line in &plan.takeoff {
        let amount = |value: f64| match line.unit.as_str() {
            "piece" => format!("{value:.0}"),
            unit => format!("{value:.2} {unit}"),
        };
        let packs: Vec<String> =
            line.packs.iter().map(|pack| format!("{} x {} {}", pack.count, pack.size, line.unit)).collect();
        let packs = match (packs.is_empty(), line.on_hand > 0.0) {
            (false, _) => packs.join(" + "),
            (true, true) => "none: on hand".to_string(),
            (true, false) => "for information".to_string(),
        };
        let cost = line.cost.map(|cost| cost.to_string()).unwrap_or_default();
        let (net, allowance) = (amount(line.net), amount(line.allowance));
        line!(text, "  {:<25}{net:>11}{allowance:>10}  {packs:<22}{cost:>8}", line.name);
    }
    push_costs(text, plan);
}

fn push_costs(text: &mut String, plan: &Plan) {
    let money = |money: Option<Money>| money.map(|money| money.to_hundredths().to_string()).unwrap_or_default();
    if let Some(costs) = &plan.costs {
        line!(text, "\nCOST of whole packs, in the job's money");
        line!(text, "  {:<25}{:>11}{:>12}", "", "in all", "for 1 m2");
        for group in &costs.groups {
            let name = match group.group {
                Group::Trims => "trims and their fixing",
                Group::Glass => "glass",
                Group::Liquids => "liquids",
            };
            line!(text, "  {name:<25}{:>11}{:>12}", group.cost.to_string(), money(group.per_m2));
        }
        if costs.total.is_some() {
            line!(text, "  {:<25}{:>11}{:>12}", "together", money(costs.total), money(costs.per_m2));
        } else {
            line!(text, "  no sum: {} without a price", costs.without_price.join(", "));
        }
        push_stages(text, plan, costs);
    }
    if !plan.alternatives.is_empty() {
        line!(text, "\nALTERNATIVES, without what the weather asks to be cleaned");
        line!(
            text,
            "  {:<17}{:>5}{:>8}{:>7}{:>7}{:>9}{:>9}{:>7}{:>9}",
            "",
            "bars",
            "metres",
            "joints",
            "strips",
            "mat",
            "packs",
            "hours",
            "together"
        );
        for one in &plan.alternatives {
            let mat = format!("{:.1} m2", one.mat_m2);
            line!(
                text,
                "  {:<17}{:>5}{:>8}{:>7}{:>7}{mat:>9}{:>9}{:>7.2}{:>9}",
                one.name,
                one.bars,
                one.bars_m,
                one.joints,
                one.strips,
                money(one.cost),
                one.person_hours,
                money(one.with_labour)
            );
        }
    }
}

fn push_stages(text: &mut String, plan: &Plan, costs: &Costs) {
    let money = |money: Option<Money>| money.map(|money| money.to_hundredths().to_string()).unwrap_or_default();
    line!(text, "\nCOST stage by stage, hours of one person without waiting");
    line!(text, "  {:<25}{:>8}{:>11}{:>11}{:>11}{:>12}", "", "hours", "labour", "materials", "together", "for 1 m2");
    for stage in &costs.stages {
        line!(
            text,
            "  {:<25}{:>8.2}{:>11}{:>11}{:>11}{:>12}",
            plan.stage_words(stage),
            stage.person_hours,
            money(stage.labour),
            money(stage.materials),
            money(stage.total),
            money(stage.per_m2)
        );
    }
    line!(
        text,
        "  {:<25}{:>8.2}{:>11}{:>11}{:>11}{:>12}",
        "together",
        costs.person_hours,
        money(costs.labour),
        money(costs.total),
        money(costs.with_labour),
        money(costs.with_labour_per_m2)
    );
}

fn push_mixing(text: &mut String, plan: &Plan) {
    if plan.mixing.is_empty() {
        return;
    }
    line!(text, "\nMIXING (the cards say how)");
    for mixing in &plan.mixing {
        let task = mixing.task.map(|task| format!(" (task {task})")).unwrap_or_default();
        let (coldest, warmest) = mixing.surface_c;
        let surface = if coldest < warmest { format!("{coldest} to {warmest}") } else { coldest.to_string() };
        line!(
            text,
            "  {}{task}, surface {surface} degrees, {} with {}",
            stage(mixing.stage),
            mixing.name,
            mixing.hardener
        );
        for batch in &mixing.batches {
            line!(text, "    {}", mixing.batch_line(batch));
        }
    }
}

fn stage(stage: Stage) -> &'static str {
    match stage {
        Stage::Details => "details",
        Stage::Laminate => "main area",
        _ => "coat",
    }
}

fn end_words(end: &End) -> String {
    match end.hand {
        Some(Hand::Left) => format!("mitre {:.1} roof", end.angle_deg),
        Some(Hand::Right) => format!("mitre {:.1} outer", end.angle_deg),
        None if end.gain.is_negative() => format!("square, {} short", mm(-end.gain)),
        None if end.gain.is_positive() => format!("square, {} past", mm(end.gain)),
        None => "square".to_string(),
    }
}

/// Millimetres, whole ones without decimals.
fn mm(length: Length) -> String {
    if length.um() % 1_000 == 0 { format!("{}", length.um() / 1_000) } else { format!("{:.1}", length.mm()) }
}

/// A paragraph behind a mark, its lines aligned.
fn bullet(text: &mut String, mark: &str, paragraph: &str) {
    let indent = mark.len() + 3;
    for (index, line) in wrapped(paragraph, COLUMNS - indent).into_iter().enumerate() {
        if index == 0 { line!(text, "  {mark} {line}") } else { line!(text, "{:indent$}{line}", "") }
    }
}

fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_string()),
        }
    }
    lines
}
