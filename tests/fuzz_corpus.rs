//! Replays the corpus of the fuzz targets on a stable compiler: nothing panics, nothing hangs, what is planned or cut
//! passes the checkers.

use std::path::Path;

use upstand_tests::fuzz;

/// Runs a target over every file of its corpus; how many came to a result, and how many there are.
fn replay(target: &str, run: fn(&[u8]) -> bool) -> (usize, usize) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fuzz/corpus").join(target);
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .expect("the corpus is committed")
        .map(|entry| entry.expect("a file").path())
        .collect();
    files.sort();
    let done = files
        .iter()
        .filter(|path| {
            // Shown when a test fails: which file it was.
            println!("{}", path.display());
            run(&std::fs::read(path).expect("a file"))
        })
        .count();
    (done, files.len())
}

#[test]
fn jobs() {
    let (planned, all) = replay("job", fuzz::job);
    assert!(planned >= 5 && all > planned, "{planned} of {all} planned");
}

#[test]
fn cutting_problems() {
    let (cut, all) = replay("cutting", fuzz::cutting);
    assert!(cut >= 5 && all > cut, "{cut} of {all} cut");
}
