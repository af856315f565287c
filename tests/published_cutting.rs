//! Cut lists against values published elsewhere: each source stands beside its number.

use upstand::Length;
use upstand::cutting::{self, Answer, Bar, Effort, Problem, Run};
use upstand_tests::check_answer;

/// A cutting-stock problem as the literature has it: one stock length, no joints. Lengths in micrometres.
fn classic(stock: i64, items: &[(i64, u64)]) -> Answer {
    let runs = items
        .iter()
        .map(|&(length, quantity)| Run { may_join: false, ..Run::of(Length::from_um(length), quantity) })
        .collect();
    solved(&Problem::new(vec![Bar::of(Length::from_um(stock))], runs))
}

fn solved(problem: &Problem) -> Answer {
    let answer = cutting::solve(problem, &Effort::default()).expect("a valid problem");
    assert_eq!(check_answer::faults(problem, &answer), Vec::<String>::new());
    answer
}

#[track_caller]
fn assert_optimum(answer: &Answer, bars: u64) {
    assert_eq!((answer.bar_count, answer.bound.bars, answer.proven()), (bars, bars, true));
}

#[test]
fn the_453_rolls_of_chvatal() {
    // V. Chvatal, Linear Programming (1983), chapter 13: bound of the linear program 452.25, optimum 453. First fit
    // decreasing needs 485 (computed by its definition).
    assert_optimum(&classic(100, &[(45, 97), (36, 610), (31, 395), (14, 211)]), 453);
}

#[test]
fn the_73_rolls_of_the_encyclopedia() {
    // The worked example of the encyclopedia article "Cutting stock problem": 13 widths in rolls of 5600 mm, 73 rolls.
    let items = [
        (1380, 22),
        (1520, 25),
        (1560, 12),
        (1710, 14),
        (1820, 18),
        (1880, 18),
        (1930, 20),
        (2000, 10),
        (2050, 12),
        (2100, 14),
        (2140, 16),
        (2150, 18),
        (2200, 20),
    ];
    assert_optimum(&classic(5600, &items), 73);
}

#[test]
fn the_47_rolls_of_ampl() {
    // R. Fourer, D. Gay and B. Kernighan, AMPL: A Modeling Language for Mathematical Programming, cutting-stock
    // example: bound of the linear program 46.25.
    assert_optimum(&classic(110, &[(20, 48), (45, 35), (50, 24), (55, 10), (75, 8)]), 47);
}

#[test]
fn the_334_rolls_of_the_column_generation_tutorial() {
    // JuMP documentation, tutorial "Column generation": widths with decimals in rolls of 100; the tutorial stops at
    // 334 rolls without proof. 334 pieces are longer than half a roll, so each needs its own.
    let tenths = [
        (750, 38 + 44 + 30 + 41 + 36),
        (538, 33),
        (530, 36),
        (510, 41),
        (502, 35),
        (322, 37),
        (308, 44),
        (298, 49),
        (201, 37),
        (162, 36),
        (145, 42),
        (110, 33),
        (86, 47),
        (82, 35),
        (66, 49),
        (51, 42),
    ];
    assert_optimum(&classic(1000, &tenths), 334);
}

#[test]
fn rounding_up_the_linear_program_is_not_always_enough() {
    // The smallest-type example without the integer round-up property, gap 137/132 (literature of J. Rietz,
    // G. Scheithauer and J. Terno; from memory, value recomputed by full enumeration): LP 259/132, optimum 3.
    let answer = classic(132, &[(44, 2), (33, 3), (12, 6)]);
    assert_eq!((answer.bar_count, answer.proven()), (3, true));
}

#[test]
fn textbook_lumber() {
    // W. Winston, Operations Research (from memory; recomputed with the full list of patterns): 19.
    assert_optimum(&classic(17, &[(3, 25), (5, 20), (9, 15)]), 19);
    // Boards of 15 feet, a textbook example (from memory; recomputed likewise): LP 86.67, optimum 87.
    assert_optimum(&classic(15, &[(4, 80), (5, 50), (7, 100)]), 87);
    // The data of the MiniZinc benchmark model cutstock: 4.
    assert_optimum(&classic(10, &[(7, 2), (5, 2), (3, 4)]), 4);
}

#[test]
fn first_fit_is_not_monotone_but_the_optimum_is() {
    // The anomaly of first fit decreasing known from the literature of bin packing (from memory; recomputed): with
    // bins of 60 it needs 3, with bins of 61 it needs 4. The optimum is 3 in both.
    let items = [(44, 1), (24, 2), (22, 1), (21, 1), (17, 1), (8, 2), (6, 2)];
    assert_optimum(&classic(60, &items), 3);
    assert_optimum(&classic(61, &items), 3);
}

#[test]
fn bars_of_one_lapped_run() {
    // Closed formula: n bars lapped by p make n S - (n - 1) p, so a run R takes ceil((R - p) / (S - p)) bars.
    let cases = [(3_000, 1), (3_010, 2), (5_950, 2), (6_000, 3), (8_900, 3), (9_000, 4), (12_000, 5)];
    for (run, bars) in cases {
        let mut problem = Problem::new(vec![Bar::of(Length::from_mm(3_000))], vec![Run::of(Length::from_mm(run), 1)]);
        problem.rules.lap = Length::from_mm(50);
        let answer = solved(&problem);
        assert_optimum(&answer, bars);
        assert_eq!(answer.joint_count, bars - 1, "run of {run} mm");
    }
}
