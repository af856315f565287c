//! The committed header is what the sources generate. `UPDATE_HEADER=1 cargo test -p upstand-c --test header` rewrites it.

use std::fmt::Write as _;
use std::path::Path;

use cbindgen::{Builder, Config, DocumentationStyle, Language};
use upstand::Code;

const TITLE: &str = "/*
 * upstand: flat-roof detailing geometry, trims, cut lists, glass mat and take-off.
 *
 * Generated from the sources of bindings-c; a test compares the two. Do not edit.
 *
 * The rules are the same for every function:
 *
 * - A function that can fail returns an upstand_status, UPSTAND_OK (0) for success. It takes an upstand_context first,
 *   which keeps every problem met, with its place in the document, until the next call with that context.
 * - Outputs come last and are written only on success.
 * - Texts are UTF-8. Texts in are a pointer and a length in bytes and need no NUL. Texts out are copied into a buffer of
 *   the caller's and end in a NUL that is not counted; with buffer NULL only *length is written: the capacity to ask
 *   for is *length + 1.
 * - X_new and X_from_json make a handle that the caller owns and gives back to X_free once. X_free(NULL) does nothing.
 * - A context belongs to one thread at a time. All other handles never change once made: any number of threads may read
 *   one at the same time, each with a context of its own. An upstand_cutting is filled by one thread at a time.
 * - Lengths in arrays and structs are whole micrometres (3 m is 3000000), in documents millimetres.
 */";

fn config() -> Config {
    let mut config = Config {
        language: Language::C,
        header: Some(TITLE.into()),
        include_guard: Some("UPSTAND_H".into()),
        after_includes: Some(constants()),
        cpp_compat: true,
        documentation_style: DocumentationStyle::C99,
        line_length: 120,
        usize_is_size_t: true,
        no_includes: true,
        sys_includes: ["stddef.h", "stdint.h"].map(String::from).to_vec(),
        ..Config::default()
    };
    config.style = cbindgen::Style::Type;
    config.function.args = cbindgen::Layout::Auto;
    let names = [
        ("Context", "upstand_context"),
        ("Planned", "upstand_plan"),
        ("Reported", "upstand_report"),
        ("PlanSummary", "upstand_plan_summary"),
        ("PlanPiece", "upstand_plan_piece"),
        ("PlanPieceEnd", "upstand_piece_end"),
        ("PlanRun", "upstand_plan_run"),
        ("PlanRunEnd", "upstand_run_end"),
        ("PlanTemplate", "upstand_plan_template"),
        ("PlanMark", "upstand_plan_mark"),
        ("MitreEnd", "upstand_mitre_end"),
        ("FacetCut", "upstand_facet_cut"),
        ("NotchPoint", "upstand_notch_point"),
        ("Fixing", "upstand_fixing"),
        ("Cutting", "upstand_cutting"),
        ("ListedBar", "upstand_bar"),
        ("ListedPiece", "upstand_piece"),
        ("CutList", "upstand_cut_list"),
        ("AdjustedNetwork", "upstand_adjusted"),
        ("CutListSummary", "upstand_cut_list_summary"),
        ("Progress", "upstand_progress"),
    ];
    // These arrive as integers, so that no function names them.
    config.export.include.extend(
        [
            "upstand_cut",
            "upstand_hand",
            "upstand_end_cut",
            "upstand_closing",
            "upstand_leg",
            "upstand_paper",
            "upstand_rule",
            "upstand_sheet",
        ]
        .map(String::from),
    );
    for (rust, c) in names {
        config.export.rename.insert(rust.into(), c.into());
    }
    config
}

/// Version and statuses come from the one place where each is defined.
fn constants() -> String {
    let mut text = format!("\n#define UPSTAND_VERSION \"{}\"\n", env!("CARGO_PKG_VERSION"));
    text.push_str(
        "\n/* The values of upstand_status. Numbers and names never change meaning and are never reused. */\nenum {\n",
    );
    text.push_str("    /* Success. */\n    UPSTAND_OK = 0");
    for code in Code::ALL {
        let name = code.slug().to_uppercase();
        let _ = write!(text, ",\n    /* {} */\n    UPSTAND_{name} = {}", code.meaning(), code.number());
    }
    text.push_str("\n};");
    text
}

fn generated() -> String {
    let mut bytes = Vec::new();
    Builder::new()
        .with_crate(env!("CARGO_MANIFEST_DIR"))
        .with_config(config())
        .generate()
        .expect("the sources parse")
        .write(&mut bytes);
    let text = String::from_utf8(bytes).expect("sources are UTF-8");
    // The promises to Rust's compiler are told to C readers in the same words, without the mark-up.
    text.replace("# Safety", "Requires:")
}

#[test]
fn the_committed_header_is_what_the_sources_generate() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("include/upstand.h");
    let generated = generated();
    if std::env::var_os("UPDATE_HEADER").is_some() {
        std::fs::write(&path, &generated).expect("the header can be written");
    }
    let committed = std::fs::read_to_string(&path).expect("the header is committed");
    assert!(committed == generated, "include/upstand.h differs from the sources: run with UPDATE_HEADER=1");
    let functions = generated.matches("\nupstand_status upstand_").count() + generated.matches("*upstand_").count();
    assert!(functions > 4, "a header without functions proves nothing");
}
